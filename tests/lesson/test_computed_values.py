"""Numbers in running text: computed from the circuit, equal to the solver's, shown by rule."""

from __future__ import annotations

import pytest

from steadypoint.circuit import apply_setting, read_sheet
from steadypoint.errors import LessonError
from steadypoint.lesson import parse_lesson
from steadypoint.lesson._tree import Paragraph, plain
from steadypoint.solve import operating_point
from steadypoint.values import format_quantity

SHEET = """VCC = 9 V
Q1 = npn, beta 120
from VCC through R1 47k to Q1 base
from Q1 base through R2 12k to ground
from VCC through RC 2k2 to Q1 collector
from Q1 emitter through RE 560 to ground
"""
BASE = "# T\n\n```circuit\nname: stage\nshow: names\n\n" + SHEET + "```\n\n"


def shown(words: str, opening: str = BASE) -> str:
    """The last paragraph of a lesson in plain words."""
    blocks = parse_lesson(opening + words + "\n").blocks
    paragraphs = [b for b in blocks if isinstance(b, Paragraph)]
    return plain(paragraphs[-1].content)


def solved(setting: str = "beta=120"):
    circuit = apply_setting(read_sheet(SHEET), setting)
    return operating_point(circuit)


@pytest.mark.parametrize("name", ["I_C", "I_B", "I_E", "V_CE", "V_BE", "V_C", "V_B", "V_E", "P"])
@pytest.mark.parametrize("digits", [1, 2, 3, 5])
def test_a_transistor_quantity_is_the_solvers(name: str, digits: int) -> None:
    unit = {"I": "A", "V": "V", "P": "W"}[name[0]]
    wanted = format_quantity(getattr(solved().transistors["Q1"], name), unit, digits)
    plural = "s" if digits > 1 else ""
    assert shown(f"{{{{{name} to {digits} digit{plural}}}}}") == wanted


def test_parts_nodes_and_supplies() -> None:
    point = solved()
    assert shown("{{I_R1}}") == format_quantity(point.parts["R1"].I, "A")
    assert shown("{{V_RC}}") == format_quantity(point.parts["RC"].V, "V")
    assert shown("{{P_RE}}") == format_quantity(point.parts["RE"].P, "W")
    # Stated values come as stated, whatever their digits.
    assert shown("{{RC}} {{R_C}} {{RE}} {{VCC}} {{beta}} {{β}}") == (
        "2.2\u202fkΩ 2.2\u202fkΩ 560\u202fΩ 9\u202fV 120 120"
    )


def test_a_value_under_a_change() -> None:
    wanted = format_quantity(solved("beta=240").transistors["Q1"].I_C, "A")
    assert shown("{{I_C when beta = 240}}") == wanted
    assert shown("{{I_C when beta=240, RC = 2k2}}") == wanted
    assert shown("{{I_C of stage when beta = 240 to 3 digits}}") == wanted


def test_changes_have_sign_and_base() -> None:
    before, after = solved().transistors["Q1"], solved("beta=240").transistors["Q1"]
    percent = 100 * (after.I_C / before.I_C - 1)
    assert shown("{{change of I_C when beta = 240}}") == f"+{percent:.1f}\u202f%"
    volts = after.V_CE - before.V_CE
    assert shown("{{change of V_CE when beta = 240}}") == f"−{abs(volts):.3f}\u202fV"
    share = 100 * volts / before.V_CE
    text = shown("{{change of V_CE when beta = 240 in percent}}")
    assert text == f"−{abs(share):.1f}\u202f%"
    assert shown("{{change of VCC when beta = 240}}") == "±0\u202fV"


def test_a_change_between_two_states() -> None:
    one, two = (solved(f"beta={b}").transistors["Q1"].I_C for b in (100, 200))
    text = shown("{{change of I_C from beta = 100 to beta = 200}}")
    assert text == f"+{100 * (two / one - 1):.1f}\u202f%"


def test_the_region_and_the_equation() -> None:
    assert shown("{{region}}, {{Q1.region}}, {{region when RC = 22k}}") == (
        "active, active, saturated"
    )
    amount = format_quantity(solved().transistors["Q1"].V_CE, "V")
    assert shown("{{V_CE =}}") == f"VCE\u00a0=\u00a0{amount}"
    assert shown("{{V_CE = of stage}}") == f"VCE\u00a0=\u00a0{amount}"


def test_words_before_the_first_circuit_speak_of_it() -> None:
    text = "# T\n\nWe shall find {{V_CE}}.\n\n```circuit\nshow: names\n\n" + SHEET + "```\n"
    blocks = parse_lesson(text).blocks
    amount = format_quantity(solved().transistors["Q1"].V_CE, "V")
    assert plain(blocks[0].content) == f"We shall find {amount}."


def test_words_below_a_circuit_speak_of_that_one() -> None:
    other = SHEET.replace("560", "680")
    text = BASE + "```circuit\nname: other\nshow: names\n\n" + other + "```\n\n"
    amount = format_quantity(operating_point(read_sheet(other)).transistors["Q1"].I_C, "A")
    first = format_quantity(solved().transistors["Q1"].I_C, "A")
    assert shown("{{I_C}} {{I_C of stage}}", text) == f"{amount} {first}"


def test_a_pnp_is_written_with_magnitudes() -> None:
    sheet = """VEE = 9 V
Q1 = pnp, beta 120
from VEE through RE 560 to Q1 emitter
from VEE through R1 12k to Q1 base
from Q1 base through R2 47k to ground
from Q1 collector through RC 2k2 to ground
"""
    point = operating_point(read_sheet(sheet)).transistors["Q1"]
    assert point.I_C < 0 > point.V_CE
    opening = "# T\n\n```circuit\nshow: names\n\n" + sheet + "```\n\n"
    assert shown("{{I_C}}", opening) == format_quantity(-point.I_C, "A")
    assert shown("{{V_EC}}", opening) == format_quantity(-point.V_CE, "V")
    assert shown("{{V_CE}}", opening) == format_quantity(point.V_CE, "V")


def test_two_transistors_must_be_told_apart() -> None:
    sheet = """VCC = 9 V
Q1 = npn
Q2 = npn
from VCC through RB 1M to Q1 base
from VCC through RC 1k to Q1 collector
from Q1 emitter to Q2 base
from Q2 collector to Q1 collector
from Q2 emitter to ground
"""
    opening = "# T\n\n```circuit\nshow: names\n\n" + sheet + "```\n\n"
    with pytest.raises(LessonError, match=r"Write Q1\.I_C or Q2\.I_C"):
        shown("{{I_C}}", opening)
    amount = operating_point(read_sheet(sheet)).transistors["Q2"].I_C
    assert shown("{{Q2.I_C}}", opening) == format_quantity(amount, "A")


def test_braces_in_code_and_after_a_backslash_stay() -> None:
    assert shown("`{{I_C}}` and \\{\\{no}}") == "{{I_C}} and {{no}}"


def test_letter_symbols_and_names_of_parts_are_set() -> None:
    from steadypoint.lesson._tree import Letter, PartLabel

    blocks = parse_lesson(BASE + "Say I_C, V_CE_sat, RC, Q1, VCC, β and Q9, not I_am.\n").blocks
    items = blocks[-1].content
    letters = [i for i in items if isinstance(i, Letter)]
    labels = [i for i in items if isinstance(i, PartLabel)]
    assert letters[:2] == [Letter("I", "C"), Letter("V", "CE,sat")]
    assert Letter("V", "CC") in letters
    assert Letter("β") in letters
    assert labels == [PartLabel("R", "C"), PartLabel("Q", "1")]
