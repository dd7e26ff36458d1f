"""Themes: every palette for every kind of colour vision, own colours, faults in sentences."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest

from steadypoint.circuit import arrangement
from steadypoint.draw import (
    THEMES,
    Theme,
    drift_chart,
    load_theme,
    palette_faults,
    read_theme,
    schematic,
)
from steadypoint.draw._theme_file import STROKES
from steadypoint.draw._vision import VISIONS, ciede2000, contrast, difference
from steadypoint.errors import SteadypointError, TextFileError, ThemeError

BUILT_IN = [name for name in THEMES if name != "page"]
SERIES = ("volt", "amp", "mark", "ink")  # colours of the lines of one chart


# G. Sharma, W. Wu, E. N. Dalal, Color Research and Application 30 (2005) 21-30, table 1: pairs 1,
# 2, 3, 17, 25, 26 and 33 of the supplementary test data (figures from memory).
@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 3.1571, -77.2803), (50.0, 0.0, -82.7485), 2.8615),
        ((50.0, 2.8361, -74.0200), (50.0, 0.0, -82.7485), 3.4412),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
        ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_colour_difference_of_the_published_pairs(first, second, expected: float) -> None:
    assert ciede2000(first, second) == pytest.approx(expected, abs=6e-5)
    assert ciede2000(second, first) == pytest.approx(expected, abs=6e-5)


@pytest.mark.parametrize("vision", VISIONS)
def test_greys_stay_grey_in_every_simulation(vision: str) -> None:
    # Every row of the matrices sums to 1 (Machado, Oliveira, Fernandes, 2009), so white is white.
    for row in VISIONS[vision]:
        assert sum(row) == pytest.approx(1.0, abs=2e-6)
    assert difference("#808080", "#808080", vision) == pytest.approx(0.0, abs=1e-6)


def test_deuteranopia_brings_red_and_green_together() -> None:
    full = difference("#b03030", "#4f6b00")
    assert difference("#b03030", "#4f6b00", "deuteranopia") < 0.5 * full


@pytest.mark.parametrize("theme", BUILT_IN)
@pytest.mark.parametrize("vision", VISIONS)
def test_series_of_a_chart_are_told_apart_by_every_eye(theme: str, vision: str) -> None:
    colours = THEMES[theme]
    for a, b in combinations(SERIES, 2):
        assert difference(colours[a], colours[b], vision) >= 8.0, (a, b)
    assert difference(colours["volt"], colours["amp"], vision) >= 20.0


@pytest.mark.parametrize("theme", BUILT_IN)
def test_built_in_themes_pass_the_check_of_own_colours(theme: str) -> None:
    assert palette_faults(THEMES[theme]) == []


@pytest.mark.parametrize("theme", BUILT_IN)
def test_lines_stand_out_from_their_ground(theme: str) -> None:
    # Graphics need 3 (WCAG 2.2, success criterion 1.4.11), on the ground and on hatched stretches.
    colours = THEMES[theme]
    for line in (*SERIES, "steady", "ghost", "rule-2"):
        assert contrast(colours[line], colours["leaf"]) >= 3.0, line
        assert contrast(colours[line], colours["inset"]) >= 3.0, line


# --- own colours -------------------------------------------------------------------------------


def test_a_file_changes_what_it_names_and_nothing_else(tmp_path: Path) -> None:
    file = tmp_path / "college.toml"
    file.write_text('based_on = "dark"\n[colours]\nvolt = "#BCF"\n[strokes]\nwire = 2\n', "utf-8")
    tokens = load_theme(file).tokens
    assert (tokens["volt"], tokens["wire"]) == ("#bbccff", "2")
    changed = {name for name, value in tokens.items() if value != THEMES["dark"][name]}
    assert changed == {"volt", "wire"}


def test_a_drawing_takes_own_colours() -> None:
    theme = read_theme('[colours]\nvolt = "#00429d"\nleaf = "#fffff0"')
    assert isinstance(theme, Theme)
    scene = drift_chart(arrangement("base bias").circuit, "beta", 50, 200)
    svg = scene.svg(theme, standalone=True)
    assert "#00429d" in svg
    assert 'fill="#fffff0"' in svg
    assert THEMES["light"]["volt"] not in svg
    assert "var(--" not in schematic(arrangement("base bias").circuit).svg(theme)


def test_one_colour_for_all_meanings_is_allowed() -> None:
    same = "\n".join(f'{name} = "#000000"' for name in ("volt", "amp", "steady", "mark"))
    assert read_theme(f'based_on = "print"\n[colours]\n{same}').tokens["amp"] == "#000000"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("x =", "college.toml is no TOML file"),
        ('based_on = "lite"', "There is no theme 'lite'"),
        ("based_on = [1]", "There is no theme"),
        ('base = "dark"', "'base' means nothing in a theme. Did you mean 'based_on'?"),
        ('[colours]\nvolts = "#123456"', "Did you mean 'volt'?"),
        ('[colours]\nvolt = "blue"', "is 'blue', which is no colour"),
        ('[colours]\nvolt = "#12345"', "is no colour"),
        ('[colours]\nvolt = "#000;}svg{display:none"', "is no colour"),
        ("colours = 3", "Begin it with a line [colours]"),
        ("[strokes]\nwire = 0", "Write a width up to 12 pixels"),
        ("[strokes]\nwire = true", "Write a width"),
        ("[strokes]\nthin = 1", f"Known are {', '.join(STROKES)}."),
        ('[colours]\nvolt = "#aaaaaa"', "text needs 4.5"),
        ('[colours]\nvolt = "#7a1f1f"\namp = "#3f4f00"', "look alike with"),
    ],
)
def test_faults_of_a_theme_are_told_in_a_sentence(text: str, sentence: str) -> None:
    with pytest.raises(ThemeError) as caught:
        read_theme(text, "college.toml")
    assert sentence in str(caught.value)
    for line in str(caught.value).splitlines():
        assert line.startswith("college.toml")
        assert line.endswith((".", "?"))


def test_each_fault_has_its_own_sentence() -> None:
    with pytest.raises(ThemeError) as caught:
        read_theme('[colours]\nvolts = "#123456"\namp = "red"\n[strokes]\nwire = 99')
    assert len(str(caught.value).splitlines()) == 3


def test_a_missing_file_is_told() -> None:
    with pytest.raises(TextFileError):
        load_theme("nowhere.toml")
    with pytest.raises(SteadypointError, match="no theme 'neon'"):
        schematic(arrangement("base bias").circuit).svg("neon")
