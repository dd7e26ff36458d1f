"""Scene to SVG."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from html import escape
from typing import Final

from steadypoint.draw._metrics import text_box, width
from steadypoint.draw._scene import Circle, Command, Group, Mark, Path, Scene, Span, Text
from steadypoint.draw._theme import Theme, background, stylesheet

_PREFIX: Final = "\0"  # stands for the prefix until the content has named it


def to_svg(scene: Scene, *, theme: str | Theme, standalone: bool, prefix: str) -> str:
    """The scene as an SVG element (see ``Scene.svg``)."""
    writer = _Writer(fixed=standalone)
    body = "".join(writer.mark(mark) for mark in scene.marks)
    if not prefix:
        # Content decides, so the same sheet gives the same bytes and two drawings do not collide.
        prefix = "f" + hashlib.sha256((scene.title + body).encode()).hexdigest()[:6]
    body = body.replace(_PREFIX, f"{prefix}-")
    box = scene.box
    view = f"{_n(box.x0)} {_n(box.y0)} {_n(scene.width)} {_n(scene.height)}"
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="steady-figure {scene.role}"'
        f' viewBox="{view}" width="{_n(scene.width)}" height="{_n(scene.height)}"'
        f' data-least-width="{_n(scene.least_width)}"'
        f' role="img" aria-labelledby="{prefix}-title {prefix}-desc">'
        f'<title id="{prefix}-title">{escape(scene.title)}</title>'
        f'<desc id="{prefix}-desc">{escape(scene.description)}</desc>'
        f"<style>{stylesheet(theme, literal=standalone)}</style>"
    )
    ground = ""
    if standalone:
        ground = (
            f'<rect x="{_n(box.x0)}" y="{_n(box.y0)}" width="{_n(scene.width)}"'
            f' height="{_n(scene.height)}" fill="{background(theme)}"/>'
        )
    return f"{head}{ground}{body}</svg>"


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass(frozen=True)
class _Writer:
    """Writes marks; ``fixed`` sets every stretch of text at its measured place.

    Pages let the browser flow a line. Files of their own are also read by renderers that shape a
    whole line in one face as soon as one character is missing in the other; a place of its own
    keeps the stretches apart.
    """

    fixed: bool

    def mark(self, mark: Mark) -> str:
        if isinstance(mark, Group):
            return self.group(mark)
        if isinstance(mark, Path):
            return f'<path class="{mark.role}" d="{path_data(mark.commands)}"/>'
        if isinstance(mark, Circle):
            place = f'cx="{_n(mark.x)}" cy="{_n(mark.y)}" r="{_n(mark.r)}"'
            return f'<circle class="{mark.role}" {place}/>'
        return self.fixed_text(mark) if self.fixed else _text(mark)

    def group(self, group: Group) -> str:
        attributes = [f'class="{group.role}"'] if group.role else []
        if group.name:
            attributes.append(f'id="{_PREFIX}{escape(group.name)}"')
        attributes += [f'data-{key}="{escape(value)}"' for key, value in group.data]
        title = f"<title>{escape(group.label)}</title>" if group.label else ""
        inner = "".join(self.mark(child) for child in group.children)
        return f"<g {' '.join(attributes)}>{title}{inner}</g>"

    @staticmethod
    def fixed_text(text: Text) -> str:
        x = text_box(text).x0
        inner = []
        for span in text.spans:
            at = f' x="{_n(x + span.gap)}" y="{_n(text.y + span.drop)}"'
            inner.append(_span(span, at))
            x += width((span,))
        return f'<text class="{text.role}">{"".join(inner)}</text>'


def path_data(commands: tuple[Command, ...]) -> str:
    """The ``d`` attribute of a path."""
    out = []
    for op, *rest in commands:
        if op == "A":
            radius, sweep, x, y = (float(v) for v in rest)
            out.append(f"A{_n(radius)} {_n(radius)} 0 0 {int(sweep)} {_n(x)} {_n(y)}")
        else:
            out.append(str(op) + " ".join(_n(float(v)) for v in rest))
    return "".join(out)


def _text(text: Text) -> str:
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    drop = 0.0
    inner = []
    for span in text.spans:
        shift = f' dx="{_n(span.gap)}"' if span.gap else ""
        shift += f' dy="{_n(span.drop - drop)}"' if span.drop != drop else ""
        inner.append(_span(span, shift))
        drop = span.drop
    place = f'x="{_n(text.x)}" y="{_n(text.y)}"{anchor}'
    return f'<text class="{text.role}" {place}>{"".join(inner)}</text>'


def _span(span: Span, place: str) -> str:
    words = [w for w in ("math" if span.face == "math" else "", span.weight, span.tone) if w]
    classes = " ".join(w for w in words if w != "text")
    attributes = f' class="{classes}"' if classes else ""
    attributes += f' font-size="{_n(span.size)}"{place}'
    return f"<tspan{attributes}>{escape(span.text)}</tspan>"
