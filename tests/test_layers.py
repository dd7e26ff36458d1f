"""The layers: the contract of the checks, the folders and the picture name the same ones."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "steadypoint"


def contract() -> list[list[str]]:
    data = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    layers = data["tool"]["importlinter"]["contracts"][0]["layers"]
    return [re.findall(r"\w+", layer) for layer in layers]


def test_every_folder_is_a_layer_of_the_contract():
    known = {name for layer in contract() for name in layer}
    folders = {p.parent.name for p in SOURCE.glob("*/__init__.py")}
    assert folders <= known


def test_the_lazy_package_knows_every_importable_layer_lowest_first():
    import steadypoint

    order = [name for layer in reversed(contract()) for name in layer]
    order = [name for name in order if name not in ("cli", "lectern")]
    assert sorted(steadypoint._ORDER) == sorted(order)
    places = {name: i for i, layer in enumerate(reversed(contract())) for name in layer}
    levels = [places[name] for name in steadypoint._ORDER]
    assert levels == sorted(levels)


def test_picture_of_the_architecture_names_the_layers_of_the_contract():
    svg = (ROOT / "docs" / "pictures" / "architecture.svg").read_text(encoding="utf-8")
    drawn = re.findall(r'data-layer="([^"]+)"', svg)
    assert drawn == [" | ".join(layer) for layer in contract()]
    title = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)
    assert title is not None
    for layer in contract():
        for name in layer:
            assert re.search(rf"\b{name}\b", title[1]), f"{name} is missing from the text"


def test_picture_dashes_exactly_the_layers_that_are_not_yet_written():
    svg = (ROOT / "docs" / "pictures" / "architecture.svg").read_text(encoding="utf-8")
    drawn = re.findall(r'class="(box|later)".*?>(\w+)</text>', svg)
    written = {p.parent.name for p in SOURCE.glob("*/__init__.py")}
    assert {name for kind, name in drawn if kind == "box"} == written
