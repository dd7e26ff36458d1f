"""Every public name is documented: numpydoc sections that match the signature."""

from __future__ import annotations

import dataclasses
import enum
import importlib
import inspect
import re
from typing import Any

import pytest

import steadypoint

LAYERS = steadypoint._layers()
SECTIONS = [
    "Parameters",
    "Attributes",
    "Returns",
    "Yields",
    "Raises",
    "Warns",
    "See Also",
    "Notes",
    "References",
    "Examples",
]


def public() -> dict[str, Any]:
    names: dict[str, Any] = {}
    for layer in LAYERS:
        module = importlib.import_module(f"steadypoint.{layer}")
        for name in module.__all__:
            names[f"{layer}.{name}"] = getattr(module, name)
    return names


PUBLIC = public()
FUNCTIONS = {k: v for k, v in PUBLIC.items() if inspect.isfunction(v)}
CLASSES = {k: v for k, v in PUBLIC.items() if inspect.isclass(v)}


def sections(doc: str) -> dict[str, str]:
    pattern = rf"^({'|'.join(SECTIONS)})\n-+\n"
    parts = re.split(pattern, inspect.cleandoc(doc), flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def documented_parameters(doc: str) -> list[str]:
    heads = re.findall(r"^(\S.*?) : ", sections(doc).get("Parameters", ""), re.MULTILINE)
    return [name.strip().lstrip("*") for head in heads for name in head.split(",")]


def parameters(thing: Any) -> list[str]:
    names = inspect.signature(thing).parameters
    return [n for n in names if n not in ("self", "cls") and not n.startswith("_")]


def test_there_is_something_to_check():
    assert len(FUNCTIONS) > 20
    assert len(CLASSES) > 20


@pytest.mark.parametrize("name", [*FUNCTIONS, *CLASSES])
def test_public_name_has_a_docstring(name: str):
    doc = inspect.getdoc(PUBLIC[name])
    assert doc, f"{name} has no docstring"
    summary = doc.splitlines()[0]
    assert summary[0].isupper() or not summary[0].isalpha(), f"{name}: {summary}"
    last = name.rpartition(".")[2]
    assert not summary.startswith(f"{last}("), f"{name} has only the generated docstring"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_parameters_of_a_function_match_its_docstring(name: str):
    function = FUNCTIONS[name]
    assert documented_parameters(inspect.getdoc(function) or "") == parameters(function)


@pytest.mark.parametrize("name", CLASSES)
def test_parameters_of_a_class_match_its_docstring(name: str):
    kind = CLASSES[name]
    if issubclass(kind, enum.Enum):
        return
    if issubclass(kind, BaseException):
        if "__init__" in vars(kind):
            assert documented_parameters(kind.__doc__ or "") == parameters(kind.__init__)
        return
    if getattr(kind, "_is_protocol", False):
        return
    assert documented_parameters(kind.__doc__ or "") == parameters(kind)


@pytest.mark.parametrize("name", CLASSES)
def test_public_methods_are_documented(name: str):
    kind = CLASSES[name]
    for key, found in vars(kind).items():
        if key.startswith("_"):
            continue
        member = getattr(found, "fget", None) or getattr(found, "__func__", found)
        if not inspect.isfunction(member):
            continue
        if dataclasses.is_dataclass(kind) and key in {f.name for f in dataclasses.fields(kind)}:
            continue
        doc = member.__doc__
        assert doc, f"{name}.{key} has no docstring"
        if "Parameters" in sections(doc):
            assert documented_parameters(doc) == parameters(member)


@pytest.mark.parametrize("name", [*FUNCTIONS, *CLASSES])
def test_sections_stand_in_order(name: str):
    found = list(sections(inspect.getdoc(PUBLIC[name]) or ""))
    assert found == sorted(found, key=SECTIONS.index)


@pytest.mark.parametrize("layer", LAYERS)
def test_layer_lists_sorted_public_names_and_says_what_it_is(layer: str):
    module = importlib.import_module(f"steadypoint.{layer}")
    assert module.__doc__
    assert len(set(module.__all__)) == len(module.__all__)
    for name in module.__all__:
        assert hasattr(module, name)
