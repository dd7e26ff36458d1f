"""Names of quantities: what ``V_CE``, ``Q1.I_C`` or ``I_RB`` stand for in a solved circuit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from steadypoint.circuit import Part
from steadypoint.errors import UnknownNameError
from steadypoint.lesson._source import suggestion
from steadypoint.lesson._stages import (
    FET_MEANINGS,
    FET_STATED,
    MEANINGS,
    Stage,
    is_fet,
    stage_value,
    stages,
    symbols_of,
)
from steadypoint.lesson._tree import Amount, Letter, PartLabel, Text, Together
from steadypoint.solve import OperatingPoint
from steadypoint.values import Quantity, shown, split_symbol

_UNITS: Final = {"V": "V", "I": "A", "P": "W"}
_QUIESCENT: Final = {
    "I_DQ": "I_D",
    "V_DSQ": "V_DS",
    "I_CQ": "I_C",
    "I_BQ": "I_B",
    "I_EQ": "I_E",
    "V_CEQ": "V_CE",
    "V_CQ": "V_C",
}


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
    return {**MEANINGS, **FET_MEANINGS}.get(name, name)


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
        if owner not in stages(point):
            hint = suggestion(owner, stages(point))
            raise UnknownNameError(f"The circuit has no transistor '{owner}'.{hint}")
        return _of_transistor(point, owner, symbol, name)
    symbol = _QUIESCENT.get(name, name)
    known = {**MEANINGS, **FET_MEANINGS, **dict.fromkeys(FET_STATED)}
    owners = [n for n, stage in stages(point).items() if _knows(stage, symbol)]
    if symbol in known and (owners or symbol in MEANINGS):
        names = owners
        if len(names) == 1:
            return _of_transistor(point, names[0], symbol, name)
        if not names:
            kind = "bipolar transistor" if stages(point) else "transistor"
            raise UnknownNameError(f"The circuit has no {kind}, so there is no {name}.")
        choices = " or ".join(f"{each}.{name}" for each in names)
        raise UnknownNameError(f"'{name}' of which transistor? Write {choices}.")
    found = _of_part(point, name) or _of_node(point, name)
    if found is None:
        hint = suggestion(name, known_names(point))
        raise UnknownNameError(f"The circuit has no quantity '{name}'.{hint}")
    return found


def _knows(stage: Stage, symbol: str) -> bool:
    return symbol in symbols_of(stage) or (is_fet(stage) and symbol in FET_STATED)


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
    set_as = letter(symbol if len(stages(point)) == 1 else numbered(symbol, owner))
    transistor = stages(point)[owner]
    if is_fet(transistor) and base in FET_STATED:
        stated = point.circuit.part(owner).option(base)
        if stated is None:
            raise UnknownNameError(f"{owner} states no {symbol}. Add it to the sheet.")
        given = next((q for n, q in point.circuit.part(owner).options if n == base), None)
        return Found(stated, given.unit if given else "", set_as, given)
    if base == "beta" and not is_fet(transistor):
        gain = next((q for n, q in point.circuit.part(owner).options if n == "beta"), None)
        return Found(gain.value if gain else 100.0, "", set_as, gain or Quantity(100.0, "", 3))
    if base not in symbols_of(transistor):
        hint = suggestion(base, symbols_of(transistor))
        raise UnknownNameError(f"A transistor has no quantity '{symbol}'.{hint}")
    return Found(stage_value(transistor, base), _UNITS[base[0]], set_as)


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
    every = stages(point)
    for name, stage in every.items():
        yield from (s if len(every) == 1 else f"{name}.{s}" for s in symbols_of(stage))
    for part in point.circuit.parts:
        if part.value is not None:
            yield part.name
        if part.name in point.parts:
            yield from (f"{kind}_{part.name}" for kind in "IVP")
    yield from (f"V_{node}" for node in point.nodes if node != "ground")
