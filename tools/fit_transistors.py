"""Fit the model of each registered type to the figures of its own data sheet.

Reads the records of the catalogue, fits by least squares (scipy, trust-region reflective, no random
numbers) and writes parameters and the error at every figure to ``catalogue/fitted.toml``.

    python tools/fit_transistors.py              all types, write the file, print the table
    python tools/fit_transistors.py 2N3904       print the fit of some types, write nothing

How a figure becomes a target:

typical                 the typical value
middle of the limits    geometric mean of min and max; the arithmetic mean for V_BE
minimum, lifted         a lone minimum of h_FE times the ratio of typical (or middle) to minimum of
                        the record's figures that state both: the limits follow the curve
limit only              no target; the fit has only to keep the limit

Limits more than ten times apart say too little for a middle and are only kept; lifted minima count
a third, since sheets are generous where nobody tests. What few figures leave open (Early voltages,
series resistances) is held near common practice by weak priors, listed in the code. Types without a
typical I_CBO take a hundredth of its limit (common practice: sheets state what automatic testers
can sort, not what the part leaks).
"""

from __future__ import annotations

import argparse
import math
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from scipy.optimize import least_squares

from steadypoint.devices import Figure, FitPoint, PartRecord, part_record, part_types, predicted
from steadypoint.devices._catalogue import model_from
from steadypoint.errors import DeviceError

TARGET_FILE: Final = (
    Path(__file__).resolve().parents[1] / "src/steadypoint/devices/catalogue/fitted.toml"
)
LIMIT_SHARE: Final = 0.01  # of a lone limit of I_CBO

# How closely a figure is to be met: relative, except for the voltages of conducting junctions. [V]
SCALE: Final = {
    "h_FE": 0.05,
    "V_CE_sat": 0.15,
    "h_oe": 0.3,
    "I_CBO": 0.05,
    "I_DSS": 0.05,
    "y_fs": 0.1,
    "y_os": 0.3,
    "r_DS_on": 0.1,
    "V_GS_off": 0.15,
    "V_GS_th": 0.05,
    "V_GS_on": 0.2,
}
JUNCTION_SCALE: Final = 0.01
LIFTED_SHARE: Final = 3.0  # a lifted minimum counts a third
WIDEST: Final = 10.0  # limits further apart than this say too little for a middle
JUNCTION: Final = ("V_BE", "V_BE_sat", "V_SD")
LIMIT_WEIGHT: Final = 3.0
LIMIT_MARGIN: Final = 0.02  # the fit keeps this share inside a limit


@dataclass(frozen=True)
class Aim:
    """A figure with the value that the fit aims at."""

    figure: Figure
    target: float | None
    rule: str


@dataclass(frozen=True)
class Prior:
    """Start and room of a parameter's logarithm: value times or over ``factor``."""

    name: str
    value: float
    factor: float


def aims_of(record: PartRecord) -> list[Aim]:
    """Targets of all figures of a record."""
    return [_aim(record, figure) for figure in record.figures]


def _aim(record: PartRecord, figure: Figure) -> Aim:
    if figure.typ is not None:
        return Aim(figure, figure.typ, "typical")
    if figure.min is not None and figure.max is not None and _ratio(figure) <= WIDEST:
        return Aim(figure, _middle(figure), "middle of the limits")
    if figure.symbol == "h_FE" and figure.min is not None:
        return Aim(figure, figure.min * _lift(record), "minimum, lifted")
    if figure.symbol == "I_CBO" and figure.max is not None:
        return Aim(figure, figure.max * LIMIT_SHARE, "a hundredth of the limit")
    return Aim(figure, None, "limit only")


def _ratio(figure: Figure) -> float:
    """Ratio of the limits, at least 1."""
    low, high = abs(figure.min or 1e-300), abs(figure.max or 1e-300)
    return max(low / high, high / low)


def _middle(figure: Figure) -> float:
    low, high = figure.min or 0.0, figure.max or 0.0
    if figure.symbol in JUNCTION:
        return (low + high) / 2
    return math.copysign(math.sqrt(low * high), low)


def _lift(record: PartRecord) -> float:
    """Mean ratio of typical (or middle) to minimum of h_FE in a record."""
    ratios = []
    for figure in record.of("h_FE"):
        if figure.min is not None and figure.typ is not None:
            ratios.append(figure.typ / figure.min)
        elif figure.min is not None and figure.max is not None:
            ratios.append(math.sqrt(figure.max / figure.min))
    return math.exp(sum(map(math.log, ratios)) / len(ratios)) if ratios else 1.0


def priors_of(record: PartRecord) -> list[Prior]:
    """Parameters to fit with their start and their room, from the size of the transistor."""
    if record.is_bipolar:
        return _bipolar_priors(record)
    return _fet_priors(record)


def _bipolar_priors(record: PartRecord) -> list[Prior]:
    size = record.rating("I_C_max") or 0.1
    germanium = record.material == "germanium"
    figures = [a for a in aims_of(record) if a.figure.symbol == "h_FE" and a.target]
    peak = max((a.target or 100.0) for a in figures)
    leakage = [a.target for a in aims_of(record) if a.figure.symbol == "I_CBO" and a.target]
    return [
        Prior("I_CBO", leakage[0] if leakage else 1e-9 * size, 5.0),
        Prior("I_S", (1e-6 if germanium else 2e-13) * size, 1e4),
        Prior("beta_F", 1.1 * peak, 2.0),
        Prior("V_A", 40.0 if germanium else 80.0, 1.6),
        Prior("V_A_R", 15.0, 1.5),
        Prior("I_knee", size, 10.0),
        Prior("I_leak", (1e-8 if germanium else 1e-13) * size, 1e3),
        Prior("n_leak", 1.6, 1.15),
        Prior("beta_R", 4.0, 3.0),
        Prior("r_b", 0.5 / size, 5.0),
        Prior("r_e", 0.03 / size, 3.0),
        Prior("r_c", 0.06 / size, 4.0),
    ]


def _fet_priors(record: PartRecord) -> list[Prior]:
    targets = {a.figure.symbol: a.target for a in aims_of(record) if a.target is not None}
    if "I_DSS" in targets:
        off = abs(targets.get("V_GS_off", targets.get("V_GS_on", -2.0)) or 2.0)
        K = (targets["I_DSS"] or 1e-3) / off**2
        return [
            Prior("V_GS_th", off, 3.0),
            Prior("K", K, 10.0),
            Prior("V_A", 60.0, 3.0),
            Prior("r_s", 0.1 / (2 * K * off), 2.0),
            Prior("r_d", 0.1 / (2 * K * off), 2.0),
        ]
    th = targets.get("V_GS_th") or 2.0
    size = record.rating("I_D_max") or 0.2
    return [
        Prior("V_GS_th", th, 2.0),
        Prior("K", 0.4 * size, 10.0),
        Prior("V_A", 40.0, 2.0),
        Prior("r_s", 0.05 / size, 3.0),
        Prior("r_d", 0.05 / size, 30.0),
        Prior("I_body", 1e-12 * size, 1e4),
    ]


def parameters_of(record: PartRecord, priors: list[Prior], x: np.ndarray) -> dict[str, float]:
    """Parameters of the model at a point of the search: logarithms over the priors' room."""
    found = {p.name: p.value * p.factor ** float(step) for p, step in zip(priors, x, strict=True)}
    if not record.is_bipolar and any(f.symbol == "I_DSS" for f in record.figures):
        found["V_GS_th"] *= -1.0
    return found


def residuals_of(record: PartRecord) -> Callable[[np.ndarray], np.ndarray]:
    """Residuals of a record's figures and priors as a function of the search point."""
    priors, aims = priors_of(record), aims_of(record)

    def residuals(x: np.ndarray) -> np.ndarray:
        model = model_from(record, parameters_of(record, priors, x))
        out = []
        for aim in aims:
            try:
                value = predicted(model, aim.figure)
            except DeviceError:
                out += [30.0, 30.0]
                continue
            out += [_miss(aim, value), _overstep(aim.figure, value)]
        return np.array([*out, *x])

    return residuals


def _miss(aim: Aim, value: float) -> float:
    if aim.target is None:
        return 0.0
    if aim.figure.symbol in JUNCTION:
        return (value - aim.target) / JUNCTION_SCALE
    ratio = value / aim.target
    scale = SCALE[aim.figure.symbol] * (LIFTED_SHARE if aim.rule == "minimum, lifted" else 1.0)
    return math.log(ratio) / scale if ratio > 0 else 30.0


def _overstep(figure: Figure, value: float) -> float:
    """How far a value is beyond its limits, with a margin; zero inside."""
    beyond = 0.0
    for limit, side in ((figure.min, -1.0), (figure.max, 1.0)):
        if limit is not None:
            edge = limit - side * LIMIT_MARGIN * abs(limit)
            beyond = max(beyond, side * (value - edge) / abs(limit))
    return LIMIT_WEIGHT * beyond / 0.02


def fit(record: PartRecord) -> tuple[dict[str, float], list[FitPoint]]:
    """Parameters of a type, rounded to four digits, and how they meet its figures."""
    priors = priors_of(record)
    start = np.zeros(len(priors))
    found = least_squares(residuals_of(record), start, method="trf", x_scale=1.0, max_nfev=300)
    parameters = {k: float(f"{v:.4g}") for k, v in parameters_of(record, priors, found.x).items()}
    return parameters, points_of(record, parameters)


def points_of(record: PartRecord, parameters: Mapping[str, float]) -> list[FitPoint]:
    """How given parameters meet the figures of a record."""
    model = model_from(record, parameters)
    points = []
    for aim in aims_of(record):
        value = float(f"{predicted(model, aim.figure):.4g}")
        f = aim.figure
        target = None if aim.target is None else float(f"{aim.target:.4g}")
        points.append(FitPoint(f.symbol, f.at, target, aim.rule, value, f.holds(value)))
    return points


def toml_of(fits: Mapping[str, tuple[Mapping[str, float], list[FitPoint]]]) -> str:
    """The file of fitted models."""
    lines = [
        "# Written by tools/fit_transistors.py from the figures of the records; do not edit.",
        "# Parameters in SI units at 25 °C; each point with its target, its fit and its error.",
    ]
    for name, (parameters, points) in fits.items():
        lines += ["", f'["{name}".parameters]', *(f"{k} = {v!r}" for k, v in parameters.items())]
        for p in points:
            lines += ["", f'[["{name}".points]]', f'symbol = "{p.symbol}"', f'at = "{p.at}"']
            lines.append(f'rule = "{p.rule}"')
            if p.target is not None:
                lines.append(f"target = {p.target!r}")
            lines.append(f"fitted = {p.fitted!r}")
            if p.error is not None:
                lines.append(f"error = {p.error:.4f}")
            lines.append(f"within = {'true' if p.within else 'false'}")
    return "\n".join(lines) + "\n"


def table_of(name: str, parameters: Mapping[str, float], points: list[FitPoint]) -> str:
    """The fit of one type for reading."""
    lines = [f"{name}: " + ", ".join(f"{k} = {v:.4g}" for k, v in parameters.items())]
    for p in points:
        target = "" if p.target is None else f"{p.target:.4g}"
        error = "" if p.error is None else f"{100 * p.error:+.1f} %"
        mark = "" if p.within else "  outside its limits"
        lines.append(
            f"  {p.symbol:9} {p.at:34} {target:>10} {p.fitted:>10.4g} {error:>9}  {p.rule}{mark}"
        )
    return "\n".join(lines)


def main(arguments: list[str] | None = None) -> int:
    """Fit types, print their tables; write the file when all are fitted."""
    parser = argparse.ArgumentParser(
        description="Fit the models of the registered types to their data sheets.",
        epilog="Example: python tools/fit_transistors.py 2N3904 BC547B",
    )
    parser.add_argument("types", nargs="*", help="types to fit; all by default, and written")
    wanted: list[str] = parser.parse_args(arguments).types
    fits = {}
    for name in wanted or part_types():
        record = part_record(name)
        fits[record.type_name] = fit(record)
        sys.stdout.write(table_of(record.type_name, *fits[record.type_name]) + "\n")
        sys.stdout.flush()
    if not wanted:
        new = TARGET_FILE.with_suffix(".new")
        new.write_text(toml_of(fits), encoding="utf-8")
        new.replace(TARGET_FILE)
    return 0


if __name__ == "__main__":
    sys.exit(main())
