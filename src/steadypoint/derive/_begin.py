"""An empty working of a circuit whose point is known: names, states, stated values."""

from __future__ import annotations

import math

from steadypoint.circuit import Circuit, Kind
from steadypoint.derive._names import (
    ACTIVE,
    BREAKDOWN,
    FORWARD,
    OFF,
    REVERSE,
    Names,
    givens,
    in_reverse,
)
from steadypoint.derive._nodal import LeftOut
from steadypoint.derive._twins import reverse_gain, ties
from steadypoint.derive._working import Working
from steadypoint.devices import bipolar_data, thermal_voltage
from steadypoint.solve import Assumptions, OperatingPoint, neglects


def begin(
    circuit: Circuit,
    point: OperatingPoint,
    *,
    board: bool,
    turn: bool = False,
    assumed: Assumptions | None = None,
    sheet: Circuit | None = None,
) -> Working:
    """An empty working.

    Parameters
    ----------
    circuit : Circuit
        What is worked.
    point : OperatingPoint
        Its solved point.
    board : bool
        True on the board rung.
    turn : bool, default False
        Swap collector and emitter of transistors in reverse.
    assumed : Assumptions, optional
        What the board assumes beyond its rule.
    sheet : Circuit, optional
        The circuit with its channels, where sources of drain currents stand for them.

    Returns
    -------
    Working
    """
    states = states_of_point(circuit, point)
    swapped = frozenset(n for n, state in states.items() if turn and state == REVERSE)
    whole, circuit = sheet or circuit, in_reverse(circuit, swapped)
    states |= dict.fromkeys(swapped, ACTIVE)
    names = Names.of(circuit, swapped, channels=sheet is not None)
    given = givens(circuit, names)
    log_law = set()
    for part in circuit.transistors:
        solved = point.transistors[part.name]
        data = bipolar_data(part.option)
        apart = part.matched_to and abs(abs(solved.V_BE) - data.V_BE) > 1e-12
        if part.name not in swapped and (data.log_law or apart):
            given[names.junction(part)] = abs(solved.V_BE)
            log_law.add(part.name)
    for tie in ties(circuit, names, states, given):
        for junction in tie:
            if junction.both:
                gain = bipolar_data(junction.part.option).beta_R
                given[reverse_gain(names, junction.part)] = gain
    if log_law:
        given["V_T"] = thermal_voltage(point.temperature)
    work = Working(circuit, names, states, given, board=board)
    work.log_law = frozenset(log_law)
    if board:
        # I_E = I_C belongs to the active region
        active = [q for q, state in states.items() if state == ACTIVE]
        rule, work.neglects = (
            tuple(n for n in left_out(whole, a) if n.kind != "emitter" or n.transistor in active)
            for a in (None, assumed)
        )
        work.refused = tuple(n for n in rule if n not in work.neglects)
        work.budget = assumed.budget if assumed else math.inf
        work.equal_I_E = frozenset(n.transistor for n in work.neglects if n.kind == "emitter")
    return work


def left_out(circuit: Circuit, assumed: Assumptions | None = None) -> tuple[LeftOut, ...]:
    """What the board rung leaves out of this circuit, as ``solve`` decides it."""
    return tuple(
        LeftOut(n.kind, n.transistor, n.node, tuple(n.parts), n.ratio)
        for n in neglects(circuit, assumed)
    )


def states_of_point(circuit: Circuit, point: OperatingPoint) -> dict[str, str]:
    """Region of every transistor and state of every diode at a solved point."""
    states = {name: str(t.region.value) for name, t in point.transistors.items()}
    for part in circuit.parts:
        if part.kind in (Kind.DIODE, Kind.ZENER):
            amps = point.parts[part.name].I
            states[part.name] = FORWARD if amps > 1e-15 else BREAKDOWN if amps < -1e-15 else OFF
    return states
