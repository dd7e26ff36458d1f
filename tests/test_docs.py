"""The documentation: complete, its links sound, its examples run, its output as printed."""

from __future__ import annotations

import doctest
import enum
import importlib.util
import re
import subprocess
import sys
import typing
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
import typer

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = sorted(
    path
    for path in [
        *ROOT.glob("*.md"),
        *DOCS.rglob("*.md"),
        *(ROOT / "changelog.d").glob("*.md"),
    ]
)


def load_tool(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, ROOT / "tools" / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


examples = load_tool("examples")
FENCE = examples.FENCE


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def fences(path: Path, kind: str) -> list[str]:
    text = path.read_text(encoding="utf-8")
    return [body for _, info, body in FENCE.findall(text) if info.split()[:1] == [kind]]


def pages_with(kind: str) -> list[Path]:
    return [path for path in PAGES if fences(path, kind)]


def words_of(svg: str) -> list[str]:
    """Description, names and figures of a drawing; where they stand is the layout's business."""
    root = ET.fromstring(svg)  # noqa: S314  our own
    wanted = ("title", "desc", "text")
    found = (e for e in root.iter() if e.tag.rpartition("}")[2] in wanted)
    return sorted("".join(element.itertext()) for element in found)


# --- README ------------------------------------------------------------------------------------


def readme() -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


def test_readme_states_the_job_then_the_two_commands():
    paragraphs = [p for p in re.split(r"\n\s*\n", readme()) if not p.startswith(("#", "![", "<"))]
    opening, then = paragraphs[0], "\n".join(paragraphs[1:3])
    assert "lecturer" in opening
    assert len(opening.split()) > 60, "the opening paragraph states the whole job"
    assert "make demo" in then
    assert "make test" in then


def test_readme_names_licence_and_limits():
    assert re.search(r"^## .*limits", readme(), re.MULTILINE | re.IGNORECASE)
    assert re.search(r"^## Licence", readme(), re.MULTILINE)


# --- commands ----------------------------------------------------------------------------------


def commands() -> Iterator[tuple[str, typer.core.TyperCommand]]:
    from steadypoint.cli._app import app

    def walk(name: str, command: object) -> Iterator[tuple[str, object]]:
        children = getattr(command, "commands", None)
        if children is None:
            yield name, command
            return
        for child, below in children.items():
            yield from walk(f"{name} {child}", below)

    yield from walk("steadypoint", typer.main.get_command(app))


COMMANDS = dict(commands())


def choices(parameter: object) -> list[str]:
    """Words that an option allows; a repeatable one has them inside a list."""
    annotation = parameter.type_descriptor.annotation
    kinds = [annotation, *typing.get_args(annotation)]
    enums = [k for k in kinds if isinstance(k, type) and issubclass(k, enum.Enum)]
    return [member.value for kind in enums for member in kind]


def test_choices_of_options_are_seen():
    found = {p.name: choices(p) for p in COMMANDS["steadypoint draw"].params}
    assert "device" in found["model"]
    assert "regions" in found["show"]


def section(name: str) -> str:
    text = (DOCS / "commands.md").read_text(encoding="utf-8")
    parts = re.split(r"^## ", text, flags=re.MULTILINE)
    found = [part for part in parts if part.startswith(f"`{name}`")]
    assert len(found) == 1, f"docs/commands.md needs one section '## `{name}`'"
    return found[0]


@pytest.mark.parametrize("name", COMMANDS)
def test_command_is_documented_with_all_its_options(name: str):
    text = section(name)
    for parameter in COMMANDS[name].params:
        for option in [o for o in parameter.opts if o.startswith("--")]:
            assert f"`{option}" in text, f"{option} of {name} is not in docs/commands.md"
        for choice in choices(parameter):
            assert f"`{choice}`" in text, f"choice {choice} of {name} is not in docs/commands.md"
    assert "```console" in text, f"{name} needs an example"


def test_no_section_describes_a_command_that_is_gone():
    text = (DOCS / "commands.md").read_text(encoding="utf-8")
    described = re.findall(r"^## `(steadypoint[^`]*)`", text, re.MULTILINE)
    assert sorted(described) == sorted(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_a_command_has_an_example_and_explains_every_option(name: str):
    command = COMMANDS[name]
    assert f"Example: {name}" in (command.epilog or "")
    assert command.help
    for parameter in command.params:
        assert getattr(parameter, "help", None), f"{name}: {parameter.name} has no help"


# --- arrangements and lesson blocks ------------------------------------------------------------


def test_every_arrangement_is_documented_and_drawn_as_it_is_now():
    from steadypoint import arrangements

    text = (DOCS / "arrangements.md").read_text(encoding="utf-8").lower()
    for one in arrangements():
        assert f"## {one.name.lower()}\n" in text, f"{one.name} is not in docs/arrangements.md"
    for path, content in load_tool("arrangement_page").files(fonts=False).items():
        committed = (ROOT / path).read_text(encoding="utf-8")
        if path.suffix == ".svg":
            assert words_of(committed) == words_of(content), f"{path}: run make examples"
        else:
            assert committed == content, f"{path}: run make examples"


def test_every_lesson_block_is_documented():
    from steadypoint.lesson import BLOCKS

    text = (DOCS / "lesson.md").read_text(encoding="utf-8")
    parts = re.split(r"^### ", text, flags=re.MULTILINE)
    for kind in BLOCKS.values():
        found = [part for part in parts if part.startswith(f"`{kind.name}`")]
        assert len(found) == 1, f"block {kind.name} is not in docs/lesson.md"
        for option in kind.options:
            assert f"`{option}" in found[0] or f"\n{option}:" in found[0], f"{kind.name}: {option}"


# --- links and examples ------------------------------------------------------------------------


def anchors(path: Path) -> set[str]:
    text = FENCE.sub("", path.read_text(encoding="utf-8"))
    heads = re.findall(r"^#+ (.+?)\s*$", text, re.MULTILINE)
    plain = [re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads]
    return set(plain)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_internal_links_resolve(page: Path):
    text = FENCE.sub("", page.read_text(encoding="utf-8"))
    text = re.sub(r"`[^`\n]*`", "", text)
    targets = re.findall(r"\]\(<?([^)>\s]+)>?\)", text) + re.findall(
        r'(?:src|href)="([^"]+)"', text
    )
    for target in targets:
        if re.match(r"[a-z]+:", target):
            continue
        file, _, anchor = target.partition("#")
        path = (page.parent / file).resolve() if file else page
        assert path.exists(), f"{name_of(page)} links to {target}, which is not there"
        assert path.is_relative_to(ROOT), f"{name_of(page)} links out of the project: {target}"
        if anchor and path.suffix == ".md":
            assert anchor in anchors(path), f"{name_of(page)}: no heading for {target}"


def test_start_page_links_to_every_page():
    text = (DOCS / "index.md").read_text(encoding="utf-8")
    for page in DOCS.glob("*.md"):
        assert page.name == "index.md" or f"({page.name})" in text, page.name


@pytest.mark.parametrize("page", pages_with("circuit"), ids=name_of)
def test_circuit_sheets_in_the_documentation_can_be_read(page: Path):
    from steadypoint import read_sheet

    for sheet in fences(page, "circuit"):
        assert read_sheet(sheet, name_of(page)).parts


@pytest.mark.parametrize("page", pages_with("pycon"), ids=name_of)
def test_python_examples_run(page: Path):
    globs: dict[str, object] = {}
    flags = doctest.NORMALIZE_WHITESPACE
    for body in fences(page, "pycon"):
        test = doctest.DocTestParser().get_doctest(body, globs, name_of(page), str(page), 0)
        result = doctest.DocTestRunner(optionflags=flags, verbose=False).run(
            test, clear_globs=False
        )
        globs = test.globs
        assert result.failed == 0


@pytest.mark.parametrize("page", pages_with("console"), ids=name_of)
def test_console_examples_print_what_they_show(page: Path, tmp_path: Path):
    """Every example runs; its output and its pictures are those that stand in the project."""
    for example in examples.run_page(page, tmp_path):
        assert example.holds, f"$ {example.command}\n{example.printed}\nRun make examples."
    for picture in (tmp_path / examples.PICTURES).iterdir():
        if picture.suffix == ".svg":
            committed = (ROOT / examples.PICTURES / picture.name).read_text(encoding="utf-8")
            assert words_of(picture.read_text(encoding="utf-8")) == words_of(committed)


# --- the project's own papers ------------------------------------------------------------------


def test_news_fragments_have_known_kinds():
    kinds = "added|changed|deprecated|removed|fixed|security"
    for path in (ROOT / "changelog.d").glob("*"):
        assert re.fullmatch(rf"\d+\.({kinds})\.md", path.name), path.name


def test_make_without_arguments_shows_every_target():
    text = (ROOT / "Makefile").read_text(encoding="utf-8")
    phony = re.search(r"^\.PHONY: (.+)$", text, re.MULTILINE)
    assert phony is not None
    done = subprocess.run(
        ["make", "--no-print-directory"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    for target in set(phony[1].split()) - {"help"}:
        assert f"make {target} " in done.stdout


def test_make_help_and_contributing_agree_with_ci():
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert script.rstrip().endswith("make check\nmake test")
