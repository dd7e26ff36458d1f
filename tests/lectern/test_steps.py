"""Steps of the arrow keys: the next preferred value of IEC 60063, beta by ten, a supply by 1 V."""

from __future__ import annotations

import pytest

from steadypoint.circuit import read_sheet
from steadypoint.lectern._givens import givens

SHEET = """\
VCC = 9 V
Q1 = npn, beta 125
from VCC through RC {} to Q1 collector
from VCC through RB 470k to Q1 base
from Q1 emitter to ground
from IN through C1 2u2 to Q1 base
"""


def stepped(setting: str, by: int, RC: str = "3k9") -> str:
    found = {g.setting: g for g in givens(read_sheet(SHEET.format(RC)))}
    return found[setting].stepped(by)


# E24 and E12, IEC 60063:2015: 3.3 3.6 3.9 4.3 4.7 5.1 ...; 1.8 2.2 2.7 ...
@pytest.mark.parametrize(
    ("setting", "by", "typed"),
    [
        ("RC", 1, "4k3"),
        ("RC", -1, "3k6"),
        ("RC", 3, "5k1"),
        ("RB", 1, "510k"),
        ("C1", 1, "2u7"),
        ("C1", -1, "1u8"),
        ("Q1.beta", 1, "130"),
        ("Q1.beta", -1, "120"),
        ("VCC", 1, "10 V"),
        ("VCC", -2, "7 V"),
    ],
)
def test_steps(setting: str, by: int, typed: str):
    assert stepped(setting, by).replace("\u00a0", " ") == typed


def test_a_value_between_two_steps_goes_to_the_next():
    assert stepped("RC", 1, "4k") == "4k3"
    assert stepped("RC", -1, "4k") == "3k9"


def test_a_supply_never_steps_through_zero():
    assert float(stepped("VCC", -30).split()[0]) > 0
