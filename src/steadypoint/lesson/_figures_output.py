"""The output *figures*: every drawing of a lesson as files of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from steadypoint.lesson._outputs import BuildOptions, register_output
from steadypoint.lesson._tree import Document, Drawing, Figure
from steadypoint.publish import scene_pdf, scene_png, scene_svg


def figures_of(document: Document) -> Iterator[tuple[str, Drawing]]:
    """The drawings of a lesson with their names, such as ``figure-1``.

    Parameters
    ----------
    document : Document
        The lesson.

    Yields
    ------
    tuple of (str, Drawing)
        The second drawing of figure 1 is ``figure-1-2``; figures of answers, which have no number,
        bear the anchor of their page.
    """
    for figure in _figures(document.blocks):
        drawings = [d for d in figure.content if isinstance(d, Drawing) and d.scene is not None]
        stem = f"figure-{figure.number}" if figure.number is not None else figure.anchor
        for k, drawing in enumerate(drawings, start=1):
            yield stem + (f"-{k}" if k > 1 else ""), drawing


def _figures(node: Any) -> Iterator[Figure]:
    if isinstance(node, Figure):
        yield node
    elif isinstance(node, (list, tuple)):
        for each in node:
            yield from _figures(each)
    elif is_dataclass(node) and not isinstance(node, type):
        for field in fields(node):
            if field.name in ("content", "blocks", "key", "question", "items", "exercises"):
                yield from _figures(getattr(node, field.name))


@register_output("figures", "-figures", "every drawing as SVG, PNG and PDF, in a folder")
def figures(document: Document, options: BuildOptions) -> Mapping[str, bytes]:
    """The files of all drawings."""
    made: dict[str, bytes] = {}
    for name, drawing in figures_of(document):
        scene = drawing.scene
        if scene is None:
            continue
        made[f"-figures/{name}.svg"] = scene_svg(scene)
        made[f"-figures/{name}.png"] = scene_png(scene)
        made[f"-figures/{name}.pdf"] = scene_pdf(scene, title=drawing.alt)
    return made
