"""The catalogue of registered types: records, fitted models, and how well they fit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from steadypoint.devices._bipolar_model import BipolarModel
from steadypoint.devices._fet_model import FetModel
from steadypoint.devices._predictions import DeviceModel
from steadypoint.devices._records import (
    PartRecord,
    read_data,
    record_files,
    records_of,
    sources_of,
)
from steadypoint.devices._temperature import MATERIALS
from steadypoint.errors import DeviceError, UnknownNameError, did_you_mean


@dataclass(frozen=True, slots=True)
class FitPoint:
    """How a fitted model meets one figure of its data sheet.

    Parameters
    ----------
    symbol : str
        What the figure is.
    at : str
        Its condition.
    target : float or None
        Value that the fit aimed at, None where only a limit had to be kept. [SI]
    rule : str
        How the target follows from the figure: ``typical``, ``middle of the limits``, ``minimum,
        lifted``, ``a hundredth of the limit`` (I_CBO) or ``limit only``.
    fitted : float
        Value of the model. [SI]
    within : bool
        True when the model keeps the figure's limits.
    """

    symbol: str
    at: str
    target: float | None
    rule: str
    fitted: float
    within: bool

    @property
    def error(self) -> float | None:
        """Fitted value less target over the target's magnitude, None without target. [-]"""
        if self.target is None:
            return None
        return (self.fitted - self.target) / abs(self.target)


@cache
def records() -> Mapping[str, PartRecord]:
    """All records of the catalogue by their type name.

    Returns
    -------
    mapping of str to PartRecord
        In the order of the catalogue's files.

    Raises
    ------
    DeviceError
        If a record cannot be checked, or two carry the same name.
    """
    sources = sources_of(read_data("sources.toml"))
    found: dict[str, PartRecord] = {}
    for name in record_files():
        for record in records_of(read_data(name), sources):
            if record.type_name in found:
                raise DeviceError(f"The catalogue has {record.type_name} twice. Keep one.")
            found[record.type_name] = record
    return found


@cache
def _names() -> Mapping[str, str]:
    """Type names by every folded name and alias."""
    named = {r.type_name: r.aliases for r in records().values()}
    folded = {alias.upper(): t for t, aliases in named.items() for alias in aliases}
    return folded | {t.upper(): t for t in named}


def part_types() -> tuple[str, ...]:
    """Registered types that the catalogue holds.

    Returns
    -------
    tuple of str
        Type names in the order of the catalogue: small-signal, power and germanium bipolar types,
        then JFETs and MOSFETs.
    """
    order = ("small-signal.toml", "power.toml", "germanium.toml", "jfet.toml", "mosfet.toml")
    rank = {name: i for i, name in enumerate(order)}
    files = sorted(record_files(), key=lambda n: (rank.get(n, len(order)), n))
    return tuple(d["type"] for name in files for d in read_data(name).get("device", ()))


def part_record(type_name: str) -> PartRecord:
    """Record of a registered type.

    Parameters
    ----------
    type_name : str
        Registered type or alias, in any case.

    Returns
    -------
    PartRecord
        Ratings and figures with their sources.

    Raises
    ------
    UnknownNameError
        If the catalogue does not hold the type; the nearest is suggested.

    Examples
    --------
    >>> part_record("2n3904").kind
    'npn'
    """
    found = _names().get(type_name.strip().upper())
    if found is None:
        raise UnknownNameError(
            f"The type '{type_name}' is not in the catalogue.{did_you_mean(type_name, _names())} "
            "All types are listed by: steadypoint parts."
        )
    return records()[found]


def kind_of(type_name: str) -> str:
    """Kind of a registered type.

    Parameters
    ----------
    type_name : str
        Registered type or alias.

    Returns
    -------
    str
        ``npn``, ``pnp``, ``n-channel JFET``, ``p-channel JFET``, ``n-channel MOSFET`` or
        ``p-channel MOSFET``.

    Raises
    ------
    UnknownNameError
        If the catalogue does not hold the type.
    """
    return part_record(type_name).kind


def polarity_of_type(type_name: str) -> str:
    """Polarity of a registered bipolar type; empty for any other name.

    Parameters
    ----------
    type_name : str
        A word that looks like a registered type.

    Returns
    -------
    str
        ``npn``, ``pnp`` or empty.
    """
    found = _names().get(type_name.strip().upper())
    kind = records()[found].kind if found else ""
    return kind if kind in ("npn", "pnp") else ""


def registered_kind(type_name: str) -> str:
    """Kind of a registered transistor type; empty for any other name.

    Parameters
    ----------
    type_name : str
        A word that looks like a registered type.

    Returns
    -------
    str
        As `kind_of`, or empty.
    """
    found = _names().get(type_name.strip().upper())
    return records()[found].kind if found else ""


def model_of(type_name: str) -> DeviceModel:
    """Model of a registered type, fitted to the figures of its data sheet.

    Parameters
    ----------
    type_name : str
        Registered type or alias.

    Returns
    -------
    BipolarModel or FetModel
        Typical transistor at 25 °C.

    Raises
    ------
    UnknownNameError
        If the catalogue does not hold the type.
    DeviceError
        If the type has not been fitted yet.
    """
    record = part_record(type_name)
    return model_from(record, _fitted(record)["parameters"])


def fit_points(type_name: str) -> tuple[FitPoint, ...]:
    """How the fitted model of a type meets each figure of its data sheet.

    Parameters
    ----------
    type_name : str
        Registered type or alias.

    Returns
    -------
    tuple of FitPoint
        One for each figure.

    Raises
    ------
    UnknownNameError
        If the catalogue does not hold the type.
    DeviceError
        If the type has not been fitted yet.
    """
    rows = _fitted(part_record(type_name))["points"]
    return tuple(
        FitPoint(r["symbol"], r["at"], r.get("target"), r["rule"], r["fitted"], r["within"])
        for r in rows
    )


def model_from(record: PartRecord, parameters: Mapping[str, float]) -> DeviceModel:
    """Model of a record's kind with given parameters.

    Parameters
    ----------
    record : PartRecord
        Says kind and material.
    parameters : mapping of str to float
        Parameters of the model; those left out take their defaults.

    Returns
    -------
    BipolarModel or FetModel
        Model at 25 °C.
    """
    figures: dict[str, Any] = dict(parameters)
    if record.is_bipolar:
        return BipolarModel(polarity=record.kind, material=MATERIALS[record.material], **figures)
    gate = "junction" if record.kind.endswith("JFET") else "insulated"
    return FetModel(channel=record.kind[0], gate=gate, **figures)


def _fitted(record: PartRecord) -> Mapping[str, Any]:
    found = read_data("fitted.toml").get(record.type_name)
    if found is None:
        raise DeviceError(
            f"{record.type_name} has no fitted model yet. Run: python tools/fit_transistors.py"
        )
    data: Mapping[str, Any] = found
    return data
