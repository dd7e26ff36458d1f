"""The desk: one circuit as the lecturer has it before them, and the same as it was before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any, Final

from steadypoint.circuit import Circuit, read_sheet
from steadypoint.derive import Derivation, derive
from steadypoint.errors import QuantityError, SteadypointError
from steadypoint.solve import FetPoint, OperatingPoint, TransistorPoint, operating_point

MODELS: Final = ("board", "exact", "device")
MOST_PARTS: Final = 60
"""Parts that a circuit on the desk may have; beyond that a drawing takes longer than a lecture."""

_LONGEST: Final = 20_000  # characters of a sheet


@dataclass(frozen=True, slots=True)
class Ask:
    """What the page wants to see.

    Parameters
    ----------
    sheet : str
        The circuit sheet.
    before : str
        The sheet as it was before a change that is neither kept nor put back, or empty.
    model : str
        Rung of the model ladder.
    area : str
        Which area is open.
    transistor : str
        Whose point is shown; the first by default.
    signal_parts : bool
        With capacitors and terminals.
    file : str
        Name of the file, for faults.
    folder : str
        The lecturer's folder, set by the lectern itself.
    options : mapping of str to str
        Choices within the area.
    """

    sheet: str
    before: str = ""
    model: str = "exact"
    area: str = "working"
    transistor: str = ""
    signal_parts: bool = True
    file: str = "sheet"
    folder: str = ""
    options: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, data: Mapping[str, Any]) -> Ask:
        """What a page has sent; anything that is no text counts as nothing."""

        def text(key: str, default: str = "") -> str:
            value = data.get(key, default)
            return value if isinstance(value, str) else default

        model = text("model", "exact")
        options = data.get("options")
        pairs = options.items() if isinstance(options, dict) else ()
        return cls(
            text("sheet"),
            text("before"),
            model if model in MODELS else "exact",
            text("area", "working"),
            text("transistor"),
            data.get("signal_parts") is not False,
            text("file", "sheet") or "sheet",
            text("folder"),
            {str(k)[:40]: v[:2000] for k, v in list(pairs)[:40] if isinstance(v, str)},
        )


class Desk:
    """What the page shows, worked out when it is asked for.

    Parameters
    ----------
    ask : Ask
        What the page wants.
    """

    def __init__(self, ask: Ask) -> None:
        self.ask = ask

    @cached_property
    def circuit(self) -> Circuit:
        """The circuit.

        Raises
        ------
        SteadypointError
            If the sheet has a fault.
        """
        return circuit_of(self.ask.sheet, self.ask.file)

    @cached_property
    def before(self) -> Circuit | None:
        """The circuit before the change, where there is one that makes a difference."""
        if not self.ask.before or self.ask.before == self.ask.sheet:
            return None
        try:
            circuit = circuit_of(self.ask.before, self.ask.file)
        except SteadypointError:
            return None
        return None if circuit == self.circuit else circuit

    @cached_property
    def point(self) -> OperatingPoint:
        """The operating point.

        Raises
        ------
        SteadypointError
            If there is none.
        """
        return point_of(self.circuit, self.ask.model)

    @cached_property
    def was(self) -> OperatingPoint | None:
        """The operating point before the change."""
        if self.before is None:
            return None
        try:
            return point_of(self.before, self.ask.model)
        except SteadypointError:
            return None

    @property
    def stages(self) -> Mapping[str, TransistorPoint | FetPoint]:
        """All transistors of the point."""
        return stages_of(self.point)

    @property
    def stage(self) -> TransistorPoint | FetPoint | None:
        """The transistor whose point is shown."""
        found = self.stages
        name = self.ask.transistor
        return found.get(name) or next(iter(found.values()), None)

    def stage_before(self) -> TransistorPoint | FetPoint | None:
        """The same transistor before the change."""
        if self.was is None or self.stage is None:
            return None
        return stages_of(self.was).get(self.stage.name)

    def option(self, name: str, default: str = "") -> str:
        """A choice within the area."""
        return self.ask.options.get(name, default)


def stages_of(point: OperatingPoint) -> dict[str, TransistorPoint | FetPoint]:
    """All transistors of a point by name, bipolar ones first."""
    found: dict[str, TransistorPoint | FetPoint] = dict(point.transistors)
    found.update(point.fets)
    return found


@lru_cache(maxsize=256)
def circuit_of(sheet: str, source: str = "sheet") -> Circuit:
    """A sheet read, of a size that a page can show.

    Raises
    ------
    SteadypointError
        If it has a fault or is too large.
    """
    if len(sheet) > _LONGEST:
        raise QuantityError(
            f"The sheet has {len(sheet):,} characters; the lectern takes {_LONGEST:,}. Split it."
        )
    circuit = read_sheet(sheet, source)
    if len(circuit.parts) > MOST_PARTS:
        raise QuantityError(
            f"The circuit has {len(circuit.parts)} parts; the lectern takes {MOST_PARTS}. Use the "
            "command line for circuits of that size."
        )
    return circuit


@lru_cache(maxsize=256)
def point_of(circuit: Circuit, model: str) -> OperatingPoint:
    """The operating point of a circuit on a rung.

    Raises
    ------
    SteadypointError
        If there is none.
    """
    return operating_point(circuit, model)


@lru_cache(maxsize=64)
def working_of(circuit: Circuit, rung: str, way: str = "loops") -> Derivation:
    """The working of a circuit.

    Raises
    ------
    SteadypointError
        If there is none.
    """
    return derive(circuit, rung, way=way)
