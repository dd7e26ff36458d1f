"""Lessons on field-effect transistors: values, cards, before and after, exercises."""

from __future__ import annotations

import math

import pytest

from steadypoint.circuit import arrangements
from steadypoint.errors import LessonError
from steadypoint.lesson import lesson_html, parse_lesson
from steadypoint.lesson._tree import Comparison, Exercise, plain

SHEET = """VDD = 12 V
Q1 = n-channel JFET, I_DSS 8 mA, V_GS_off -3 V
from VDD through RD 2k7 to Q1 drain
from Q1 gate through RG 2M2 to ground
from Q1 source through RS 820 to ground
"""
LESSON = f"""# A stage with a channel

```circuit
name: hydrophone

{SHEET}```

I_D is {{{{I_D to 4 digits}}}}, {{{{V_GS =}}}}, {{{{V_DS}}}}; it states {{{{I_DSS}}}}.
It is {{{{region}}}}.

```before and after
change: RS = 1k5
```

```exercise
change: RS = 1k2
ask: I_D, V_GS, V_DS, region

Find the point.
```
"""


def self_bias(R_S: float) -> tuple[float, float, float]:
    """I_D, V_GS and V_DS from I_D = I_DSS (1 - V_GS/V_GS_off)² and V_GS = -I_D R_S.

    R. L. Boylestad, L. Nashelsky, Electronic Devices and Circuit Theory, 7.3: the quadratic
    equation of self-bias, its root between V_GS_off and zero.
    """
    I_DSS, V_off, V_DD, R_D = 8e-3, -3.0, 12.0, 2.7e3
    a, b, c = I_DSS / V_off**2, 1 / R_S - 2 * I_DSS / V_off, I_DSS
    V_GS = (-b + math.sqrt(b * b - 4 * a * c)) / (2 * a)
    I_D = -V_GS / R_S
    return I_D, V_GS, V_DD - I_D * (R_D + R_S)


def test_values_are_those_of_the_square_law() -> None:
    I_D, V_GS, V_DS = self_bias(820.0)
    text = " ".join(
        plain(b.content)
        for b in parse_lesson(LESSON).blocks
        if hasattr(b, "content")
        and not isinstance(b, Comparison)
        and b.__class__.__name__ == "Paragraph"
    )
    assert f"{1e3 * I_D:.4g}\u202fmA" in text
    assert f"−{abs(V_GS):.3g}" in text
    assert f"{V_DS:.3g}\u202fV" in text
    assert "8\u202fmA" in text
    assert "in saturation" in text


def test_before_and_after_and_the_key() -> None:
    document = parse_lesson(LESSON)
    compared = next(b for b in document.blocks if isinstance(b, Comparison))
    sentence = plain(compared.content[0].content)  # type: ignore[union-attr]
    was, now = self_bias(820.0)[0], self_bias(1500.0)[0]
    assert "the drain current" in sentence
    assert f"falls from {1e3 * was:.3g}\u202fmA to {1e3 * now:.3g}\u202fmA" in sentence
    assert "stays in saturation" in sentence
    exercise = next(b for b in document.blocks if isinstance(b, Exercise))
    key = plain(exercise.key[0].content)  # type: ignore[union-attr]
    I_D, V_GS, _ = self_bias(1200.0)
    assert f"{1e3 * I_D:.3g}\u202fmA" in key
    assert f"−{abs(V_GS):.3g}" in key
    assert document.summary[0]["I_D"] == pytest.approx(was, rel=1e-6)


@pytest.mark.parametrize("name", [a.name for a in arrangements()])
def test_every_arrangement_makes_a_lesson(name: str) -> None:
    text = f"# One\n\n```circuit\narrangement: {name}\n```\n\nIt has {{{{P_R1}}}}.\n"
    part = next(a for a in arrangements() if a.name == name).circuit.parts[-1]
    resistor = next(
        p.name
        for p in next(a for a in arrangements() if a.name == name).circuit.parts
        if p.kind.value == "resistor"
    )
    html = lesson_html(parse_lesson(text.replace("P_R1", f"P_{resistor}")))
    assert html.count('class="point"') >= 1, part.name


def test_a_collector_current_of_a_channel_is_refused() -> None:
    with pytest.raises(LessonError, match="no bipolar transistor, so there is no I_C"):
        parse_lesson(f"# One\n\n```circuit\n{SHEET}```\n\n{{{{I_C}}}}\n")
