"""Letter symbols: split, set and spoken."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steadypoint.errors import QuantityError
from steadypoint.values import SymbolParts, split_symbol

SPLIT = [
    ("V_CE", "V", "CE"),
    ("I_CQ", "I", "CQ"),
    ("ICQ", "I", "CQ"),
    ("RB", "R", "B"),
    ("R_B", "R", "B"),
    ("RE1", "R", "E1"),
    ("VCC", "V", "CC"),
    ("V_BE1", "V", "BE1"),
    ("Q1", "Q", "1"),
    ("R2", "R", "2"),
    ("D1", "D", "1"),
    ("beta", "β", ""),
    ("β", "β", ""),
    ("beta_1", "β", "1"),
    ("beta1", "β", "1"),
    ("R_thev", "R", "TH"),
    ("V_thev", "V", "TH"),
    ("h_FE", "h", "FE"),
    ("hFE", "h", "FE"),
    ("V_CE_sat", "V", "CE,sat"),
    ("V_GS_th", "V", "GS,th"),
    ("r_pi", "r", "π"),
    ("g_m", "g", "m"),
    ("V_T", "V", "T"),
    ("I_E_Q2", "I", "E,Q2"),
    ("Delta_V_BE", "ΔV", "BE"),
    ("Delta V_BE".replace(" ", "_"), "ΔV", "BE"),
    ("ΔI_C", "ΔI", "C"),
    ("P", "P", ""),
    ("Vbe", "V", "be"),
    ("Ic", "I", "c"),
    ("Vcc", "V", "cc"),
    ("ib", "i", "b"),
    ("OUT", "OUT", ""),
    ("IN", "IN", ""),
    ("load", "load", ""),
]


@pytest.mark.parametrize(("name", "base", "sub"), SPLIT)
def test_names_are_split(name: str, base: str, sub: str) -> None:
    assert split_symbol(name) == SymbolParts(base, sub)


def test_every_form_of_a_subscripted_symbol() -> None:
    parts = split_symbol("V_CE_sat")
    assert parts.plain == str(parts) == "V_CE,sat"
    assert parts.html == "<i>V</i><sub>CE,sat</sub>"
    assert parts.mathml == "<msub><mi>V</mi><mtext>CE,sat</mtext></msub>"
    assert parts.latex == r"V_{\mathrm{CE,sat}}"
    assert parts.typst == 'V_"CE,sat"'
    assert parts.spoken == "V C E saturation"


@pytest.mark.parametrize(
    ("name", "latex", "unicode", "spoken"),
    [
        ("beta", r"\beta", "β", "beta"),
        ("beta_1", r"\beta_{1}", "β₁", "beta 1"),
        ("Q1", "Q_{1}", "Q₁", "Q 1"),
        ("RB", r"R_{\mathrm{B}}", "R_B", "R B"),
        ("R_thev", r"R_{\mathrm{TH}}", "R_TH", "R Thévenin"),
        ("r_pi", r"r_{\pi}", "r_π", "r pi"),
        ("Delta_V_BE", r"\Delta V_{\mathrm{BE}}", "ΔV_BE", "delta V B E"),
        ("OUT", r"\mathrm{OUT}", "OUT", "OUT"),
        ("V_BE12", r"V_{\mathrm{BE12}}", "V_BE12", "V B E 12"),
    ],
)
def test_forms(name: str, latex: str, unicode: str, spoken: str) -> None:
    parts = split_symbol(name)
    assert (parts.latex, parts.unicode, parts.spoken) == (latex, unicode, spoken)


def test_a_word_is_upright() -> None:
    assert split_symbol("OUT").html == "OUT"
    assert split_symbol("OUT").mathml == "<mi>OUT</mi>"


def test_notebooks_show_the_typeset_symbol() -> None:
    bundle = split_symbol("V_CE")._repr_mimebundle_()
    assert bundle["text/html"] == "<i>V</i><sub>CE</sub>"
    assert bundle["text/latex"] == r"$V_{\mathrm{CE}}$"


def test_a_change_is_upright_in_mathml() -> None:
    root = ElementTree.fromstring(split_symbol("Delta_V_BE").mathml)  # noqa: S314  our own text
    assert [e.text for e in root.iter("mi")] == ["Δ", "V"]


@pytest.mark.parametrize("text", ["", "3k3", "V CE", "<b>", "V_{CE}", "V;", "__import__('os')"])
def test_no_symbol(text: str) -> None:
    with pytest.raises(QuantityError, match="is not a letter symbol"):
        split_symbol(text)


@given(st.from_regex(r"[A-Za-z][A-Za-z0-9]*(_[A-Za-z0-9]+){0,3}", fullmatch=True))
def test_every_name_has_every_form(name: str) -> None:
    parts = split_symbol(name)
    assert parts.base
    assert parts.latex.count("{") == parts.latex.count("}")
    ElementTree.fromstring(parts.mathml)  # noqa: S314
    ElementTree.fromstring(f"<p>{parts.html}</p>")  # noqa: S314
    assert parts.spoken.strip()


@given(st.from_regex(r"[A-Z](_[A-Z0-9]+)?", fullmatch=True))
def test_splitting_the_plain_text_again_changes_nothing(name: str) -> None:
    parts = split_symbol(name)
    assert split_symbol(parts.plain) == parts
