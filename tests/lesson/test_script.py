"""The script: what is said, how it is timed, and that captions are WebVTT."""

from __future__ import annotations

import io
import re
from itertools import pairwise
from pathlib import Path

import pytest
import webvtt

from steadypoint.lesson import lesson_captions, lesson_script, parse_lesson, read_lesson

ROOT = Path(__file__).parents[2]
LESSONS = sorted((ROOT / "examples" / "course").glob("0*.md"))
LESSON = """# A kalimba & its <pickup>

```circuit
VCC = 9 V
Q1 = npn, beta 100
from VCC through RB 830k to Q1 base
from VCC through RC 3k to Q1 collector
from Q1 emitter to ground
```

It rests at {{I_C =}}; see {{figure 1}}.

```note for the speaker
Ask for a guess first.
```

```exercise
ask: V_CE
change: RC = 4k7

How much is left with {{RC}}?
```
""".replace("; see {{figure 1}}", "")


@pytest.mark.parametrize("path", LESSONS, ids=lambda p: p.stem)
def test_captions_are_read_by_an_independent_reader(path: Path) -> None:
    document = read_lesson(path)
    captions = list(webvtt.from_buffer(io.StringIO(lesson_captions(document))))
    assert len(captions) > 20
    times = [(c.start_in_seconds, c.end_in_seconds) for c in captions]
    assert all(a < b for a, b in times)
    assert all(before[1] <= after[0] for before, after in pairwise(times))
    assert all(len(line) <= 45 for c in captions for line in c.lines)
    assert all(len(c.lines) <= 2 for c in captions)
    words = sum(len(c.text.split()) for c in captions)
    minutes = sum(b - a for a, b in times) / 60.0
    assert words / minutes == pytest.approx(150.0, rel=0.05)  # common practice, no source


@pytest.mark.parametrize("path", LESSONS, ids=lambda p: p.stem)
def test_everything_can_be_pronounced(path: Path) -> None:
    text = lesson_script(read_lesson(path))
    odd = re.findall(r".{20}[=≈<>×+−±°∥→↑↓Ωµβ_{}\d].{20}", text)
    assert not odd


def test_text_and_captions_say_the_same_but_for_notes() -> None:
    document = parse_lesson(LESSON)
    text, captions = lesson_script(document), lesson_captions(document)
    assert "[Ask for a guess first.]" in text
    assert "guess" not in captions
    # I_B = (9 - 0.7)/830k = 10 µA, I_C = 1 mA; V_CE = 9 - 1 mA · 4.7 kΩ
    assert "I C equals one point zero zero milliamperes" in text
    assert "with four point seven kilohms" in text
    assert "V C E equals four point three zero volts" in text
    assert "kalimba &amp; its &lt;pickup>" in captions


def test_answers_can_be_left_out_or_stand_with_their_exercise() -> None:
    document = parse_lesson(LESSON)
    assert "four point three zero volts" not in lesson_script(document, answers="without")
    apart, with_each = (lesson_script(document, answers=a) for a in ("apart", "with"))
    assert "The answer to exercise one." in apart
    assert "The answer to exercise one." not in with_each
    assert "four point three zero volts" in with_each
