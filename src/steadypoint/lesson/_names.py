"""Names of quantities: what ``V_CE``, ``Q1.I_C`` or ``I_RB`` stand for in a solved circuit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Part
from steadypoint.errors import UnknownNameError
from steadypoint.lesson._source import suggestion
from steadypoint.lesson._tree import Amount, Letter, PartLabel, Text, Together
from steadypoint.solve import OperatingPoint, TransistorPoint
from steadypoint.values import Quantity, shown, split_symbol

_UNITS: Final = {"V": "V", "I": "A", "P": "W"}
_MEANINGS: Final = {
    "I_C": "collector current",
    "I_B": "base current",
    "I_E": "emitter current",
    "V_CE": "collector-emitter voltage",
    "V_EC": "emitter-collector voltage",
    "V_BE": "base-emitter voltage",
    "V_EB": "emitter-base voltage",
    "V_CB": "collector-base voltage",
    "V_C": "collector voltage",
    "V_B": "base voltage",
    "V_E": "emitter voltage",
    "P": "power in the transistor",
    "beta": "current gain",
}
_OF_A_TRANSISTOR: Final = tuple(_MEANINGS)
_QUIESCENT: Final = {"I_CQ": "I_C", "I_BQ": "I_B", "I_EQ": "I_E", "V_CEQ": "V_CE", "V_CQ": "V_C"}


@dataclass(frozen=True, slots=True)
class Found:
    """A quantity of a solved circuit.

    Parameters
    ----------
    value : float
        Its value, as lecturers write it: currents and powers of a pnp as magnitudes. [SI]
    unit : str
        SI unit without prefix.
    letter : Letter or PartLabel
        How its name is set.
    given : Quantity or None
        The stated figure when the circuit gives this value.
    """

    value: float
    unit: str
    letter: Letter | PartLabel
    given: Quantity | None = None

    def amount(self, digits: int | None = None) -> Amount:
        """Number and unit: stated figures as stated, computed ones with three digits."""
        if digits is None and self.given is not None:
            return given_amount(self.given)
        parts = shown(self.value, self.unit, digits or 3)
        return Amount(parts.number, parts.unit)


def given_amount(quantity: Quantity) -> Amount:
    """A stated figure with the digits in which it is stated."""
    parts = shown(quantity.value, quantity.unit, None)
    digits = quantity.digits
    if digits is not None and digits > sum(c.isdigit() for c in parts.number.lstrip("0.")):
        parts = shown(quantity.value, quantity.unit, digits)
    return Amount(parts.number, parts.unit)


def letter(name: str) -> Letter:
    """A letter symbol as it is set."""
    parts = split_symbol(name)
    return Letter(parts.base, parts.sub)


def part_label(name: str) -> PartLabel:
    """The name of a part as it is set."""
    parts = split_symbol(name)
    return PartLabel(parts.base, parts.sub)


def meaning(name: str) -> str:
    """A quantity in words, for readers who hear the page."""
    return _MEANINGS.get(name, name)


def equals(name: Letter | PartLabel, amount: Amount) -> Together:
    """A name, the sign of equality and an amount, kept on one line."""
    return Together([name, Text("\u00a0=\u00a0"), amount])


def find(point: OperatingPoint, name: str) -> Found:
    """The quantity of a name in a solved circuit.

    Parameters
    ----------
    point : OperatingPoint
        The solved circuit.
    name : str
        ``V_CE``, ``Q2.I_C``, ``I_RB``, ``V_OUT``, ``RB``, ``VCC``, ``beta`` ...

    Raises
    ------
    UnknownNameError
        If nothing is called so, or several transistors could be meant.
    """
    owner, dot, symbol = name.rpartition(".")
    if dot:
        if owner not in point.transistors:
            hint = suggestion(owner, point.transistors)
            raise UnknownNameError(f"The circuit has no transistor '{owner}'.{hint}")
        return _of_transistor(point, owner, symbol, name)
    symbol = _QUIESCENT.get(name, name)
    if symbol in _OF_A_TRANSISTOR:
        names = list(point.transistors)
        if len(names) == 1:
            return _of_transistor(point, names[0], symbol, name)
        if not names:
            raise UnknownNameError(f"The circuit has no transistor, so there is no {name}.")
        choices = " or ".join(f"{each}.{name}" for each in names)
        raise UnknownNameError(f"'{name}' of which transistor? Write {choices}.")
    found = _of_part(point, name) or _of_node(point, name)
    if found is None:
        hint = suggestion(name, known_names(point))
        raise UnknownNameError(f"The circuit has no quantity '{name}'.{hint}")
    return found


def numbered(symbol: str, owner: str) -> str:
    """A symbol with the number of its transistor: I_C of Q2 is I_C2, beta of Q2 is beta_2.

    Examples
    --------
    >>> numbered("I_C", "Q2"), numbered("beta", "Q2")
    ('I_C2', 'beta_2')
    """
    return f"{symbol}{owner[1:]}" if "_" in symbol else f"{symbol}_{owner[1:]}"


def _of_transistor(point: OperatingPoint, owner: str, symbol: str, name: str) -> Found:
    base = _QUIESCENT.get(symbol, symbol)
    set_as = letter(symbol if len(point.transistors) == 1 else numbered(symbol, owner))
    transistor = point.transistors[owner]
    if base == "beta":
        gain = next((q for n, q in point.circuit.part(owner).options if n == "beta"), None)
        return Found(gain.value if gain else 100.0, "", set_as, gain or Quantity(100.0, "", 3))
    if base not in _OF_A_TRANSISTOR:
        hint = suggestion(base, _OF_A_TRANSISTOR)
        raise UnknownNameError(f"A transistor has no quantity '{symbol}'.{hint}")
    return Found(transistor_value(transistor, base), _UNITS[base[0]], set_as)


def transistor_value(transistor: TransistorPoint, symbol: str) -> float:
    """Value of a transistor's quantity as lecturers write it. [SI]"""
    if symbol in ("V_EC", "V_EB"):
        return -float(getattr(transistor, f"V_{symbol[3]}{symbol[2]}"))
    if symbol == "V_CB":
        return transistor.V_C - transistor.V_B
    value = float(getattr(transistor, symbol))
    # What people read shows magnitudes for the currents of a pnp.
    return -value if symbol[0] == "I" and transistor.polarity == "pnp" else value


def _of_part(point: OperatingPoint, name: str) -> Found | None:
    parts = {_folded(part.name): part for part in point.circuit.parts}
    part = parts.get(_folded(name))
    if part is not None and part.value is not None:
        supply = part.kind.value == "supply"
        label = letter(part.name) if supply else part_label(part.name)
        return Found(part.value.value, part.value.unit, label, part.value)
    if name[:2] in ("I_", "V_", "P_"):
        part = parts.get(_folded(name[2:]))
        if part is not None and part.name in point.parts:
            return _through(point, part, name[0])
    return None


def _through(point: OperatingPoint, part: Part, kind: str) -> Found:
    value = float(getattr(point.parts[part.name], kind))
    return Found(value, _UNITS[kind], Letter(kind, part.name))


def _of_node(point: OperatingPoint, name: str) -> Found | None:
    if not name.startswith("V_"):
        return None
    for node, volts in point.nodes.items():
        if _folded(node) == _folded(name[2:]):
            return Found(volts, "V", Letter("V", node))
    return None


def _folded(name: str) -> str:
    return name.replace("_", "").casefold()


def known_names(point: OperatingPoint) -> list[str]:
    """Every name that this circuit understands, for suggestions."""
    return list(dict.fromkeys(_names(point)))


def _names(point: OperatingPoint) -> Iterator[str]:
    if len(point.transistors) == 1:
        yield from _OF_A_TRANSISTOR
    else:
        yield from (f"{q}.{s}" for q in point.transistors for s in _OF_A_TRANSISTOR)
    for part in point.circuit.parts:
        if part.value is not None:
            yield part.name
        if part.name in point.parts:
            yield from (f"{kind}_{part.name}" for kind in "IVP")
    yield from (f"V_{node}" for node in point.nodes if node != "ground")
