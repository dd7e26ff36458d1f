"""The lazy package gives every public name of every layer, and type checkers see the same."""

from __future__ import annotations

import importlib
import re
import subprocess
import sys
from pathlib import Path

import pytest

import steadypoint

LAYERS = steadypoint._layers()


def names(layer: str) -> list[str]:
    return list(importlib.import_module(f"steadypoint.{layer}").__all__)


def owners() -> dict[str, str]:
    """Each public name with the layer that it comes from: the lowest that has it."""
    found: dict[str, str] = {}
    for layer in LAYERS:
        for name in names(layer):
            found.setdefault(name, layer)
    return found


@pytest.mark.parametrize("layer", LAYERS)
def test_every_public_name_can_be_imported_from_the_package(layer: str):
    module = importlib.import_module(f"steadypoint.{layer}")
    for name, owner in owners().items():
        if owner == layer and name not in LAYERS:
            assert getattr(steadypoint, name) is getattr(module, name), name


def test_name_of_a_layer_means_the_layer():
    for layer in LAYERS:
        assert getattr(steadypoint, layer) is importlib.import_module(f"steadypoint.{layer}")


def test_dir_and_star_import_list_everything():
    assert set(owners()) <= set(dir(steadypoint))
    script = "from steadypoint import *; operating_point; Circuit; build_lesson"
    subprocess.run([sys.executable, "-c", script], check=True)


def test_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'operating_pint'"):
        _ = steadypoint.operating_pint
    with pytest.raises(AttributeError):
        _ = steadypoint.__wrapped__


def test_stub_hands_on_the_layers_that_are_there_lowest_first():
    stub = Path(steadypoint.__file__).with_suffix(".pyi").read_text(encoding="utf-8")
    assert re.findall(r"from steadypoint\.(\w+) import \*", stub) == LAYERS


def test_type_checker_sees_the_public_names(tmp_path: Path):
    api = pytest.importorskip("mypy.api")
    script = tmp_path / "lesson.py"
    script.write_text(
        "import steadypoint\n"
        "point = steadypoint.operating_point(steadypoint.arrangement('base bias').circuit)\n"
        "point.transistors['Q1'].I_C + 1.0\n"
        "steadypoint.operating_pint\n",
        encoding="utf-8",
    )
    out, _, _ = api.run(
        [str(script), "--cache-dir", str(tmp_path / "cache"), "--follow-imports=silent"]
    )
    assert out.count("error:") == 1
    assert 'no attribute "operating_pint"' in out
