"""Changes of a circuit in words: ``beta x2``, ``RB /10``, ``V_BE -50mV``, ``T 25..65``, a type."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from steadypoint.circuit import Circuit, apply_setting
from steadypoint.devices import NOMINAL_TEMPERATURE, bipolar_data, diode_data, registered_kind
from steadypoint.errors import QuantityError, SteadypointError
from steadypoint.solve._many_settings import TEMPERATURE, Target, targets
from steadypoint.values import Quantity, format_quantity, read_quantity

EXAMPLES: Final = "beta x2, RB /10, VCC +10%, V_BE -50mV, T 25..65, RE=560 or Q1=2N2222A"

_FORM: Final = re.compile(
    r"\s*(?P<name>[^\s=×*/+\-−]+?(?:[ .](?!x\b|x\d)[A-Za-zβ]\w*)?)\s*"
    r"(?P<sign>\.\.|=|×|\*|/|\+|-|−|\s[x]\s?(?=[\d.])|\s)\s*(?P<rest>\S.*?)\s*"
)
_LETTERED: Final = {"T": TEMPERATURE, "β": "beta"}
_KELVIN: Final = 273.15


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a circuit, understood.

    Parameters
    ----------
    text : str
        As it was written.
    words : str
        In words, with both values: ``β of Q1 from 150 to 300``.
    settings_before, settings_after : tuple of (Target or None, float)
        What is set before and after; None is the temperature.
    new_type : tuple of str
        Transistor and the registered type that it becomes, or empty.
    """

    text: str
    words: str
    settings_before: tuple[tuple[Target | None, float], ...]
    settings_after: tuple[tuple[Target | None, float], ...]
    new_type: tuple[str, ...] = ()

    @property
    def of_temperature(self) -> bool:
        """Whether the temperature changes."""
        return any(target is None for target, _ in self.settings_after)

    def before(self, circuit: Circuit) -> Circuit:
        """The circuit before the change; other than as stated where a range was written.

        Parameters
        ----------
        circuit : Circuit
            The circuit.
        """
        return _applied(circuit, self.settings_before)

    def after(self, circuit: Circuit) -> Circuit:
        """The circuit after the change.

        Parameters
        ----------
        circuit : Circuit
            The circuit.
        """
        if self.new_type:
            name, registered = self.new_type
            part = replace(circuit.part(name), type_name=registered, options=())
            return circuit.with_part(part)
        return _applied(circuit, self.settings_after)


def read_changes(circuit: Circuit, text: str) -> tuple[Change, ...]:
    """Changes that a reader writes, separated by commas, made together.

    Parameters
    ----------
    circuit : Circuit
        What is changed.
    text : str
        A name as for :func:`steadypoint.circuit.apply_setting` (``T`` is the temperature, in °C)
        and what becomes of it: ``x2``, ``/10``, ``+10%``, ``-50mV``, ``=560``, ``25..65`` (from one
        value to the other), or for a transistor another registered type, ``Q1=2N2222A``.

    Returns
    -------
    tuple of Change

    Raises
    ------
    UnknownNameError
        If the circuit has nothing of this name; the nearest is suggested.
    QuantityError
        If the words say no change, or a value is out of reason.

    Examples
    --------
    >>> from steadypoint.circuit import arrangement
    >>> read_changes(arrangement("base bias").circuit, "beta x2")[0].words
    'β of Q1 from 150 to 300'
    """
    pieces = [piece for piece in text.split(",") if piece.strip()]
    if not pieces:
        raise QuantityError(f"There is no change to make. Write {EXAMPLES}.")
    return tuple(_read(circuit, piece.strip()) for piece in pieces)


def _read(circuit: Circuit, text: str) -> Change:
    found = _FORM.fullmatch(text)
    if found is None:
        raise QuantityError(f"'{text}' is no change. Write {EXAMPLES}.")
    name, sign, rest = found["name"].strip(), found["sign"].strip(), found["rest"]
    name = _LETTERED.get(name, name)
    if name.lower() == TEMPERATURE:
        name = TEMPERATURE
    part = next((p for p in circuit.transistors + circuit.fets if p.name == name), None)
    if sign == "=" and part is not None:
        return _exchanged(circuit, text, name, rest)
    where: list[Target | None] = [*targets(circuit, name)] or [None]
    starts, ends = [], []
    for target in where:
        before, after = _ends(circuit, target, name, (sign, rest), text)
        starts.append((target, before))
        ends.append((target, after))
    ranged = ".." in rest
    words = _words(circuit, starts, ends)
    change = Change(text, words, tuple(starts) if ranged else (), tuple(ends))
    change.after(change.before(circuit))  # refuses what is out of reason
    return change


def _exchanged(circuit: Circuit, text: str, name: str, registered: str) -> Change:
    part = circuit.part(name)
    kind = registered_kind(registered)
    if not kind:
        raise QuantityError(
            f"'{registered}' is no registered type. Write one that steadypoint parts lists, "
            f"or a figure of {name}, such as {name}.beta=200."
        )
    if kind != part.kind.value:
        raise QuantityError(
            f"{name} is {part.kind.spoken} and {registered} is not. Name a type of the same kind."
        )
    old = part.type_name or "as stated"
    return Change(text, f"{name} from {old} to {registered}", (), (), (name, registered))


def _ends(
    circuit: Circuit, target: Target | None, name: str, form: tuple[str, str], text: str
) -> tuple[float, float]:
    """Values before and after. [SI]"""
    sign, rest = form
    if sign == "" and rest[:1] == "x" and rest[1:2].isdigit():
        sign, rest = "x", rest[1:]
    if ".." in rest and sign in ("-", "−"):
        sign, rest = "", f"-{rest}"
    if sign == "" and ".." in rest:
        first, _, second = rest.partition("..")
        return _value(circuit, target, first, text), _value(circuit, target, second, text)
    before = _stated(circuit, target, name)
    if sign == "=":
        return before, _value(circuit, target, rest, text)
    if sign in ("x", "×", "*", "/"):
        if target is None:
            raise QuantityError(
                f"A temperature has no multiple ('{text}'). Write T 25..65 or T +20."
            )
        factor = _number(rest, text)
        return before, before / factor if sign == "/" else before * factor
    if sign in ("+", "-", "−"):
        way = 1.0 if sign == "+" else -1.0
        if rest.endswith("%") and target is not None:
            return before, before * (1.0 + way * _number(rest[:-1], text) / 100.0)
        return before, before + way * _difference(circuit, target, rest, text)
    raise QuantityError(f"'{text}' is no change. Write {EXAMPLES}.")


def _number(text: str, whole: str) -> float:
    try:
        value = read_quantity(text.strip(), "").value
    except SteadypointError as fault:
        raise QuantityError(f"'{whole}': {fault}") from fault
    if not value > 0.0:
        raise QuantityError(f"'{whole}' needs a number above zero. Write {EXAMPLES}.")
    return value


def _unit(circuit: Circuit, target: Target | None) -> str:
    from steadypoint.circuit._trade import OPTIONS, VALUES

    if target is None:
        return "K"
    kind = circuit.part(target.part).kind
    return OPTIONS[kind][target.symbol].unit if target.symbol else VALUES[kind].unit


def _value(circuit: Circuit, target: Target | None, text: str, whole: str) -> float:
    text = text.strip()
    if target is None and re.fullmatch(r"[-−+]?[\d.]+", text):
        text += " °C"
    try:
        return read_quantity(text, _unit(circuit, target)).value
    except SteadypointError as fault:
        raise QuantityError(f"'{whole}': {fault}") from fault


def _difference(circuit: Circuit, target: Target | None, text: str, whole: str) -> float:
    if target is not None:
        return _value(circuit, target, text, whole)
    bare = re.sub(r"\s*(°?C|K)$", "", text.strip())
    return _number(bare, whole)


def _stated(circuit: Circuit, target: Target | None, name: str) -> float:
    """Value that holds before the change, defaults included. [SI]"""
    if target is None:
        return circuit.temperature.value if circuit.temperature else NOMINAL_TEMPERATURE
    part = circuit.part(target.part)
    if not target.symbol:
        if part.value is None:
            raise QuantityError(f"{name} has no value on the sheet to change. State one first.")
        return part.value.value
    value = part.option(target.symbol)
    if value is None and part.kind.is_bipolar:
        value = getattr(bipolar_data(part.option), target.symbol, None)
    elif value is None and not part.kind.is_transistor:
        value = getattr(diode_data(part.option), target.symbol, None)
    if value is None or value == float("inf"):
        raise QuantityError(
            f"The sheet states no {target.symbol} of {target.part} to start from. "
            f"Write both values, such as {target.symbol} 50..100, or state it."
        )
    return float(value)


def _applied(circuit: Circuit, settings: Sequence[tuple[Target | None, float]]) -> Circuit:
    for target, value in settings:
        if target is None:
            circuit = apply_setting(circuit, f"temperature={value - _KELVIN:.12g} °C")
            continue
        name = f"{target.part}.{target.symbol}" if target.symbol else target.part
        apply_setting(circuit, f"{name}={value:.17g}")  # the same bounds of reason
        part, unit = circuit.part(target.part), _unit(circuit, target)
        if target.symbol:
            part = part.with_option(target.symbol, Quantity(value, unit))
        else:
            part = replace(part, value=Quantity(value, unit))
        circuit = circuit.with_part(part)
    return circuit


def _words(
    circuit: Circuit,
    starts: Sequence[tuple[Target | None, float]],
    ends: Sequence[tuple[Target | None, float]],
) -> str:
    """``β of Q1 from 150 to 300``; several parts that change alike are named together."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for (target, before), (_, after) in zip(starts, ends, strict=True):
        unit = _unit(circuit, target)
        if target is None:
            first, second = (f"{T - _KELVIN:.4g} °C".replace("-", "−") for T in (before, after))
            return f"temperature from {first} to {second}"
        first, second = (_figure(v, unit) for v in (before, after))
        symbol = {"beta": "β"}.get(target.symbol, target.symbol)
        groups.setdefault((symbol, first, second), []).append(target.part)
    said = []
    for (symbol, first, second), parts in groups.items():
        owner = " and ".join(parts)
        what = f"{symbol} of {owner}" if symbol else owner
        said.append(f"{what} from {first} to {second}")
    return "; ".join(said)


def _figure(value: float, unit: str) -> str:
    return format_quantity(value, unit) if unit else f"{value:.4g}"
