"""The spelling of the units: every rule finds its fault and leaves the right spelling alone."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[1]


def load() -> ModuleType:
    spec = importlib.util.spec_from_file_location("check_units", ROOT / "tools" / "check_units.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["check_units"] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


check_units = load()

# Prose with one fault each: the fault, and the right spelling. SI Brochure, 9th ed., chapter 5
# (names, symbols and the space between number and unit); the code points are a rule of our own.
FAULTS = [
    ("A resistor of 3.3 Kohm.", "Kohm", "A resistor of 3.3 kΩ."),
    ("A resistor of 3.3 KΩ.", "KΩ", "Ten kilohms, 10 kΩ."),
    ("At 3 KHz it falls.", "KHz", "At 3 kHz it falls."),
    ("At 3 Mhz it falls.", "3 Mhz", "At 3 MHz it falls."),
    ("A line of 10 KV.", "0 KV", "A line of 10 kV, 200 K/W."),
    ("Some 3 mAmp flow.", "mAmp", "Some 3 mA flow."),
    ("A part of 10 uF.", "10 uF", "A part of 10 µF, typed `10 uF`."),
    ("A part of 10 \u03bcF.", "\u03bc", "The Greek letter \u03bc alone is a symbol."),
    ("A part of 10 \u2126.", "\u2126", "A part of 10 Ω."),
    ("A supply of 9 Volts.", "9 Volts", "A supply of 9 volts."),
    ("It is given in Volts here.", "Volts", "Volts are small inside a sentence."),
    ("By Ohms and amperes.", "Ohms", "By Ohm's law."),
    ("A supply of 5V.", "5V", "A supply of 5 V, a zener 5V1, a 2N3904."),
    ("It is 0.65V high.", "0.65V", "It is 0.65\u202fV high."),
    ("A part of 3.3kΩ here.", "3.3kΩ", "A part of 3k3 here."),
    ("It heats to 60°C.", "60°C", "It heats to 60 °C."),
    ("Within 5% of it.", "5%", "Within 5 % of it."),
    ("It is 298 °K.", "°K", "It is 298 K, or 2 mV/K."),
    ("It is 298 degrees Kelvin.", "degrees Kelvin", "It is 298 kelvins."),
    ("It is 25 ºC.", "ºC", "It is 25 °C."),
    ("A part of 100 kohm.", "kohm", "A part of 100 kilohms."),
]


def found(text: str, suffix: str = ".md", **options: bool) -> list[str]:
    return [what for _, what, _ in check_units.check_text(text, suffix, **options)]


@pytest.mark.parametrize(("wrong", "fault", "right"), FAULTS)
def test_prose(wrong: str, fault: str, right: str) -> None:
    assert found(wrong) == [fault]
    assert found(right) == []


def test_code_in_markdown_is_input() -> None:
    assert found("Type `5V` or `10uF`.\n\n```circuit\nVCC = 5V\n```\n\n~~~\n10 KHz\n~~~") == []
    assert found("```\n5V\n```\nthen 5V") == ["5V"]
    assert found("[five](a5V.md) and https://example.org/5V") == []


def test_the_marker_spares_a_line() -> None:
    assert found("A wrong 5V <!-- units: allow -->\nA wrong 6V") == ["6V"]


SOURCE = '''"""Ten uA: 10 uA, typed ``10 uA``.

>>> read("10 uA")
10 uA
"""
x = "10 uA"  # a comment on 5V
y = "3 KHz"
'''


def test_python_prose_is_strict_and_other_strings_are_lenient() -> None:
    assert list(check_units.check_text(SOURCE, ".py")) == [
        (1, "10 uA", "write µ"),
        (6, "5V", "put a space between number and unit"),
        (7, "KHz", "kilo is a small k: kΩ, kHz"),
    ]
    assert found(SOURCE, ".py", inputs=True) == ["10 uA", "5V"]


def test_data_are_held_to_what_is_wrong_everywhere() -> None:
    assert found('good_at = "works at 5V and 3 KHz"', ".toml") == ["KHz"]


def test_faults_are_printed_one_a_line_with_exit_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "page.md"
    page.write_text("Right: 5 V.\n\nWrong: 5V and 3 KHz.\n", encoding="utf-8")
    assert check_units.main([str(tmp_path)]) == 1
    assert capsys.readouterr().out.splitlines() == [
        f"{page}:3: 'KHz': kilo is a small k: kΩ, kHz",
        f"{page}:3: '5V': put a space between number and unit",
    ]
    page.write_text("Right: 5 V.\n", encoding="utf-8")
    assert check_units.main([str(page)]) == 0


def test_source_that_cannot_be_parsed_is_left_to_the_linter() -> None:
    assert found("def (:  # 5V", ".py") == []


def test_a_file_that_is_no_text_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "a.md").write_bytes(b"\xff\xfe\x00")
    assert check_units.main([str(tmp_path)]) == 0
