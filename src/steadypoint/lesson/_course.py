"""A course: a folder of lessons, and the file that puts them in order."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from markdown_it.tree import SyntaxTreeNode

from steadypoint.lesson._source import Source, read_source
from steadypoint.lesson._weave import markdown

COURSE_FILE: Final = "course.md"
_FACTS: Final = ("author", "course", "date", "language")
_FACT: Final = re.compile(r"([a-z]+):\s+(.+)", re.DOTALL)
_NEEDS: Final = re.compile(r",?\s*needs\s+(\d+(?:\s*,\s*\d+)*)\s*$")


@dataclass(frozen=True, slots=True)
class CourseLesson:
    """One lesson of a course.

    Parameters
    ----------
    number : int
        Its place, from 1.
    words : str
        What the course calls it.
    path : pathlib.Path
        Its file.
    needs : tuple of int
        Numbers of the lessons that it builds on.
    """

    number: int
    words: str
    path: Path
    needs: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Course:
    """A folder of lessons.

    Parameters
    ----------
    title : str
        Its title.
    facts : mapping of str to str
        ``author``, ``course``, ``date``, ``language`` for lessons that state none.
    words : sequence of str
        Paragraphs that introduce it.
    lessons : sequence of CourseLesson
        In teaching order.
    folder : pathlib.Path
        Where they lie.
    """

    title: str
    facts: Mapping[str, str]
    words: Sequence[str]
    lessons: Sequence[CourseLesson]
    folder: Path


def read_course(folder: str | Path) -> Course:
    """Read the file ``course.md`` of a folder.

    Parameters
    ----------
    folder : str or pathlib.Path
        The course's folder.

    Returns
    -------
    Course
        Title, facts, introduction and lessons.

    Raises
    ------
    TextFileError
        If there is no such file, or it is no text.
    LessonError
        If something in it is not understood, a lesson is missing or lies elsewhere, or one needs
        a lesson that comes later.
    """
    source = read_source(Path(folder) / COURSE_FILE)
    nodes = list(SyntaxTreeNode(markdown().parse(source.text)).children)
    if not nodes or nodes[0].type != "heading" or nodes[0].tag != "h1":
        raise source.fault("A course begins with its title. Write '# Title' in the first line.", 1)
    title = _text(nodes[0])
    facts: Mapping[str, str] = {}
    words: list[str] = []
    lessons: list[CourseLesson] = []
    for node in nodes[1:]:
        if node.type == "bullet_list" and not words and not lessons:
            facts = _facts(source, node)
        elif node.type == "paragraph" and not lessons:
            words.append(_text(node))
        elif node.type == "ordered_list":
            start = len(lessons) + 1
            lessons += [_lesson(source, item, k) for k, item in enumerate(node.children, start)]
    if not lessons:
        raise source.fault(
            "A course lists its lessons. Write '1. [The divider](divider.md)', one for each.", 1
        )
    return Course(title, facts, words, tuple(lessons), Path(folder))


def _text(node: SyntaxTreeNode) -> str:
    return " ".join(
        " ".join(child.content.split()) for child in node.walk() if child.type == "inline"
    )


def _line(node: SyntaxTreeNode) -> int:
    return node.map[0] + 1 if node.map else 1


def _facts(source: Source, node: SyntaxTreeNode) -> Mapping[str, str]:
    facts: dict[str, str] = {}
    for item in node.children:
        match = _FACT.fullmatch(_text(item))
        if match is None or match[1] not in _FACTS:
            raise source.fault(
                "A course states its author, course, date or language here, such as "
                "'- author: A. Lecturer'.",
                _line(item),
            )
        facts[match[1]] = match[2]
    return facts


def _lesson(source: Source, item: SyntaxTreeNode, number: int) -> CourseLesson:
    line, text = _line(item), _text(item)
    found = re.match(r"\[([^\]]+)\]\(([^)\s]+)\)(.*)$", text, re.DOTALL)
    if found is None:
        raise source.fault(
            "A lesson is named by a link to its file, such as '[The divider](divider.md)'.", line
        )
    path = source.file(found[2], line)
    if path.suffix != ".md":
        raise source.fault_at(f"'{found[2]}' is no lesson. Name its .md file.", line, found[2])
    rest = found[3].strip()
    needs = _NEEDS.fullmatch(found[3].rstrip()) if rest else None
    if rest and needs is None:
        raise source.fault_at(
            f"'{rest}' is not understood. Write, for instance, ', needs 1, 2'.", line, rest
        )
    wanted = tuple(int(k) for k in needs[1].split(",")) if needs else ()
    for k in wanted:
        if k >= number:
            raise source.fault_at(
                f"Lesson {number} cannot need lesson {k}, which does not come before it. "
                "Change their order.",
                line,
                str(k),
            )
    return CourseLesson(number, found[1], path, wanted)
