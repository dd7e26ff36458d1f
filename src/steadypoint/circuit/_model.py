"""The circuit: an immutable list of parts between named nodes."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from steadypoint.errors import CircuitError, QuantityError, UnknownNameError, did_you_mean
from steadypoint.values import Quantity

GROUND: Final = "ground"


class Kind(StrEnum):
    """What a part is; the value is the word that people read."""

    SUPPLY = "supply"
    RESISTOR = "resistor"
    CAPACITOR = "capacitor"
    INDUCTOR = "inductor"
    VOLTAGE_SOURCE = "voltage source"
    CURRENT_SOURCE = "current source"
    DIODE = "diode"
    ZENER = "zener"
    NPN = "npn"
    PNP = "pnp"
    N_JFET = "n-channel JFET"
    P_JFET = "p-channel JFET"
    N_MOSFET = "n-channel MOSFET"
    P_MOSFET = "p-channel MOSFET"

    @property
    def is_transistor(self) -> bool:
        """True for three-terminal amplifying parts, bipolar or field-effect."""
        return self in _TRANSISTORS

    @property
    def is_bipolar(self) -> bool:
        """True for npn and pnp transistors."""
        return self is Kind.NPN or self is Kind.PNP

    @property
    def is_fet(self) -> bool:
        """True for field-effect transistors, of either channel and either kind of gate."""
        return self in _FETS

    @property
    def spoken(self) -> str:
        """The kind with its article, for sentences: ``a resistor``, ``an npn transistor``."""
        noun = f"{self.value} transistor" if self.is_bipolar else self.value
        noun = f"{noun} diode" if self is Kind.ZENER else noun
        return f"{'an' if self in _WITH_AN else 'a'} {noun}"

    @property
    def terminals(self) -> tuple[str, ...]:
        """Names of the terminals in the order of ``Part.nodes``."""
        return _TERMINALS.get(self, ("start", "end"))


_FETS: Final = frozenset({Kind.N_JFET, Kind.P_JFET, Kind.N_MOSFET, Kind.P_MOSFET})
_TRANSISTORS: Final = _FETS | {Kind.NPN, Kind.PNP}
_WITH_AN: Final = frozenset({Kind.NPN, Kind.INDUCTOR, Kind.N_JFET, Kind.N_MOSFET})
_TERMINALS: Final[dict[Kind, tuple[str, ...]]] = {
    **dict.fromkeys(_FETS, ("drain", "gate", "source")),
    Kind.NPN: ("collector", "base", "emitter"),
    Kind.PNP: ("collector", "base", "emitter"),
    Kind.DIODE: ("anode", "cathode"),
    Kind.ZENER: ("anode", "cathode"),
    Kind.SUPPLY: ("plus", "minus"),
    Kind.VOLTAGE_SOURCE: ("plus", "minus"),
}


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a circuit.

    Parameters
    ----------
    name : str
        Reference designator as written, for instance ``RB`` or ``Q1``.
    kind : Kind
        What the part is.
    nodes : tuple of str
        Node names in the order of ``kind.terminals``. A two-terminal part's current counts positive
        from the first to the second node and its voltage is that of the first against the second.
        For a supply the first node is the rail and the second is ground.
    value : Quantity or None
        Main value: resistance [Ω], capacitance [F], inductance [H], source voltage [V], source
        current [A], zener voltage [V]. None for transistors and plain diodes.
    tolerance : float or None
        Relative tolerance of the value, 0.05 for ±5 %. [-]
    options : tuple of (str, Quantity)
        Further data by letter symbol (``beta``, ``V_BE``, ``V_CE_sat``, ``V_A``, ``I_S`` ...),
        sorted by name.
    type_name : str
        Registered type (``2N3904``), or empty for a generic part.
    matched_to : str
        Name of the transistor that this one is matched to, or empty.
    traits : tuple of str
        Words that say more about the part: ``electrolytic``, ``LED``, the colour of an LED,
        ``NTC``, ``PTC``, ``depletion``.
    """

    name: str
    kind: Kind
    nodes: tuple[str, ...]
    value: Quantity | None = None
    tolerance: float | None = None
    options: tuple[tuple[str, Quantity], ...] = ()
    type_name: str = ""
    matched_to: str = ""
    traits: tuple[str, ...] = ()

    def node(self, terminal: str) -> str:
        """Node at a terminal, for instance ``node("base")``."""
        return self.nodes[self.kind.terminals.index(terminal)]

    def option(self, symbol: str) -> float | None:
        """Value of an option in SI units, or None when neither sheet nor catalogue states it.

        What the sheet states goes before the typical figures of a registered transistor type, and
        before the typical forward voltage of an LED of its colour.
        """
        for name, quantity in self.options:
            if name == symbol:
                return quantity.value
        if symbol == "V_F" and self.kind is Kind.DIODE:
            return self._typical_V_F()
        return self._typical(symbol) if self.type_name and self.kind.is_transistor else None

    @property
    def colour(self) -> str:
        """Colour of a light-emitting diode, or empty where the sheet states none."""
        from steadypoint.devices import led_colours

        known = led_colours() if self.kind is Kind.DIODE and self.traits else ()
        return next((t for t in self.traits if t in known), "")

    def _typical_V_F(self) -> float | None:
        from steadypoint.devices import led_voltage

        colour = self.colour
        return led_voltage(colour) if colour else None

    def _typical(self, symbol: str) -> float | None:
        from steadypoint.devices import registered_kind, typical_options

        if registered_kind(self.type_name) != self.kind.value:
            return None
        return typical_options(self.type_name).get(symbol)

    def with_option(self, symbol: str, quantity: Quantity) -> Part:
        """Copy with one option replaced or added."""
        kept = [(n, q) for n, q in self.options if n != symbol]
        return replace(self, options=tuple(sorted([*kept, (symbol, quantity)])))


@dataclass(frozen=True, slots=True)
class PlaceHint:
    """Where a lecturer wants a part in the drawing: ``place RB above``.

    Parameters
    ----------
    part : str
        Name of a part with two terminals.
    where : str
        ``above`` or ``below`` all transistors, ``across``, ``upright``, ``left`` or ``right``.
    beside : str
        For ``left`` and ``right``: the part or transistor it stands left or right of; without one
        it stands on that side of all transistors.
    """

    part: str
    where: str
    beside: str = ""

    def __str__(self) -> str:
        """The words of the sheet after ``place``."""
        return f"{self.part} {self.where}{f' of {self.beside}' if self.beside else ''}"


@dataclass(frozen=True, slots=True)
class Circuit:
    """A circuit; equal when title, temperature, parts and hints are equal.

    Parameters
    ----------
    parts : tuple of Part
        All parts, supplies included, in the order of the sheet.
    title : str
        Title line of the sheet.
    temperature : Quantity or None
        Temperature stated in the sheet. [K]
    hints : tuple of PlaceHint
        Where parts are wanted in the drawing; they change no figure.
    """

    parts: tuple[Part, ...]
    title: str = ""
    temperature: Quantity | None = None
    hints: tuple[PlaceHint, ...] = ()

    def part(self, name: str) -> Part:
        """Part by its name.

        Raises
        ------
        UnknownNameError
            If no part has this name; the nearest name is suggested.
        """
        for part in self.parts:
            if part.name == name:
                return part
        near = did_you_mean(name, [p.name for p in self.parts])
        raise UnknownNameError(f"The circuit has no part '{name}'.{near}")

    @property
    def nodes(self) -> tuple[str, ...]:
        """All node names in order of first mention, ground included."""
        return tuple(dict.fromkeys(n for p in self.parts for n in p.nodes))

    @property
    def supplies(self) -> tuple[Part, ...]:
        """The supply rails."""
        return tuple(p for p in self.parts if p.kind is Kind.SUPPLY)

    @property
    def transistors(self) -> tuple[Part, ...]:
        """The bipolar transistors in the order of the sheet."""
        return tuple(p for p in self.parts if p.kind.is_bipolar)

    @property
    def fets(self) -> tuple[Part, ...]:
        """The field-effect transistors in the order of the sheet."""
        return tuple(p for p in self.parts if p.kind.is_fet)

    def with_part(self, part: Part) -> Circuit:
        """Copy with a part replaced (same name) or added at the end."""
        if any(p.name == part.name for p in self.parts):
            return replace(
                self, parts=tuple(part if p.name == part.name else p for p in self.parts)
            )
        return replace(self, parts=(*self.parts, part))

    def without(self, name: str) -> Circuit:
        """Copy without the part of this name and the hints that name it."""
        gone = self.part(name)
        hints = tuple(h for h in self.hints if name not in (h.part, h.beside))
        return replace(self, parts=tuple(p for p in self.parts if p is not gone), hints=hints)

    def with_value(self, name: str, value: Quantity | float) -> Circuit:
        """Copy with a changed main value.

        Parameters
        ----------
        name : str
            Name of the part or rail.
        value : Quantity or float
            New value; a float is taken in the SI unit the part already has.

        Raises
        ------
        UnknownNameError
            If no part has this name.
        QuantityError
            If the part has no main value, or the value is of another unit or out of reason.
        """
        from steadypoint.circuit._reason import value_fault
        from steadypoint.circuit._trade import VALUES

        part = self.part(name)
        if part.kind not in VALUES:
            raise QuantityError(f"{name} is {part.kind.spoken}, which has no main value to change.")
        if not isinstance(value, Quantity):
            value = Quantity(float(value), VALUES[part.kind].unit)
        sentence = value_fault(name, part.kind, value)
        if sentence:
            raise QuantityError(sentence)
        return self.with_part(replace(part, value=value))

    def __str__(self) -> str:
        """The circuit sheet, if a sheet can carry the names of this circuit."""
        from steadypoint.circuit._writer import write_sheet

        try:
            return write_sheet(self)
        except CircuitError:
            return repr(self)

    def _repr_mimebundle_(self, include: object = None, exclude: object = None) -> dict[str, str]:
        """What a notebook shows: the sheet, and every view that a layer above has added."""
        # By name, so that nothing here hangs on it: the layer adds its view as it is loaded.
        importlib.import_module("steadypoint.draw")
        bundle = {"text/plain": str(self).rstrip("\n")}
        for media_type, view in _VIEWS.items():
            bundle[media_type] = view(self)
        return bundle


_VIEWS: Final[dict[str, Callable[[Circuit], str]]] = {}


def add_view(media_type: str, view: Callable[[Circuit], str]) -> None:
    """Let notebooks show circuits in a further way.

    Parameters
    ----------
    media_type : str
        For instance ``image/svg+xml``.
    view : callable
        Gives the text of that type for a circuit.
    """
    _VIEWS[media_type] = view
