"""Pages of a course beside its lessons: index, glossary, search; the ways between lessons."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from html import escape

from steadypoint.lesson._course import Course, CourseLesson
from steadypoint.lesson._course_terms import Section, terms
from steadypoint.lesson._html_inline import inlines
from steadypoint.lesson._inline import set_symbols
from steadypoint.lesson._names import letter
from steadypoint.publish import BRAND, Page, style_text
from steadypoint.values import split_symbol

INDEX, GLOSSARY, SEARCH = "index.html", "glossary.html", "search.html"


def page_name(lesson: CourseLesson) -> str:
    """Name of a lesson's page."""
    return f"{lesson.path.stem}.html"


def linked(page: Page, course: Course, lesson: CourseLesson) -> Page:
    """A lesson's page with the way from the lessons before and to the next.

    Parameters
    ----------
    page : Page
        The lesson alone.
    course : Course
        The course.
    lesson : CourseLesson
        Its place there.

    Returns
    -------
    Page
    """
    head = (
        f'<nav class="way" aria-label="Course">{_link(INDEX, escape(course.title))}'
        f"<span>Lesson {lesson.number} of {len(course.lessons)}</span></nav>"
    )
    before = _before(course, lesson)
    after = _after(course, lesson)
    return replace(
        page,
        head=head + page.head,
        body=f"{before}{page.body}\n{after}",
        style=f"{page.style}\n{style_text('course.css')}",
    )


def _link(target: str, words: str) -> str:
    return f'<a href="{escape(target)}">{words}</a>'


def _named(lesson: CourseLesson) -> str:
    return _link(page_name(lesson), f"{lesson.number}. {escape(lesson.words)}")


def _before(course: Course, lesson: CourseLesson) -> str:
    needed = [_named(course.lessons[k - 1]) for k in lesson.needs]
    if not needed:
        return ""
    listed = needed[0] if len(needed) == 1 else f"{', '.join(needed[:-1])} and {needed[-1]}"
    return f'<p class="where"><strong>Where we were:</strong> {listed}.</p>\n'


def _after(course: Course, lesson: CourseLesson) -> str:
    others = [
        n for n in course.lessons if lesson.number in n.needs and n.number != lesson.number + 1
    ]
    following = course.lessons[lesson.number : lesson.number + 1]
    if not following:
        words = f"This was the last lesson. {_link(INDEX, 'Back to the course')}."
    else:
        words = f"{_named(following[0])}."
        if others:
            words += f" This lesson is also needed for {', '.join(map(_named, others))}."
    return (
        '<nav class="where" aria-label="Where we go"><p><strong>Where we go:</strong> '
        f"{words}</p></nav>\n"
    )


def _page(course: Course, title: str, body: str) -> Page:
    head = (
        f'<p class="brand">{BRAND}<span>Steadypoint</span></p>'
        f'<nav class="way" aria-label="Course">{_link(INDEX, escape(course.title))}'
        f"{_link(GLOSSARY, 'Glossary')}{_link(SEARCH, 'Search')}</nav><h1>{escape(title)}</h1>"
    )
    return Page(
        title=title,
        body=body,
        head=head,
        language=course.facts.get("language", "en"),
        author=course.facts.get("author", ""),
        description=course.words[0] if course.words else "",
        style=style_text("course.css"),
    )


def index_page(course: Course) -> Page:
    """The list of lessons with what each builds on."""
    items = []
    for lesson in course.lessons:
        needs = f"builds on {', '.join(map(str, lesson.needs))}" if lesson.needs else "begin here"
        link = _link(page_name(lesson), escape(lesson.words))
        items.append(f'<li>{link} <span class="needs">{needs}</span></li>')
    words = "".join(f"<p>{escape(text)}</p>" for text in course.words)
    body = f'<section>{words}<ol class="lessons">{"".join(items)}</ol></section>'
    return _page(course, course.title, body)


def glossary_page(course: Course, used: Sequence[Sequence[str]]) -> Page:
    """Every symbol that a lesson uses, its meaning, unit, and where it came first.

    Parameters
    ----------
    course : Course
        The course.
    used : sequence of sequence of str
        Symbols of each lesson.
    """
    first: dict[str, CourseLesson] = {}
    for lesson, symbols in zip(course.lessons, used, strict=True):
        for symbol in symbols:
            first.setdefault(symbol, lesson)
    rows = []
    for symbol in sorted(first, key=lambda s: (s.partition("_")[0].casefold(), s.casefold())):
        meaning, unit = terms()[symbol]
        rows.append(
            f'<tr id="{escape(symbol)}"><th scope="row" '
            f'aria-label="{escape(split_symbol(symbol).spoken)}">{inlines([letter(symbol)])}</th>'
            f"<td>{inlines(list(set_symbols(meaning, {})))}</td><td>{escape(unit)}</td>"
            f"<td>{_named(first[symbol])}</td></tr>"
        )
    heads = "".join(
        f'<th scope="col">{word}</th>' for word in ("Symbol", "Meaning", "Unit", "First in")
    )
    body = (
        '<section><div class="wide"><table class="glossary"><thead><tr>'
        f"{heads}</tr></thead><tbody>{''.join(rows)}</tbody></table></div></section>"
    )
    return _page(course, "Glossary", body)


def search_page(course: Course, sections: Sequence[Sequence[Section]]) -> Page:
    """One page that finds words in all lessons; the words lie in the page itself.

    Parameters
    ----------
    course : Course
        The course.
    sections : sequence of sequence of Section
        Sections of each lesson.
    """
    entries: list[Mapping[str, object]] = [
        {
            "page": page_name(lesson) + (f"#{section.anchor}" if section.anchor else ""),
            "lesson": f"{lesson.number}. {lesson.words}",
            "heading": section.heading,
            "words": section.words,
        }
        for lesson, own in zip(course.lessons, sections, strict=True)
        for section in own
    ]
    data = json.dumps(entries, ensure_ascii=False).replace("<", "\\u003c")
    body = (
        '<section class="search"><form role="search"><label for="words">Words to look for</label>'
        '<input id="words" type="search" autocomplete="off" spellcheck="false"></form>'
        '<p id="count" role="status"></p><ol id="found"></ol>'
        "<noscript><p>The search needs JavaScript. The glossary works without.</p></noscript>"
        f'</section>\n<script type="application/json" id="sections">{data}</script>\n'
        f'<script type="module">\n{style_text("search.js")}</script>'
    )
    return _page(course, "Search", body)
