"""Building a course: every lesson that changed, side by side, and the pages between them."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, replace
from multiprocessing import get_all_start_methods, get_context
from multiprocessing.context import BaseContext
from pathlib import Path
from typing import Any, Final

from steadypoint.lesson._answers import arranged
from steadypoint.lesson._build import read_lesson
from steadypoint.lesson._course import COURSE_FILE, Course, CourseLesson, read_course
from steadypoint.lesson._course_pages import (
    GLOSSARY,
    INDEX,
    SEARCH,
    glossary_page,
    index_page,
    linked,
    page_name,
    search_page,
)
from steadypoint.lesson._course_terms import Section, sections_of_page, symbols_of_document
from steadypoint.lesson._html import lesson_page
from steadypoint.lesson._outputs import BuildOptions, chosen_outputs
from steadypoint.lesson._tree import Document
from steadypoint.publish import make_folder, page_html, write_atomic

MEMORY: Final = ".steadypoint-course.json"


@dataclass(frozen=True, slots=True)
class CourseResult:
    """What a build of a course wrote.

    Parameters
    ----------
    paths : tuple of pathlib.Path
        Every file of the course, index first.
    built, kept : tuple of str
        Files of lessons that were built, and of those that had not changed.
    """

    paths: tuple[Path, ...]
    built: tuple[str, ...]
    kept: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Made:
    """What a lesson became: its files, and what the other pages need of it."""

    files: Mapping[str, bytes]
    symbols: Sequence[str]
    sections: Sequence[Section]


def build_course(
    folder: str | Path,
    *,
    into: str | Path | None = None,
    to: str | Iterable[str] | None = "page",
    answers: str = "",
    workers: int = 1,
    progress: Callable[[str], object] | None = None,
) -> CourseResult:
    """Build a course.

    Parameters
    ----------
    folder : str or pathlib.Path
        Its folder, with the file ``course.md``.
    into : str or pathlib.Path, optional
        Folder for the files; ``built`` in the course's own by default.
    to : str or iterable of str, default "page"
        Outputs of each lesson; pages are always built.
    answers : {"", "with", "without", "apart"}
        Where answers stand.
    workers : int, default 1
        Processes that build lessons side by side; a script that asks for more than one needs the
        guard ``if __name__ == "__main__":``. [-]
    progress : callable, optional
        Told the file of each lesson that is built.

    Returns
    -------
    CourseResult
        The same lessons give the same bytes. A lesson is built anew when its text, a file that it
        may use, its neighbours or the wishes changed.

    Raises
    ------
    LessonError, SheetError, TextFileError
        If the course or a lesson has a fault; nothing is written then.
    UnknownNameError
        If ``to`` names no output.
    OutputError
        If a file cannot be written.
    """
    course = read_course(folder)
    wanted = tuple(o.name for o in chosen_outputs(to) if o.name != "page")
    target = Path(into) if into is not None else course.folder / "built"
    keys = [_key(course, lesson, wanted, answers) for lesson in course.lessons]
    remembered = _remembered(target)
    known = {n: entry for n, entry in remembered.items() if _is_whole(target, entry)}
    fresh = [
        lesson
        for lesson, key in zip(course.lessons, keys, strict=True)
        if known.get(lesson.path.name, {}).get("key") != key
    ]
    made = _made(course, fresh, wanted, answers, workers, progress)
    memory = {
        lesson.path.name: _entry(key, made[lesson.path.name])
        if lesson.path.name in made
        else known[lesson.path.name]
        for lesson, key in zip(course.lessons, keys, strict=True)
    }
    paths = _write(target, course, made, memory)
    names = [lesson.path.name for lesson in course.lessons]
    return CourseResult(
        paths, tuple(n for n in names if n in made), tuple(n for n in names if n not in made)
    )


def _key(course: Course, lesson: CourseLesson, wanted: Sequence[str], answers: str) -> str:
    """A digest of everything that a lesson's files hang on."""
    from steadypoint import __version__

    around = [(n.number, n.words, n.path.name, n.needs) for n in course.lessons]
    digest = hashlib.sha256()
    said = [__version__, course.title, sorted(course.facts.items()), around, lesson.number]
    digest.update(json.dumps([*said, list(wanted), answers], default=str).encode())
    digest.update(lesson.path.read_bytes())
    lessons = {n.path for n in course.lessons}
    for path in sorted(lesson.path.parent.iterdir()):  # sheets and pictures it may use
        if path.is_file() and path.resolve() not in lessons and path.name != COURSE_FILE:
            digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()


def _remembered(target: Path) -> dict[str, dict[str, Any]]:
    try:
        found = json.loads((target / MEMORY).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _is_whole(target: Path, entry: object) -> bool:
    """Whether all files of a remembered lesson are there as they were written."""
    if not isinstance(entry, dict) or not isinstance(entry.get("files"), dict):
        return False
    try:
        return all(_digest((target / n).read_bytes()) == d for n, d in entry["files"].items())
    except OSError:
        return False


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _entry(key: str, made: _Made) -> dict[str, Any]:
    return {
        "key": key,
        "files": {name: _digest(data) for name, data in made.files.items()},
        "symbols": list(made.symbols),
        "sections": [asdict(section) for section in made.sections],
    }


def _made(
    course: Course,
    lessons: Sequence[CourseLesson],
    wanted: Sequence[str],
    answers: str,
    workers: int,
    progress: Callable[[str], object] | None,
) -> dict[str, _Made]:
    jobs = [(course, lesson, tuple(wanted), answers) for lesson in lessons]
    made: dict[str, _Made] = {}
    if workers > 1 and len(jobs) > 1:
        with ProcessPoolExecutor(min(workers, len(jobs)), mp_context=_start()) as pool:
            for lesson, one in zip(lessons, pool.map(_make, jobs), strict=True):
                made[lesson.path.name] = one
                if progress is not None:
                    progress(lesson.path.name)
        return made
    for lesson, job in zip(lessons, jobs, strict=True):
        made[lesson.path.name] = _make(job)
        if progress is not None:
            progress(lesson.path.name)
    return made


def _start() -> BaseContext:
    """How helpers start: never as a copy of this process, whose threads would not come along."""
    kinds = get_all_start_methods()
    return get_context("forkserver" if "forkserver" in kinds else "spawn")


def _make(job: tuple[Course, CourseLesson, tuple[str, ...], str]) -> _Made:
    """One lesson; at the top of the module so that another process can be handed it."""
    course, lesson, wanted, answers = job
    document = _with_facts(read_lesson(lesson.path), course)
    alone = lesson_page(arranged(document, answers or "folded"))
    files = {page_name(lesson): page_html(linked(alone, course, lesson)).encode("utf-8")}
    options = BuildOptions(answers)
    for output in chosen_outputs(wanted) if wanted else ():
        for end, data in output.build(document, options).items():
            files[lesson.path.stem + end] = data
    return _Made(files, symbols_of_document(document), sections_of_page(alone))


def _with_facts(document: Document, course: Course) -> Document:
    """What the lesson leaves open is said by the course."""
    facts = course.facts
    return replace(
        document,
        author=document.author or facts.get("author", ""),
        course=document.course or facts.get("course", ""),
        date=document.date or facts.get("date", ""),
        language=document.language if document.language != "en" else facts.get("language", "en"),
    )


def _write(
    target: Path, course: Course, made: Mapping[str, _Made], memory: Mapping[str, Any]
) -> tuple[Path, ...]:
    entries = [memory[lesson.path.name] for lesson in course.lessons]
    sections = [[Section(**s) for s in entry["sections"]] for entry in entries]
    pages = {
        INDEX: index_page(course),
        GLOSSARY: glossary_page(course, [entry["symbols"] for entry in entries]),
        SEARCH: search_page(course, sections),
    }
    make_folder(target)
    for one in made.values():
        for name, data in one.files.items():
            make_folder((target / name).parent)
            write_atomic(target / name, data)
    paths = [
        write_atomic(target / name, page_html(page).encode("utf-8")) for name, page in pages.items()
    ]
    paths += [target / name for entry in entries for name in entry["files"]]
    text = json.dumps(memory, ensure_ascii=False, indent=1)
    write_atomic(target / MEMORY, f"{text}\n".encode())
    return tuple(paths)
