"""Lesson: its text, its page as it will be, and its files."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from steadypoint.lectern._area import Area

if TYPE_CHECKING:
    from steadypoint.lectern._desk import Desk
    from steadypoint.lectern._folder import Folder


def _render(desk: Desk) -> str:
    from steadypoint.lectern._folder import Folder
    from steadypoint.lectern._markup import head

    folder = Folder(desk.ask.folder) if desk.ask.folder else None
    names = folder.names("lesson") if folder else ()
    if folder is None or not names:
        return head("Lesson") + _begin(desk)
    chosen = desk.option("lesson")
    chosen = chosen if chosen in names else names[0]
    rows = "".join(
        f'<option value="{escape(n)}"{" selected" if n == chosen else ""}>{escape(n)}</option>'
        for n in names
    )
    pick = (
        '<label><span class="vh">Lesson of the folder</span><select id="lessonfile" '
        f'data-option="lesson">{rows}</select></label>'
    )
    return head("Lesson", pick) + _editor(folder, chosen)


def _editor(folder: Folder, name: str) -> str:
    found = folder.read(name)
    return (
        f'<div id="lessonbox" data-name="{escape(name)}" data-version="{found.version}">'
        '<label for="lessontext" class="vh">Text of the lesson</label>'
        f'<textarea id="lessontext" class="writing" rows="14" spellcheck="true" '
        f'aria-describedby="lessonsaid">{escape(found.text)}</textarea>'
        '<div class="addrow"><button type="button" class="btn" data-build="page">Build the page'
        '</button><button type="button" class="btn" data-build="pdf">Build the PDF</button>'
        '<span id="lessonsaid" role="status" class="hint"></span></div>'
        '<iframe id="lessonpage" title="The lesson as a page" sandbox></iframe></div>'
    )


def _begin(desk: Desk) -> str:
    text = (
        f"# {desk.circuit.title or 'A first lesson'}\n\n"
        f"```circuit\n{desk.ask.sheet.strip()}\n```\n\n"
        "The stage rests at {{I_C}}.\n\n```working\n```\n"
    )
    return (
        '<div class="empty"><p class="big">No lesson is in the folder.</p>'
        "<p>A lesson weaves text, drawing, working and figures into one page and a PDF.</p>"
        f'<button type="button" class="btn" id="newlesson" data-text="{escape(text)}">Begin a '
        "lesson on this circuit</button></div>"
    )


def _answer(desk: Desk) -> str:
    from steadypoint.lectern._folder import Folder

    if not desk.ask.folder:
        return "–"
    count = len(Folder(desk.ask.folder).names("lesson"))
    return f"{count} lesson{'s' if count != 1 else ''}" if count else "none yet"


AREA = Area("lesson", "Lesson", "Write", 1, _render, _answer, slow=True)
