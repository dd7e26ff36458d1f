"""Changes of a circuit that a reader types: ``beta=200``, ``RB=30k``, ``Q1.V_BE=0.65V``."""

from __future__ import annotations

from dataclasses import replace

from steadypoint.circuit._figures import read_option
from steadypoint.circuit._model import Circuit, Kind, Part
from steadypoint.circuit._reason import option_fault, temperature_fault, value_fault
from steadypoint.circuit._trade import OPTIONS, VALUES, find_option
from steadypoint.errors import QuantityError, UnknownNameError, did_you_mean
from steadypoint.values import Quantity, read_quantity, read_tolerance

_EXAMPLES = "RB=30k, VCC=12V, beta=200, Q1.beta=200 or temperature=60C"


def apply_setting(circuit: Circuit, setting: str) -> Circuit:
    """Copy of a circuit with one setting changed.

    Parameters
    ----------
    circuit : Circuit
        What is changed.
    setting : str
        ``NAME=VALUE``. The name is a part or rail (its main value), a letter symbol (for every part
        that has it), a part and a letter symbol (``Q1.beta``), or ``temperature``. A tolerance may
        follow a main value (``RB=30k ±1%``); without one the part keeps its own.

    Returns
    -------
    Circuit
        The changed copy.

    Raises
    ------
    UnknownNameError
        If nothing in the circuit has this name; the nearest is suggested.
    QuantityError
        If the value is none, or out of reason.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> circuit = apply_setting(arrangement("base bias").circuit, "beta=200")
    >>> circuit.part("Q1").option("beta")
    200.0
    """
    name, equals, text = (piece.strip() for piece in setting.partition("="))
    if not equals or not name:
        raise QuantityError(f"'{setting.strip()}' is no setting. Write {_EXAMPLES}.")
    if not text:
        raise QuantityError(f"The setting '{name}=' has no value. Write {_EXAMPLES}.")
    parts = {part.name: part for part in circuit.parts}
    if name in parts:
        return circuit.with_part(_with_main_value(parts[name], text))
    if name.lower() == "temperature":
        return _with_temperature(circuit, text)
    owner, dot, symbol = name.partition(".")
    if not dot:
        owner, space, symbol = name.partition(" ")
        dot = space
    if dot and owner in parts:
        return circuit.with_part(_with_option(parts[owner], symbol.strip(), text))
    if not dot:
        changed = [p for p in circuit.parts if find_option(p.kind, name) in _shared(p)]
        if changed:
            for part in changed:
                circuit = circuit.with_part(_with_option(part, name, text))
            return circuit
    raise UnknownNameError(_unknown(circuit, name, owner if dot else name))


def _shared(part: Part) -> frozenset[str]:
    """Symbols that a setting without a part changes: the data of junctions, never ratings."""
    if part.kind.is_transistor or part.kind in (Kind.DIODE, Kind.ZENER):
        return frozenset(OPTIONS[part.kind])
    return frozenset()


def _unknown(circuit: Circuit, name: str, wanted: str) -> str:
    symbols = {s for p in circuit.parts for s in _shared(p)}
    known = [p.name for p in circuit.parts] + sorted(symbols) + ["temperature"]
    hint = did_you_mean(wanted, known)
    if not hint:
        names = ", ".join(p.name for p in circuit.parts)
        hint = f" It has {names}." if names else ""
    return f"The circuit has nothing called '{wanted}' to set.{hint}"


def _with_main_value(part: Part, text: str) -> Part:
    if part.kind not in VALUES:
        symbols = ", ".join(f"{part.name}.{s}" for s in list(OPTIONS[part.kind])[:3])
        raise QuantityError(
            f"{part.name} is {part.kind.spoken}, which has no value. Set {symbols}, say."
        )
    figure, sign, tolerance = text.partition("±")
    quantity = read_quantity(figure, VALUES[part.kind].unit)
    sentence = value_fault(part.name, part.kind, quantity)
    if sentence:
        raise QuantityError(sentence)
    kept = read_tolerance(tolerance) if sign else part.tolerance
    return replace(part, value=quantity, tolerance=kept)


def _with_option(part: Part, word: str, text: str) -> Part:
    symbol = find_option(part.kind, word)
    if symbol is None:
        known = list(OPTIONS.get(part.kind, {}))
        hint = did_you_mean(word, known) or (f" Known are {', '.join(known)}." if known else "")
        raise UnknownNameError(f"{part.name} is {part.kind.spoken}, which has no '{word}'.{hint}")
    quantity: Quantity = read_option(text, symbol, OPTIONS[part.kind][symbol].unit)
    sentence = option_fault(part.name, part.kind, symbol, quantity)
    if sentence:
        raise QuantityError(sentence)
    return part.with_option(symbol, quantity)


def _with_temperature(circuit: Circuit, text: str) -> Circuit:
    quantity = read_quantity(text, "K")
    sentence = temperature_fault(quantity)
    if sentence:
        raise QuantityError(sentence)
    return replace(circuit, temperature=quantity)
