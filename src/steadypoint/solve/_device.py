"""The ``device`` rung: exponential junctions, solved by Newton's method with five fallbacks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from steadypoint.errors import ConvergenceError
from steadypoint.solve._fet_law import junction_currents, junctions_of_fets, with_junctions
from steadypoint.solve._fets import region_of
from steadypoint.solve._network import Network
from steadypoint.solve._newton import Laws, Trial, cold, device_currents, laws_of, newton
from steadypoint.solve._plan import Plan, plan_of
from steadypoint.solve._point import Region
from steadypoint.solve._report import Raw
from steadypoint.solve._solution import Method
from steadypoint.solve._tableau import FloatArray
from steadypoint.solve._ways import draw_starts, settle, step_bulk, step_conductance, step_sources

CONDUCTING_CURRENT: Final = 1e-8
"""A junction conducts when its exponential current passes this. [A]"""


@dataclass(frozen=True, slots=True)
class DeviceFound:
    """A settled trial with its plan, laws, the way it was found and all steps taken."""

    plan: Plan
    laws: Laws
    trial: Trial
    method: Method
    steps: int


def solve_device(
    net: Network,
    temperature: float,
    start: Trial | None = None,
    *,
    only_newton: bool = False,
    junctions: Mapping[str, float] | None = None,
) -> DeviceFound:
    """Solve a network with exponential junctions.

    Parameters
    ----------
    net : Network
        The network.
    temperature : float
        Junction temperature. [K]
    start : Trial, optional
        Where Newton's method starts; without it every base-emitter junction at 1 mA.
    only_newton : bool, default False
        Give up when Newton's method does not settle from there.
    junctions : mapping of str to float, optional
        Junction temperatures of parts that differ from ``temperature``, by name. [K]

    Returns
    -------
    DeviceFound

    Raises
    ------
    ConvergenceError
        When no way settles; the sentence names the part that would not.
    """
    plan, laws = plan_of(net), laws_of(net, temperature, junctions)
    ways: tuple[tuple[Method, Callable[[], Trial]], ...] = (
        (Method.NEWTON, lambda: newton(plan, laws, start or cold(plan, laws, net))),
        (Method.SOURCES, lambda: step_sources(plan, laws)),
        (Method.CONDUCTANCE, lambda: step_conductance(plan, laws, net)),
        (Method.SETTLING, lambda: settle(plan, laws)),
        (Method.BULK, lambda: step_bulk(plan, laws, net, temperature, junctions)),
        (Method.DRAWN, lambda: draw_starts(plan, laws)),
    )
    steps, trial = 0, None
    for method, way in ways[:1] if only_newton else ways:
        with np.errstate(over="ignore", invalid="ignore"):
            trial = way()
        steps += trial.steps
        if trial.settled:
            return DeviceFound(plan, laws, trial, method, steps)
    raise ConvergenceError(unsettled(net, trial, steps))


def unsettled(net: Network, trial: Trial | None, steps: int) -> str:
    """Sentence of a failed search; names the part whose junction was limited last."""
    net = with_junctions(net)
    names = [name for p in net.bipolars for name in (p.name, p.name)]
    names += [d.name for d in net.diodes]
    names += [d.name for d in net.diodes if math.isfinite(d.data.V_Z)]
    names += [name for f in net.fets for name in (f.name, f.name)]
    part = names[trial.worst] if trial is not None and 0 <= trial.worst < len(names) else ""
    if not part:
        part = names[0] if names else "the network"
    return (
        f"The device model did not settle within {steps} steps: {part} would not come to rest. "
        f"Check whether anything limits the current through {part}."
    )


def regions_of_device(net: Network, laws: Laws, v: list[float]) -> Iterator[Region]:
    """Region of each transistor from its two junction currents and V_CE.

    A junction conducts above ``CONDUCTING_CURRENT``. Cut off: neither conducts. Reverse: the
    base-collector junction carries more than the base-emitter junction. Saturated: V_CE is not
    above V_CE_sat. Active otherwise.
    """
    for k, q in enumerate(net.bipolars):
        f, r = 2 * k, 2 * k + 1
        # Compared as voltages: the currents themselves may be out of the range of floats.
        # A germanium junction may let more than that pass at no voltage: log1p keeps it blocking.
        log = math.log1p if laws.charge[k] is not None else math.log
        on = laws.nV_T[f] * log(CONDUCTING_CURRENT / laws.I_S[f])
        if max(v[f], v[r]) < on:
            yield Region.CUTOFF
        elif v[r] > v[f]:
            yield Region.REVERSE
        elif v[f] - v[r] <= q.data.V_CE_sat:
            yield Region.SATURATION
        else:
            yield Region.ACTIVE


def raw_of_device(
    net: Network, found: DeviceFound, cutoff_V_CE: FloatArray, cutoff_V_DS: FloatArray
) -> Raw:
    """Voltages and currents of a settled trial."""
    plan, laws, trial = found.plan, found.laws, found.trial
    q = len(net.bipolars)
    i, _ = device_currents(laws, trial.v)
    V = trial.V
    leaving = plan.R @ (laws.g * (plan.R.T @ V)) + plan.T @ i + plan.I @ laws.currents
    leaving -= plan.F @ trial.hanging
    delivered = np.zeros(len(net.voltages))
    delivered[plan.bound] = plan.bound_solve @ leaving[plan.tied]
    delivered[plan.floating] = trial.hanging
    sign = np.array([p.sign for p in net.bipolars], dtype=float)
    I_C, I_B = sign * i[0 : 2 * q : 2], sign * i[1 : 2 * q : 2]
    return Raw(
        voltages=V[: len(net.names)],
        delivered=delivered,
        base=I_B,
        collector=I_C,
        emitter=I_B + I_C,
        diodes=i[2 * q : 2 * q + len(net.diodes)],
        regions=tuple(regions_of_device(net, laws, trial.v)),
        cutoff_V_CE=cutoff_V_CE,
        cutoff_V_DS=cutoff_V_DS,
        **_fets_of_device(net, found, i),
    )


def _fets_of_device(net: Network, found: DeviceFound, i: FloatArray) -> dict[str, Any]:
    """Currents and regions of the field-effect transistors of a settled trial."""
    laws, f = found.laws, len(net.fets)
    first = 2 * len(net.bipolars) + len(net.diodes)
    extra = i[first : first + len(junctions_of_fets(net))]
    into_drain, into_gate = junction_currents(net, extra.tolist())
    sign = np.array([t.sign for t in net.fets], dtype=float)
    ends = np.array(found.trial.v[len(laws.I_S) :]).reshape(f, 2)
    opens = np.array([law.V_GS_th for law in laws.channels])
    over = (ends - opens[:, None]).tolist()
    return {
        "drain": sign * i[first + len(extra) :] + np.array(into_drain),
        "gate": np.array(into_gate),
        "fet_regions": tuple(region_of(a, b) for a, b in over),
        "thresholds": tuple(opens.tolist()),
    }
