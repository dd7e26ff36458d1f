"""Text from outside is shown, never run; whatever is written, a sentence is the worst answer."""

from __future__ import annotations

from pathlib import Path

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from steadypoint.errors import SteadypointError
from steadypoint.lesson import lesson_html, lesson_pdf, parse_lesson

EVIL = (
    '<script>alert(1)</script>" onload=\'x\' <img src=x onerror=y> #read("/etc/hostname") $x$ &amp;'
)
LESSON = f"""# Title {EVIL}

- author: {EVIL}
- course: {EVIL}

Words {EVIL} and *{EVIL}* and `{EVIL}` and [{EVIL}](https://example.org/?a=1&b="2").

<script>alert(2)</script>

<div onclick="x">div</div>

## Heading {EVIL}

```circuit
name: stage {EVIL}
caption: caption {EVIL}

title: sheet {EVIL}
VCC = 9 V
Q1 = npn, beta 150
from VCC through RC 2k2 to Q1 collector
from VCC through RB 620k to Q1 base
from Q1 emitter to ground
```

> **Note.** {EVIL}

| {EVIL} | b |
|---|---|
| {EVIL} | c |

```text
{EVIL}
```

```before and after
change: beta = 120
caption: {EVIL}
```

```exercise
ask: I_C
marks: {EVIL}

{EVIL}
```
"""
ELEMENTS = {"script", "iframe", "object", "embed", "link", "form", "input"}


def test_nothing_from_outside_becomes_markup() -> None:
    page = lesson_html(parse_lesson(LESSON))
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree = parser.parse(page)
    assert parser.errors == []
    for element in tree.iter():
        if not isinstance(element.tag, str):
            continue
        assert element.tag not in ELEMENTS - {"link"}
        assert not [name for name in element.keys() if str(name).startswith("on")]  # noqa: SIM118
        if element.tag == "link":
            assert element.get("href").startswith("data:image/svg+xml")
        if element.tag == "img":
            assert element.get("src").startswith("data:")
    assert "<script" not in page
    assert page.count("alert(1)") > 10


def test_nothing_from_outside_runs_in_the_handout() -> None:
    assert lesson_pdf(parse_lesson(LESSON)).startswith(b"%PDF")


@pytest.mark.parametrize("address", ["javascript:alert(1)", "vbscript:x", "data:text/html,x"])
def test_addresses_that_run_are_no_links(address: str) -> None:
    page = lesson_html(parse_lesson(f"# T\n\n[words]({address}) and <{address}>\n"))
    assert f'href="{address}' not in page


WORDS = st.sampled_from(
    [
        *("# ", "## ", "\n", "\n\n", "- ", "1. ", "> ", "    ", "```", "~~~", "|", "---", "*", "_"),
        *("{{", "}}", "I_C", "V_CE", "when ", "beta = 200", " of ", " to ", "change of ", "="),
        *("circuit\n", "working\n", "load line\n", "exercise\n", "before and after\n", "text\n"),
        *("name: a\n", "of: a\n", "ask: I_C\n", "change: beta = 90\n", "arrangement: base bias\n"),
        *("VCC = 9 V\n", "Q1 = npn\n", "from VCC through R1 1k to ground\n", "[x](y)", "![a](b)"),
        *("<b>", "&lt;", "\\", "`", "$", "é", "\u202e", "\t", "Words "),
    ]
)


@settings(max_examples=150, deadline=None)
@given(st.lists(WORDS, max_size=25).map("".join))
def test_any_text_gives_a_lesson_or_a_sentence(text: str) -> None:
    try:
        document = parse_lesson("# T\n\n" + text, folder=Path(__file__).parent)
    except SteadypointError:
        return
    parser = html5lib.HTMLParser(strict=True)
    parser.parse(lesson_html(document))
    assert parser.errors == []
