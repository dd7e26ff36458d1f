"""Every figure is sound SVG and has a name and a description for screen readers.

Elements and attributes: W3C SVG 1.1 (Second Edition), chapters 5, 8, 9 and 10; ``role`` and
``aria-labelledby`` from WAI-ARIA, ``data-*`` from SVG 2. The table is written from memory.
"""

from __future__ import annotations

import re

import pytest
from draw_reading import SVG, parse

from steadypoint.circuit import arrangement, arrangements
from steadypoint.draw import Scene, level, load_line, moving_scene, schematic
from steadypoint.solve import operating_point

CORE = {"id", "class", "style"}
TEXT = {"x", "y", "dx", "dy", "font-size", "text-anchor"}
ALLOWED = {
    "svg": {"viewBox", "width", "height", "role", "aria-labelledby"},
    "title": set(),
    "desc": set(),
    "style": {"type"},
    "g": {"transform"},
    "path": {"d", "transform"},
    "circle": {"cx", "cy", "r"},
    "rect": {"x", "y", "width", "height", "rx", "ry", "fill"},
    "text": TEXT,
    "tspan": TEXT,
}
NUMBER = r"-?\d+(?:\.\d+)?"
PATH = re.compile(rf"(?:[MLHVCSQTA] ?{NUMBER}(?:[ ,]{NUMBER})*|Z)+")


def figures() -> list[tuple[str, Scene]]:
    out = []
    for one in arrangements():
        point = operating_point(one.circuit)
        out.append((one.name, schematic(one.circuit, point)))
    divider = arrangement("voltage divider").circuit
    point = operating_point(divider)
    out.append(("load line", load_line(divider, point)))
    out.append(("level", level(point)))
    out.append(("moving", moving_scene(divider, "beta", 100.0)))
    return out


FIGURES = figures()


@pytest.mark.parametrize(("name", "scene"), FIGURES, ids=[n for n, _ in FIGURES])
@pytest.mark.parametrize("standalone", [False, True])
def test_figure_keeps_to_the_grammar(name: str, scene: Scene, *, standalone: bool):
    root = parse(scene.svg(standalone=standalone))
    for element in root.iter():
        tag = element.tag.removeprefix(SVG)
        assert tag in ALLOWED, name
        own = {a for a in element.attrib if not a.startswith("data-")}
        assert own <= ALLOWED[tag] | CORE, (name, tag, own)
        if tag == "path":
            assert PATH.fullmatch(element.get("d", "")), (name, element.get("d"))


@pytest.mark.parametrize(("name", "scene"), FIGURES, ids=[n for n, _ in FIGURES])
def test_figure_has_role_name_and_description(name: str, scene: Scene):
    root = parse(scene.svg())
    assert root.get("role") == "img", name
    ids = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    by_id = {e.get("id"): e for e in root.iter()}
    title, desc = (by_id[word] for word in root.get("aria-labelledby", "").split())
    assert title.tag == f"{SVG}title"
    assert desc.tag == f"{SVG}desc"
    assert (title.text or "").strip()
    assert (desc.text or "").strip().endswith((".", "!"))
