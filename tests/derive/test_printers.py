"""The four notations: brackets, signs, units, hooks; MathML held against an XML parser."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from steadypoint.derive import (
    Fraction,
    Line,
    Number,
    Parallel,
    PartName,
    Product,
    Relation,
    Sum,
    Symbol,
    to_latex,
    to_mathml,
    to_text,
    to_typst,
)

VCC, V_BE, RB, RE, BETA = (Symbol(n) for n in ("VCC", "V_BE", "RB", "RE", "beta"))
BETA_ONE = Sum(((1, BETA), (1, Number(1.0))))
UNDER = Sum(((1, RB), (1, Product((BETA_ONE, RE)))))
I_B = Fraction(Sum(((1, VCC), (-1, V_BE))), UNDER)


def test_text_brackets_by_precedence():
    assert to_text(I_B) == "(V_CC − V_BE)/(R_B + (β + 1) R_E)"
    assert to_text(Product((Parallel((RB, RE)), BETA))) == "(R_B ∥ R_E) β"
    assert to_text(Fraction(VCC, Product((BETA, RE)))) == "V_CC/(β R_E)"
    assert to_text(Sum(((-1, VCC), (-1, Sum(((1, RB), (-1, RE))))))) == "−V_CC − (R_B − R_E)"


def test_figures_are_multiplied_with_a_cross_and_negative_ones_bracketed():
    figures = Product((Number(150.0, given=True), Number(9.274e-6, "A")))
    assert to_text(figures) == "150 × 9.27\u202fµA"
    negative = Sum(((1, Number(9.0, "V", given=True)), (-1, Number(-6.0, "V", given=True))))
    assert to_text(negative) == "9\u202fV − (−6\u202fV)"


def test_latex_and_typst():
    assert to_latex(I_B) == (
        r"\frac{V_{\mathrm{CC}} - V_{\mathrm{BE}}}"
        r"{R_{\mathrm{B}} + (\beta + 1)\, R_{\mathrm{E}}}"
    )
    assert to_latex(Number(4.7e-6, "A")) == r"4.70\,\mathrm{\mu A}"
    assert to_typst(I_B) == 'frac(V_"CC" - V_"BE", R_"B" + (beta + 1) thin R_"E")'
    assert to_latex(("50 % of ", V_BE)) == r"50 \% of $V_{\mathrm{BE}}$"


@pytest.mark.parametrize(
    "what",
    [
        I_B,
        Relation((Symbol("I_C"), Product((BETA, Symbol("I_B"))))),
        Line(Symbol("I_B"), I_B, Number(-1e-6, "A"), Number(-1.5e-6, "A", symbol="I_B")),
        Number(-2.5e-9, "A"),
    ],
)
def test_mathml_is_well_formed(what):
    root = ET.fromstring(to_mathml(what))  # noqa: S314  our own text
    assert root.tag == "{http://www.w3.org/1998/Math/MathML}math"
    text = "".join(root.itertext())
    assert "-" not in text


def test_mathml_carries_hooks():
    shown = to_mathml(Number(470e3, "Ω", symbol="RB", given=True))
    assert 'data-v="RB" data-given=""' in shown
    assert ">470<" in shown
    assert ">kΩ<" in shown
    assert "\u2062" in to_mathml(Product((BETA, RE)))


def test_prose_escapes_and_names_parts():
    shown = to_mathml(("if ", V_BE, " < 0.7 & ", PartName("RC1")))
    root = ET.fromstring(f"<p>{shown}</p>")  # noqa: S314  our own text
    assert root.find("span").get("data-part") == "RC1"


def test_names_in_mathml_keep_their_hyphens_under_a_power() -> None:
    from steadypoint.derive import Power, Symbol, to_mathml

    for exponent in (2, -1):
        markup = to_mathml(Power(Symbol("V_GS"), exponent))
        assert "data−" not in markup
        assert 'data-sym="V_GS"' in markup
    assert "<mn>−1</mn>" in to_mathml(Power(Symbol("V_GS"), -1))
