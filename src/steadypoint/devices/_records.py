"""Data records of registered types, read from the catalogue's TOML files.

A figure without unit, condition or source is refused: nobody could check it.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final

from steadypoint.errors import DeviceError, QuantityError
from steadypoint.values import read_quantity

FROM_MEMORY: Final = "from memory"
"""Source of a figure that nobody looked up."""

KINDS: Final = (
    "npn",
    "pnp",
    "n-channel JFET",
    "p-channel JFET",
    "n-channel MOSFET",
    "p-channel MOSFET",
)

_KINDS: Final = ", ".join(KINDS)

RATINGS: Final = {
    "V_CEO": "V",
    "V_CBO": "V",
    "V_EBO": "V",
    "V_DS": "V",
    "V_GS": "V",
    "I_C_max": "A",
    "I_D_max": "A",
    "P_tot": "W",
    "R_thJA": "K/W",
    "T_J_max": "K",
}
"""Limiting values by symbol with the unit they are kept in."""

FIGURES: Final = {
    "h_FE": "-",
    "V_BE": "V",
    "V_BE_sat": "V",
    "V_CE_sat": "V",
    "h_oe": "S",
    "I_CBO": "A",
    "V_GS_off": "V",
    "V_GS_th": "V",
    "V_GS_on": "V",
    "I_DSS": "A",
    "y_fs": "S",
    "y_os": "S",
    "r_DS_on": "Ω",
    "V_SD": "V",
}
"""Characteristics by symbol with the unit they are kept in."""

_PREFIX: Final = {"f": 1e-15, "p": 1e-12, "n": 1e-9, "µ": 1e-6, "m": 1e-3, "k": 1e3, "M": 1e6}
_CONDITION: Final = re.compile(r"(I_C|I_B|I_D|I_S|V_CE|V_CB|V_DS|V_GS|T_A|T_J) = ([^,;]+)")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a data sheet.

    Parameters
    ----------
    symbol : str
        What it is, such as ``h_FE``.
    min, typ, max : float or None
        Limits and typical value in SI units.
    unit : str
        SI unit; ``-`` for a pure number.
    at : str
        Condition as the sheet states it.
    conditions : tuple of (str, float)
        Currents and voltages of the condition in SI units.
    source : str
        Key of the source, or ``from memory``.
    page : int or None
        Page of the source.
    """

    symbol: str
    min: float | None
    typ: float | None
    max: float | None
    unit: str
    at: str
    conditions: tuple[tuple[str, float], ...]
    source: str
    page: int | None

    def given(self, symbol: str) -> float | None:
        """Value of a condition in SI units, or None when the figure states none.

        Parameters
        ----------
        symbol : str
            ``I_C``, ``V_CE`` ...
        """
        return dict(self.conditions).get(symbol)

    def holds(self, value: float, slack: float = 0.0) -> bool:
        """True when a value lies within the limits.

        Parameters
        ----------
        value : float
            Value in SI units.
        slack : float, default 0.0
            Relative room beyond the limits. [-]
        """
        low = -math.inf if self.min is None else self.min - slack * abs(self.min)
        high = math.inf if self.max is None else self.max + slack * abs(self.max)
        return low <= value <= high


@dataclass(frozen=True, slots=True)
class Source:
    """A document that figures were read from.

    Parameters
    ----------
    key : str
        Key that figures name.
    maker, title, edition : str
        Manufacturer, document, its date or revision.
    pages_inferred : bool, default False
        True when the copy that was read showed no page numbers; the order of the sheet gave them.
    """

    key: str
    maker: str
    title: str
    edition: str
    pages_inferred: bool = False

    @property
    def citation(self) -> str:
        """Maker, title and edition in one line, and whether the pages are inferred."""
        pages = " (pages inferred)" if self.pages_inferred else ""
        return f"{self.maker}, {self.title}, {self.edition}{pages}"


@dataclass(frozen=True, slots=True)
class PartRecord:
    """What the catalogue holds of a registered type, without the fitted model.

    Parameters
    ----------
    type_name : str
        Registered type.
    kind : str
        ``npn``, ``pnp``, ``n-channel JFET`` ...
    material : str
        ``silicon`` or ``germanium``.
    use : str
        What people take it for.
    package : str
        Case.
    aliases : tuple of str
        Other names of the same type.
    complement : str
        Type of the other polarity, or empty.
    note : str
        What a reader should know, or empty.
    ratings, figures : tuple of Figure
        Limiting values and characteristics; magnitudes for pnp types, the signs of the sheet for
        FETs turned to those of an n-channel type.
    sources : tuple of Source
        Documents that the figures name.
    """

    type_name: str
    kind: str
    material: str
    use: str
    package: str
    aliases: tuple[str, ...]
    complement: str
    note: str
    ratings: tuple[Figure, ...]
    figures: tuple[Figure, ...]
    sources: tuple[Source, ...]

    @property
    def is_bipolar(self) -> bool:
        """True for npn and pnp types."""
        return self.kind in ("npn", "pnp")

    def rating(self, symbol: str) -> float | None:
        """Limiting value in SI units, or None when the record has none.

        Parameters
        ----------
        symbol : str
            ``V_CEO``, ``I_C_max``, ``P_tot`` ...
        """
        for figure in self.ratings:
            if figure.symbol == symbol:
                return figure.max
        return None

    def of(self, symbol: str) -> tuple[Figure, ...]:
        """All figures of a symbol in the order of the record.

        Parameters
        ----------
        symbol : str
            ``h_FE``, ``V_BE_sat`` ...
        """
        return tuple(f for f in self.figures if f.symbol == symbol)


@cache
def read_data(name: str) -> dict[str, Any]:
    """Content of a file of the catalogue.

    Parameters
    ----------
    name : str
        File name.

    Returns
    -------
    dict
        The parsed file; callers do not change it.
    """
    text = files("steadypoint.devices").joinpath("catalogue", name).read_text(encoding="utf-8")
    return tomllib.loads(text)


def record_files() -> tuple[str, ...]:
    """Names of the catalogue's files with records of transistors, one for each class."""
    folder = files("steadypoint.devices").joinpath("catalogue")
    names = sorted(f.name for f in folder.iterdir() if f.name.endswith(".toml"))
    return tuple(n for n in names if n not in ("sources.toml", "fitted.toml", "diodes.toml"))


def records_of(data: Mapping[str, Any], sources: Mapping[str, Source]) -> tuple[PartRecord, ...]:
    """Records in a parsed file, checked.

    Parameters
    ----------
    data : mapping
        Parsed TOML with a list ``device``.
    sources : mapping
        Known sources by key.

    Returns
    -------
    tuple of PartRecord
        In the order of the file.

    Raises
    ------
    DeviceError
        If a record lacks what makes it checkable, or states it wrongly.
    """
    return tuple(_record(device, sources) for device in data.get("device", ()))


def sources_of(data: Mapping[str, Any]) -> dict[str, Source]:
    """Sources in a parsed file by their key.

    Parameters
    ----------
    data : mapping
        Parsed TOML with a table ``source``.

    Returns
    -------
    dict
        Sources by key.
    """
    return {
        key: Source(key, row["maker"], row["title"], row["edition"], row.get("pages") == "inferred")
        for key, row in data.get("source", {}).items()
    }


def _record(device: Mapping[str, Any], sources: Mapping[str, Source]) -> PartRecord:
    name = device.get("type", "")
    for key in ("type", "kind", "use", "package"):
        if not device.get(key):
            raise DeviceError(f"The device {name or '(no type)'} has no {key}. Write {key} = ...")
    if device["kind"] not in KINDS:
        raise DeviceError(f"{name}: the kind '{device['kind']}' is unknown. Use {_KINDS}.")
    default = device.get("source", "")
    ratings = tuple(_figures(name, device.get("ratings", {}), RATINGS, default, sources))
    figures = tuple(_figures(name, device.get("figures", {}), FIGURES, default, sources))
    named = dict.fromkeys(f.source for f in (*ratings, *figures) if f.source != FROM_MEMORY)
    return PartRecord(
        type_name=name,
        kind=device["kind"],
        material=device.get("material", "silicon"),
        use=device["use"],
        package=device["package"],
        aliases=tuple(device.get("aliases", ())),
        complement=device.get("complement", ""),
        note=device.get("note", ""),
        ratings=ratings,
        figures=figures,
        sources=tuple(sources[key] for key in named),
    )


def _figures(
    owner: str,
    table: Mapping[str, Any],
    known: Mapping[str, str],
    default: str,
    sources: Mapping[str, Source],
) -> Iterable[Figure]:
    for symbol, rows in table.items():
        if symbol not in known:
            raise DeviceError(f"{owner}: '{symbol}' is no known figure. Use {', '.join(known)}.")
        for row in rows if isinstance(rows, list) else [rows]:
            yield _figure(f"{owner}, {symbol}", symbol, row, known[symbol], default, sources)


def _figure(
    place: str,
    symbol: str,
    row: Mapping[str, Any],
    base: str,
    default: str,
    sources: Mapping[str, Source],
) -> Figure:
    for key in ("unit", "at"):
        if not row.get(key):
            what = {"unit": "unit", "at": "condition"}[key]
            raise DeviceError(f"{place} has no {what}. Write {key} = ... beside its value.")
    source = row.get("source", default)
    if not source:
        raise DeviceError(f'{place} has no source. Name one, or write source = "from memory".')
    if source != FROM_MEMORY and source not in sources:
        raise DeviceError(f"{place}: the source '{source}' is not in sources.toml. Add it there.")
    page = row.get("page")
    if source != FROM_MEMORY and not isinstance(page, int):
        raise DeviceError(f"{place} has no page. Write page = ... for a figure with a document.")
    low, typ, high = (
        _si(place, row[k], row["unit"], base) if k in row else None for k in ("min", "typ", "max")
    )
    ordered = [v for v in (low, typ, high) if v is not None]
    if not ordered:
        raise DeviceError(f"{place} has no value. Write min, typ or max.")
    if ordered != sorted(ordered):
        raise DeviceError(f"{place}: min, typ and max are out of order.")
    conditions = _conditions(place, row["at"])
    return Figure(symbol, low, typ, high, base, row["at"], conditions, source, page)


def _si(place: str, value: Any, unit: str, base: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise DeviceError(f"{place}: {value!r} is no number.")
    if unit == base:
        return float(value)
    if base == "K" and unit == "°C":
        return float(value) + 273.15
    if unit[:1] in _PREFIX and unit[1:] == base:
        return float(f"{value}") * _PREFIX[unit[0]]
    raise DeviceError(f"{place} is in '{unit}', where a unit of {base} is wanted.")


def _conditions(place: str, text: str) -> tuple[tuple[str, float], ...]:
    found = []
    for symbol, value in _CONDITION.findall(text):
        unit = {"I": "A", "V": "V", "T": "K"}[symbol[0]]
        try:
            found.append((symbol, read_quantity(value.strip(), unit).value))
        except QuantityError as fault:
            raise DeviceError(f"{place}: in the condition '{text}': {fault}") from fault
    return tuple(found)
