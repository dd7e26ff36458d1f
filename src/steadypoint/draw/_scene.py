"""The drawing as data: one model for schematics and charts.

A scene is a tree of groups with paths, circles and texts in figure units (one unit is one CSS pixel
at natural size). What a mark *is* stands in its role (``wire``, ``flag``, ``head`` ...); how a role
looks is the business of the theme. Printers (SVG here, others above) only read the scene.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from steadypoint.draw._theme import Theme

Point = tuple[float, float]
Command = tuple[str | float, ...]
"""One path command: ``("M", x, y)``, ``("L", x, y)``, ``("A", r, sweep, x, y)``, ``("Q", x1, y1,
x, y)`` or ``("Z",)``; coordinates are absolute."""


@dataclass(frozen=True, slots=True)
class Box:
    """An axis-parallel rectangle, used for extents and for overlap checks.

    Parameters
    ----------
    x0, y0, x1, y1 : float
        Left, upper, right and lower edge; y grows downwards. [px]
    """

    x0: float
    y0: float
    x1: float
    y1: float

    def overlaps(self, other: Box, slack: float = 0.0) -> bool:
        """True when the boxes share area beyond ``slack`` on both axes."""
        return (
            min(self.x1, other.x1) - max(self.x0, other.x0) > slack
            and min(self.y1, other.y1) - max(self.y0, other.y0) > slack
        )

    def grown(self, by: float) -> Box:
        """Box with every edge moved outwards."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def union(self, other: Box) -> Box:
        """Smallest box that holds both."""
        return Box(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of text in one style.

    Parameters
    ----------
    text : str
        The characters.
    face : str
        ``text`` (words, numbers, designators) or ``math`` (quantities).
    size : float
        Size of the face. [px]
    weight : str
        ``text``, ``num`` or ``strong``.
    drop : float
        Shift of the baseline downwards; subscripts have 4. [px]
    gap : float
        Room before the stretch. [px]
    tone : str
        Extra class, for instance ``unit`` or ``given``.
    """

    text: str
    face: str = "text"
    size: float = 14.0
    weight: str = "text"
    drop: float = 0.0
    gap: float = 0.0
    tone: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text.

    Parameters
    ----------
    x, y : float
        Place on the baseline. [px]
    spans : tuple of Span
        The line in stretches of one style.
    anchor : str
        ``start``, ``middle`` or ``end``: what of the line stands at x.
    role : str
        What the text is.
    """

    x: float
    y: float
    spans: tuple[Span, ...]
    anchor: str = "start"
    role: str = "name"

    @property
    def plain(self) -> str:
        """The text without styles."""
        return "".join((" " if s.gap else "") + s.text for s in self.spans)


@dataclass(frozen=True, slots=True)
class Path:
    """A stroked or filled outline.

    Parameters
    ----------
    commands : tuple of Command
        The outline. [px]
    role : str
        What the outline is.
    """

    commands: tuple[Command, ...]
    role: str = "line"


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; a filled one is a dot, a disc or a foot by its role.

    Parameters
    ----------
    x, y, r : float
        Middle and radius. [px]
    role : str
        What the circle is.
    """

    x: float
    y: float
    r: float
    role: str = "line"


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that belong together.

    Parameters
    ----------
    role : str
        ``net``, ``part``, ``volt``, ``amp`` ... ; further words are states such as ``lit``.
    children : tuple
        Groups and marks in painting order.
    name : str
        Readable id without prefix, or empty.
    data : tuple of (str, str)
        ``data-`` attributes without their prefix.
    label : str
        Sentence for a screen reader, or empty.
    """

    role: str
    children: tuple[Group | Path | Circle | Text, ...]
    name: str = ""
    data: tuple[tuple[str, str], ...] = ()
    label: str = ""

    def get(self, key: str) -> str:
        """Value of a data attribute, or empty."""
        return dict(self.data).get(key, "")


Mark = Group | Path | Circle | Text


@dataclass(frozen=True, slots=True)
class Scene:
    """A finished drawing.

    Parameters
    ----------
    title, description : str
        Short name and full sentence description (the text alternative).
    box : Box
        What is visible. [px]
    marks : tuple
        Groups and marks in painting order.
    role : str
        ``schematic``, ``chart`` or ``level``.
    labels : tuple of Box
        Extents of all texts with their flags, for the overlap check. [px]
    obstacles : tuple of Box
        Extents of wires and symbols. [px]
    """

    title: str
    description: str
    box: Box
    marks: tuple[Mark, ...]
    role: str = "schematic"
    labels: tuple[Box, ...] = ()
    obstacles: tuple[Box, ...] = ()

    @property
    def width(self) -> float:
        """Natural width. [px]"""
        return self.box.x1 - self.box.x0

    @property
    def height(self) -> float:
        """Natural height. [px]"""
        return self.box.y1 - self.box.y0

    @property
    def least_width(self) -> float:
        """Width below which names would fall under 12 px. [px]"""
        return self.width * 12.0 / 14.0

    def groups(self, role: str = "") -> Iterator[Group]:
        """All groups, depth first; with ``role`` only those of that role."""
        todo: list[Mark] = list(reversed(self.marks))
        while todo:
            mark = todo.pop()
            if isinstance(mark, Group):
                if not role or role in mark.role.split():
                    yield mark
                todo.extend(reversed(mark.children))

    def svg(
        self, theme: str | Theme = "page", *, standalone: bool = False, prefix: str = ""
    ) -> str:
        """The drawing as SVG.

        Parameters
        ----------
        theme : str or Theme
            ``page``, ``dark``, ``print``, ``projector``, or own colours. Embedded drawings on theme
            ``page`` take their colours from the page's custom properties.
        standalone : bool, default False
            With literal colours and a background, as a file of its own.
        prefix : str
            Put before every id, so that several drawings can share a page. Empty derives one from
            the content.

        Returns
        -------
        str
            An ``<svg>`` element with title and description.

        Raises
        ------
        UnknownNameError
            If the theme is unknown.
        """
        from steadypoint.draw._svg import to_svg

        return to_svg(self, theme=theme, standalone=standalone, prefix=prefix)

    def _repr_mimebundle_(self, **_: Any) -> dict[str, str]:
        return {"image/svg+xml": self.svg(standalone=True), "text/plain": self.description}
