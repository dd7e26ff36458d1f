"""What must hold at every corner, in sums of unknowns that people can read."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from steadypoint.choose._hand_model import HandModel
from steadypoint.choose._problem import Condition
from steadypoint.choose._small_signal import signal_ratio
from steadypoint.circuit import GROUND, Circuit, Kind
from steadypoint.devices import thermal_voltage
from steadypoint.errors import CircuitError
from steadypoint.values import format_quantity

if TYPE_CHECKING:
    from steadypoint.choose._wish import Wish

_NEAR: Final = 0.1


def conditions_of(wish: Wish, model: HandModel) -> tuple[Condition, ...]:
    """Conditions of a wish, with names that people read.

    Parameters
    ----------
    wish : Wish
        What is wanted.
    model : HandModel
        The circuit's.

    Returns
    -------
    tuple of Condition
    """
    found: list[Condition] = []
    for name in model.transistors:
        swing = wish.room if name == wish.transistor else 0.0
        room = wish.least_voltage + swing
        if math.isinf(room):
            continue
        words = f"V_CE of {name} at least {format_quantity(wish.least_voltage, 'V')}"
        if swing:
            words += f" below a swing of {format_quantity(swing, 'V')}"
        found.append(Condition(words, _V_CE(wish.circuit, name, -room)))
    found += _collector_conditions(wish, model)
    found += rating_conditions(wish, model)
    found += input_condition(wish)
    limit = wish.supply_limit
    rails = {f"I({v.name})": 1.0 for v in model.net.voltages if v.value > 0.0 and v.end < 0}
    if rails:
        words = f"supply current at most {format_quantity(limit, 'A')}"
        found.append(Condition(words, {**rails, "": limit}))
    if wish.V_CE is not None:
        wanted = format_quantity(wish.V_CE, "V")
        above = _V_CE(wish.circuit, wish.transistor, -(1.0 - _NEAR) * wish.V_CE)
        below = {k: -v for k, v in _V_CE(wish.circuit, wish.transistor, 0.0).items() if k}
        below[""] = (1.0 + _NEAR) * wish.V_CE
        found.append(Condition(f"V_CE not under {wanted} by more than 10 %", above, nominal=True))
        found.append(Condition(f"V_CE not over {wanted} by more than 10 %", below, nominal=True))
    for d in model.net.diodes:
        found.append(Condition(f"{d.name} conducting", {f"I({d.name})": 1.0}))
    if wish.within is not None:
        found += _current(wish, wish.within, nominal=False)
    if wish.centred is not None:
        found += _current(wish, wish.centred, nominal=True)
    return tuple(found)


def _current(wish: Wish, share: float, *, nominal: bool) -> list[Condition]:
    current, name = wish.collector_current, f"I_C({wish.transistor})"
    words = f"I_C within ±{100 * share:.3g} %" + (" in the middle" if nominal else "")
    return [
        Condition(words, {name: 1.0, "": -(1.0 - share) * current}, nominal),
        Condition(words, {name: -1.0, "": (1.0 + share) * current}, nominal),
    ]


def _collector_conditions(wish: Wish, model: HandModel) -> list[Condition]:
    """Swing up, and gain, where a resistor leads from the collector to a rail."""
    found = collector_resistor(wish.circuit, wish.transistor)
    if found is None:
        if wish.gain or wish.swing:
            raise CircuitError(
                f"No resistor leads from the collector of {wish.transistor} to a rail, so neither "
                "gain nor swing can be wished for. Leave them out."
            )
        return []
    name, rail = found
    part = wish.circuit.part(wish.transistor)
    s = 1.0 if part.kind is Kind.NPN else -1.0
    drop = {f"V({part.nodes[0]})": -s, f"V({rail})": s}
    drop.pop("V(ground)", None)
    conditions = []
    if wish.room:
        words = f"a swing of {format_quantity(wish.room, 'V')} across {name}"
        conditions.append(Condition(words, {**drop, "": -wish.room}))
    if wish.collector_drop:
        words = f"{format_quantity(wish.collector_drop, 'V')} across {name} in the middle"
        conditions.append(Condition(words, {**drop, "": -wish.collector_drop}, nominal=True))
    if wish.gain:
        least = wish.gain * thermal_voltage(wish.temperature[1])
        conditions.append(Condition(f"gain at least {wish.gain:g}", {**drop, "": -least}))
    return conditions


def collector_resistor(circuit: Circuit, transistor: str) -> tuple[str, str] | None:
    """The resistor from a collector to a rail or to ground, with that rail.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    transistor : str
        Its name.
    """
    collector = circuit.part(transistor).nodes[0]
    rails = {p.nodes[0] for p in circuit.parts if p.kind is Kind.SUPPLY} | {GROUND}
    for part in circuit.parts:
        if part.kind is Kind.RESISTOR and collector in part.nodes:
            other = part.nodes[1] if part.nodes[0] == collector else part.nodes[0]
            if other in rails and collector not in rails:
                return part.name, other
    return None


def _V_CE(circuit: Circuit, transistor: str, constant: float) -> dict[str, float]:
    part = circuit.part(transistor)
    s = 1.0 if part.kind is Kind.NPN else -1.0
    terms = {f"V({part.nodes[0]})": s, f"V({part.nodes[2]})": -s}
    terms.pop("V(ground)", None)
    return {**terms, "": constant}


def rating_conditions(wish: Wish, model: HandModel) -> list[Condition]:
    """Limits of voltage, current and dissipation of every transistor.

    Parameters
    ----------
    wish : Wish
        What is wanted.
    model : HandModel
        The circuit's.

    Returns
    -------
    list of Condition

    Notes
    -----
    A product of two unknowns is no sum of them. V·I is never more than ((V + R·I)/2)²/R, whatever
    R is, so V + R·I ≤ 2 √(P·R) keeps the dissipation under P; with R near V/I of the point hardly
    anything is lost (at a tenth beside it a quarter of a per cent).
    """
    found: list[Condition] = []
    for name in model.transistors:
        part = wish.circuit.part(name)
        V, I, P = (  # noqa: E741  letter symbols
            part.option(symbol) if wanted is None else wanted
            for symbol, wanted in (
                ("V_CEO", wish.most_voltage),
                ("I_C_max", wish.most_current),
                ("P_tot", wish.most_power),
            )
        )
        current = f"I_C({name})"
        if V is not None:
            words = f"V_CE of {name} at most {format_quantity(V, 'V')}"
            found.append(Condition(words, {**_turned(_V_CE(wish.circuit, name, 0.0)), "": V}))
        if I is not None:
            words = f"I_C of {name} at most {format_quantity(I, 'A')}"
            found.append(Condition(words, {current: -1.0, "": I}))
        if P is not None:
            R = _point_resistance(wish)
            words = f"dissipation of {name} at most {format_quantity(P, 'W')}"
            terms = {**_turned(_V_CE(wish.circuit, name, 0.0)), current: -R}
            found.append(Condition(words, {**terms, "": 2.0 * math.sqrt(P * R)}))
    return found


def _turned(terms: dict[str, float]) -> dict[str, float]:
    return {name: -factor for name, factor in terms.items() if name}


def _point_resistance(wish: Wish) -> float:
    """V_CE/I_C of the wished point in whole ohms; half the supply where no V_CE is wished. [Ω]"""
    rails = [p.value.value for p in wish.circuit.parts if p.kind is Kind.SUPPLY and p.value]
    V = wish.V_CE or 0.5 * (max([0.0, *rails]) - min([0.0, *rails])) or 1.0
    return max(1.0, float(round(V / wish.collector_current)))


def input_condition(wish: Wish) -> list[Condition]:
    """The least resistance that a signal sees.

    Parameters
    ----------
    wish : Wish
        What is wanted.

    Returns
    -------
    list of Condition

    Raises
    ------
    CircuitError
        If no resistance can be told at the input.
    """
    if not wish.input_resistance:
        return []
    r_e = thermal_voltage(wish.temperature[0]) / wish.collector_current
    signal = signal_ratio(wish.circuit, wish.transistor, wish.input_resistance, r_e)
    if signal is None:
        raise CircuitError(
            f"A capacitor or a rail shorts the base of {wish.transistor} for the signal, so no "
            "input resistance can be wished for. Leave it out, or name the input node IN."
        )
    words = f"input resistance at least {format_quantity(wish.input_resistance, 'Ω')}"
    return [Condition(words, {}, signal=signal)]
