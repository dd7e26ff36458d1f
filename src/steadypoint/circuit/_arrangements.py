"""The arrangements: named ways of biasing, as data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

from steadypoint.circuit._model import Circuit
from steadypoint.errors import UnknownNameError, did_you_mean


@dataclass(frozen=True)
class Arrangement:
    """A named way of biasing.

    Parameters
    ----------
    name : str
        Name that the trade uses.
    title : str
        Title of its sheet.
    aliases : tuple of str
        Other names it goes by.
    description : str
        One sentence that says how the operating point is held.
    good_at, bad_at : tuple of str
        Short sentences of a lecturer on its merits and faults.
    teaching_order : int
        Place in the usual order of teaching, from 1. [-]
    transistors : int
        Number of transistors. [-]
    sheet : str
        Circuit sheet of an example, ready to be drawn.
    """

    name: str
    title: str
    aliases: tuple[str, ...]
    description: str
    good_at: tuple[str, ...]
    bad_at: tuple[str, ...]
    teaching_order: int
    transistors: int
    sheet: str

    @cached_property
    def circuit(self) -> Circuit:
        """The circuit of the sheet."""
        from steadypoint.circuit._reader import read_sheet

        return read_sheet(self.sheet, self.name)


@cache
def arrangements() -> tuple[Arrangement, ...]:
    """All arrangements in the usual order of teaching.

    Returns
    -------
    tuple of Arrangement
        Their sheets are read only when ``circuit`` is asked for.

    Examples
    --------
    >>> arrangements()[0].name
    'base bias'
    """
    import tomllib
    from importlib.resources import files

    folder = files("steadypoint.circuit") / "arrangements"
    entries = tomllib.loads((folder / "arrangements.toml").read_text("utf-8"))["arrangement"]
    return tuple(
        Arrangement(
            name=entry["name"],
            title=_title(sheet),
            aliases=tuple(entry["aliases"]),
            description=entry["description"],
            good_at=tuple(entry["good_at"]),
            bad_at=tuple(entry["bad_at"]),
            teaching_order=order,
            transistors=entry["transistors"],
            sheet=sheet,
        )
        for order, entry in enumerate(entries, 1)
        for sheet in [(folder / _file(entry["name"])).read_text("utf-8")]
    )


def arrangement(name: str) -> Arrangement:
    """Arrangement of a name or alias, however it is spelled.

    Parameters
    ----------
    name : str
        Capitals, hyphens and the word "bias" make no difference.

    Raises
    ------
    UnknownNameError
        If there is none; the nearest name is suggested.

    Examples
    --------
    >>> arrangement("Self bias").name
    'voltage divider'
    """
    table = _by_spelling()
    found = table.get(_spelling(name))
    if found is None:
        known = [n for one in arrangements() for n in (one.name, *one.aliases)]
        hint = did_you_mean(" ".join(name.split()), known)
        hint = hint or " Known are " + ", ".join(one.name for one in arrangements()) + "."
        raise UnknownNameError(f"There is no arrangement '{name.strip()}'.{hint}")
    return found


@cache
def _by_spelling() -> dict[str, Arrangement]:
    return {_spelling(n): one for one in arrangements() for n in (one.name, *one.aliases)}


def _spelling(name: str) -> str:
    words = name.lower().replace("-", " ").replace("_", " ").split()
    return " ".join(word for word in words if word not in ("bias", "the", "a", "with"))


def _file(name: str) -> str:
    return f"{name.lower().replace(' ', '-')}.circuit"


def _title(sheet: str) -> str:
    return sheet.partition("\n")[0].partition(":")[2].strip()
