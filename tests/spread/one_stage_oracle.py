"""One-transistor stages by plain nodal analysis in NumPy, each region tried: an oracle.

It shares nothing with the project but the stated law: constant V_BE and V_CE_sat, I_C = β I_B.
Every value may be an array, so corners and samples are solved at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steadypoint import read_sheet
from steadypoint.circuit import Circuit

FloatArray = NDArray[np.float64]
V_BE, V_CE_SAT = 0.7, 0.2


@dataclass(frozen=True)
class Stage:
    """A stage with one transistor; ``feed`` says where R1 begins."""

    feed: str
    pnp: bool
    R2: bool
    RE: bool
    values: dict[str, float]

    def sheet(self) -> str:
        top, bottom = ("ground", "VCC") if self.pnp else ("VCC", "ground")
        start = top if self.feed == "supply" else "Q1 collector"
        v = self.values
        lines = [
            f"VCC = {v['VCC']:.17g} V",
            f"Q1 = {'pnp' if self.pnp else 'npn'}, beta {v['beta']:.17g}",
            f"from {start} through R1 {v['R1']:.17g} to Q1 base",
            f"from {top} through RC {v['RC']:.17g} to Q1 collector",
        ]
        if self.R2:
            lines.append(f"from Q1 base through R2 {v['R2']:.17g} to {bottom}")
        emitter = f"through RE {v['RE']:.17g} to" if self.RE else "to"
        lines.append(f"from Q1 emitter {emitter} {bottom}")
        return "\n".join(lines) + "\n"

    def circuit(self) -> Circuit:
        return read_sheet(self.sheet())

    @property
    def names(self) -> list[str]:
        absent = [n for n, there in (("R2", self.R2), ("RE", self.RE)) if not there]
        return [name for name in self.values if name not in absent]


def random_stage(rng: np.random.Generator) -> Stage:
    """A stage that is often near a border between regions."""
    feed = str(rng.choice(["supply", "collector"]))
    R2, RE = bool(rng.random() < 0.6), bool(rng.random() < 0.6)
    R1 = 10 ** rng.uniform(4.3, 5.9)
    values = {
        "R1": R1,
        "R2": R1 * 10 ** rng.uniform(-1.3, 0.3),
        "RC": 10 ** rng.uniform(2.5, 4.1),
        "RE": 10 ** rng.uniform(1.5, 3.3),
        "VCC": rng.uniform(4.0, 24.0),
        "beta": 10 ** rng.uniform(1.5, 2.6),
    }
    return Stage(feed, bool(rng.random() < 0.5), R2, RE, {k: float(v) for k, v in values.items()})


def solve(stage: Stage, values: dict[str, FloatArray]) -> tuple[FloatArray, FloatArray]:
    """Collector current and collector-emitter voltage, magnitudes, shape (n,) each."""
    n = len(values["VCC"])
    I_C, V_CE, done = np.zeros(n), np.zeros(n), np.zeros(n, dtype=bool)
    for region in ("cutoff", "active", "saturation"):
        x = _nodes(stage, values, region)
        B, C, E, i_b, i_c = x.T
        if region == "cutoff":
            good = V_BE + 1e-12 >= B - E
        elif region == "active":
            good = (i_b >= -1e-15) & (C - E >= V_CE_SAT - 1e-9)
        else:
            good = (i_b >= -1e-15) & (i_c <= values["beta"] * i_b + 1e-12)
        new = good & ~done
        I_C[new], V_CE[new] = i_c[new], (C - E)[new]
        done |= good
    assert done.all(), "the oracle found no region"
    return I_C, V_CE


def _nodes(stage: Stage, values: dict[str, FloatArray], region: str) -> FloatArray:
    """Base, collector, emitter voltage, base and collector current of the npn mirror."""
    n = len(values["VCC"])
    one = np.ones(n)
    g1, gC = 1.0 / values["R1"], 1.0 / values["RC"]
    g2 = 1.0 / values["R2"] if stage.R2 else 0.0 * one
    gE = 1.0 / values["RE"] if stage.RE else one * 1e12
    A, b = np.zeros((n, 5, 5)), np.zeros((n, 5))
    A[:, 0, 0], A[:, 0, 3] = g1 + g2, 1.0
    A[:, 1, 1], A[:, 1, 4] = gC, 1.0
    A[:, 2, 2], A[:, 2, 3], A[:, 2, 4] = gE, -1.0, -1.0
    b[:, 1] = gC * values["VCC"]
    if stage.feed == "supply":
        b[:, 0] = g1 * values["VCC"]
    else:
        A[:, 0, 1] = A[:, 1, 0] = -g1
        A[:, 1, 1] += g1
    if region == "cutoff":
        A[:, 3, 3] = A[:, 4, 4] = 1.0
    else:
        A[:, 3, 0], A[:, 3, 2], b[:, 3] = 1.0, -1.0, V_BE
        if region == "active":
            A[:, 4, 4], A[:, 4, 3] = 1.0, -values["beta"]
        else:
            A[:, 4, 1], A[:, 4, 2], b[:, 4] = 1.0, -1.0, V_CE_SAT
    return np.asarray(np.linalg.solve(A, b[:, :, None])[:, :, 0])


def brute_force(
    stage: Stage, limits: dict[str, tuple[float, float]], rng: np.random.Generator, inside: int
) -> dict[str, tuple[float, float]]:
    """Smallest and largest of both quantities over all corners and a sample of the inside."""
    names = list(limits)
    low = np.array([limits[k][0] for k in names])
    high = np.array([limits[k][1] for k in names])
    up = (np.arange(2 ** len(names))[:, None] >> np.arange(len(names))) & 1
    share = np.vstack([up, rng.random((inside, len(names)))])
    # sides of the box as well: half of the sample has half of its coordinates at an end
    half = rng.random((inside, len(names))) < 0.5
    half[: inside // 2] = False
    share[len(up) :][half] = np.round(share[len(up) :][half])
    at = low + share * (high - low)
    values = {name: at[:, k] for k, name in enumerate(names)}
    for name, value in stage.values.items():
        values.setdefault(name, np.full(len(at), value))
    I_C, V_CE = solve(stage, values)
    return {
        "Q1.I_C": (float(I_C.min()), float(I_C.max())),
        "Q1.V_CE": (float(V_CE.min()), float(V_CE.max())),
    }
