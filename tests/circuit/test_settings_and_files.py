"""Settings a reader types, and the ways a file can fail."""

from __future__ import annotations

import os
import threading

import pytest

from steadypoint.circuit import (
    Circuit,
    _files,
    _model,
    add_view,
    apply_setting,
    arrangement,
    load_sheet,
    read_sheet,
    read_text_file,
)
from steadypoint.errors import (
    CircuitError,
    QuantityError,
    SheetError,
    SteadypointError,
    TextFileError,
    UnknownNameError,
)
from steadypoint.values import Quantity

PAIR = """\
VCC = 12 V
Q1 = npn, beta 150
Q2 = pnp, beta 120
from VCC through R1 47k ±5% to Q1 base
from Q1 base through R2 10k, D1 to ground
from VCC through RC1 3k3 to Q1 collector
from Q1 emitter through RE1 1k to ground
from Q1 collector to Q2 base
from VCC through RE2 2k2 to Q2 emitter
from Q2 collector through RC2 2k7 to ground
from Q2 collector through C2 10u to OUT
"""


@pytest.fixture
def pair() -> Circuit:
    return read_sheet(PAIR)


@pytest.mark.parametrize(
    ("setting", "name", "value"),
    [
        ("R1=30k", "R1", 30e3),
        ("VCC=9V", "VCC", 9.0),
        ("VCC = 9", "VCC", 9.0),
        ("C2=4.7 µF", "C2", 4.7e-6),
    ],
)
def test_main_values(pair, setting, name, value):
    changed = apply_setting(pair, setting)
    assert changed.part(name).value.value == pytest.approx(value, rel=1e-15)
    assert [p for p in changed.parts if p.name != name] == [p for p in pair.parts if p.name != name]


def test_tolerance_stays_unless_stated(pair):
    assert apply_setting(pair, "R1=33k").part("R1").tolerance == 0.05
    assert apply_setting(pair, "R1=33k ±1%").part("R1").tolerance == 0.01


def test_gain_of_all_or_of_one(pair):
    both = apply_setting(pair, "beta=200")
    assert [q.option("beta") for q in both.transistors] == [200, 200]
    one = apply_setting(pair, "Q1.beta=200")
    assert [q.option("beta") for q in one.transistors] == [200, 120]
    assert apply_setting(pair, "Q1 beta = 200") == one


@pytest.mark.parametrize("spelled", ["V_BE=0.65V", "VBE=0.65", "vbe=650mV", "V_{BE}=0.65 V"])
def test_letter_symbols_however_typed(pair, spelled):
    assert [q.option("V_BE") for q in apply_setting(pair, spelled).transistors] == [0.65, 0.65]


def test_diodes_and_temperature(pair):
    assert apply_setting(pair, "V_F=0.6V").part("D1").option("V_F") == 0.6
    assert apply_setting(pair, "temperature=60C").temperature.value == pytest.approx(333.15)


def test_a_setting_changes_nothing_in_the_original(pair):
    before = read_sheet(PAIR)
    apply_setting(pair, "beta=200")
    assert pair == before


@pytest.mark.parametrize(
    ("setting", "error", "sentence"),
    [
        ("", QuantityError, "'' is no setting. Write RB=30k, VCC=12V, beta=200, Q1.beta=200 or"),
        ("beta", QuantityError, "'beta' is no setting."),
        ("=3", QuantityError, "'=3' is no setting."),
        ("beta=", QuantityError, "The setting 'beta=' has no value."),
        ("RC=3k3", UnknownNameError, "nothing called 'RC' to set. Did you mean 'RC"),
        ("betta=3", UnknownNameError, "nothing called 'betta' to set. Did you mean 'beta'?"),
        ("Q3.beta=3", UnknownNameError, "nothing called 'Q3' to set. It has VCC, Q1, Q2"),
        ("Q1.bta=3", UnknownNameError, "Q1 is an npn transistor, which has no 'bta'. Did you mean"),
        ("Q1=3", QuantityError, "Q1 is an npn transistor, which has no value. Set Q1.beta"),
        ("RC1=0", QuantityError, "RC1 has a resistance of 0 Ω."),
        ("RC1=-5k", QuantityError, "RC1 has a resistance of -5 kΩ. It must be positive."),
        ("RC1=1e30", QuantityError, "RC1 has a resistance of 1 × 10³⁰ Ω, which is out of reason."),
        ("RC1=3kk", QuantityError, "'3kk' is not a resistance."),
        ("beta=0", QuantityError, "Q1 has a current gain of 0. It must"),
        ("beta=nan", QuantityError, "'nan' is not a number."),
        ("V_BE=99", QuantityError, "Q1 has a junction voltage of 99 V, which is out of reason."),
        ("temperature=60", QuantityError, "'60' does not name its scale."),
        ("temperature=2000C", QuantityError, "A temperature of 2000 °C is out of reason."),
        ("R1=1k ±200%", QuantityError, "A tolerance of 200 % is out of reason."),
    ],
)
def test_bad_settings_get_one_sentence(pair, setting, error, sentence):
    with pytest.raises(error) as caught:
        apply_setting(pair, setting)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)


def test_with_value_takes_numbers_and_quantities(pair):
    assert pair.with_value("R1", 33e3).part("R1").value == Quantity(33e3, "Ω")
    assert pair.with_value("R1", Quantity(33e3, "Ω")) == pair.with_value("R1", 33e3)
    with pytest.raises(QuantityError, match="no main value"):
        pair.with_value("Q1", 3)
    with pytest.raises(QuantityError, match="where 'Ω' is wanted"):
        pair.with_value("R1", Quantity(3.0, "V"))
    with pytest.raises(QuantityError, match="out of reason"):
        pair.with_value("R1", float("nan"))
    with pytest.raises(UnknownNameError, match=r"no part 'RE'. Did you mean 'RE"):
        pair.with_value("RE", 1e3)


# --- what a notebook and print show ------------------------------------------------------------


def test_circuit_shows_its_sheet(pair):
    assert str(pair).startswith("VCC = 12 V\nQ1 = npn, beta 150\n")
    assert pair._repr_mimebundle_()["text/plain"] == str(pair).rstrip("\n")


def test_layers_above_can_add_a_view(pair, monkeypatch):
    monkeypatch.setattr(_model, "_VIEWS", {})
    add_view("image/svg+xml", lambda circuit: f"<svg>{len(circuit.parts)}</svg>")
    assert pair._repr_mimebundle_()["image/svg+xml"] == f"<svg>{len(pair.parts)}</svg>"


# --- files -------------------------------------------------------------------------------------


def test_file_is_read_and_named_in_faults(tmp_path):
    path = tmp_path / "stage.circuit"
    path.write_bytes(b"\xef\xbb\xbf" + PAIR.replace("\n", "\r\n").encode())
    assert load_sheet(path) == read_sheet(PAIR)
    path.write_text(PAIR.replace("from VCC through RC1", "from VCC trough RC1"), "utf-8")
    with pytest.raises(SheetError, match=r"^stage.circuit, line 6, column 10"):
        load_sheet(str(path))


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "is empty"),
        (b"  \n\n", "is empty"),
        (b"\x89PNG\r\n\x1a\n\0\0", "is not text"),
        (PAIR.encode("utf-16"), "is text in UTF-16. Save it in UTF-8."),
        (PAIR.encode("latin-1"), "is not text in UTF-8 (line 4). Save it in UTF-8."),
    ],
)
def test_files_that_are_no_text(tmp_path, data, sentence):
    path = tmp_path / "stage.circuit"
    path.write_bytes(data)
    with pytest.raises(TextFileError) as caught:
        load_sheet(path)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)


def test_directory_missing_and_strange_names(tmp_path):
    (tmp_path / "stage.circuit").write_text(PAIR, "utf-8")
    with pytest.raises(TextFileError, match=r"is a directory. Name a circuit sheet in it"):
        load_sheet(tmp_path)
    with pytest.raises(TextFileError, match=r"There is no file .*stag.circuit'. Did you mean"):
        load_sheet(tmp_path / "stag.circuit")
    with pytest.raises(TextFileError, match="Check the path"):
        load_sheet(tmp_path / "no" / "such" / "place")
    for name in ("", "a\0b", "x" * 5000):
        with pytest.raises(TextFileError):
            load_sheet(name)


def test_too_large_a_file(tmp_path, monkeypatch):
    monkeypatch.setattr(_files, "LARGEST", 100)
    path = tmp_path / "stage.circuit"
    path.write_text("#" * 101, "utf-8")
    with pytest.raises(TextFileError, match="is too large for a circuit sheet"):
        load_sheet(path)


def test_no_permission(tmp_path, monkeypatch):
    path = tmp_path / "stage.circuit"
    path.write_text(PAIR, "utf-8")

    def refuse(*_: object) -> bytes:
        raise PermissionError(13, "Permission denied")

    # Root may read everything, so the refusal of the system is put in its place.
    monkeypatch.setattr(_files, "_bytes", refuse)
    with pytest.raises(TextFileError, match="may not be read"):
        read_text_file(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_read_like_a_file(tmp_path):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    writer = threading.Thread(target=pipe.write_text, args=(PAIR, "utf-8"))
    writer.start()
    assert load_sheet(pipe) == read_sheet(PAIR)
    writer.join()


def test_all_faults_are_of_the_tree():
    for error in (SheetError, CircuitError, QuantityError, TextFileError, UnknownNameError):
        assert issubclass(error, SteadypointError)


def test_matched_partner_shares_what_is_stated():
    mirror = arrangement("current mirror").circuit
    assert mirror.part("Q2").option("beta") == mirror.part("Q1").option("beta")
    changed = apply_setting(mirror, "Q2.beta=100")
    assert "Q2 = npn, matched to Q1, beta 100" in str(changed)
