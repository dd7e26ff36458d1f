"""Typst: what is from outside is shown, never run; PDFs repeat themselves and are tagged."""

from __future__ import annotations

import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from steadypoint.errors import OutputError
from steadypoint.publish import compile_typst, typst_string, typst_text

OPENING = '#set document(title: "t")\n#set text(lang: "en", font: "Source Sans Pro")\n'


def _shown(markup: str) -> str:
    reader = PdfReader(io.BytesIO(compile_typst(OPENING + markup)))
    return "".join(page.extract_text() for page in reader.pages)


TRICKS = [
    '#read("/etc/hostname")',
    '#import "@preview/x:1.0.0": *',
    "$x^2$ and *bold* _it_ `raw` <label> @ref",
    "= Heading\n- list\n+ enum\n/ term: x",
    "1. number",
    "// comment /* more */",
    "\\u{1F600} \\\\ ~ --- ... 'q' \"q\"",
    "https://example.org/#{1+1}",
    "#[]#{}#()",
]


@pytest.mark.parametrize("text", TRICKS)
def test_text_from_outside_is_shown_as_typed(text: str) -> None:
    plain = "".join(_shown(typst_text(text)).split())
    assert plain == "".join(text.split())


@pytest.mark.parametrize("text", TRICKS)
def test_strings_from_outside_are_shown_as_typed(text: str) -> None:
    plain = "".join(_shown(f"#text({typst_string(text)})").split())
    assert plain == "".join(text.split())


@settings(max_examples=40, deadline=None)
@given(st.text(st.characters(codec="ascii"), max_size=40))
def test_any_text_compiles(text: str) -> None:
    compile_typst(f"{OPENING}x{typst_text(text)}\n#text({typst_string(text)})")


def test_a_pdf_is_tagged_and_repeats_itself() -> None:
    first = compile_typst(OPENING + "Hello")
    assert first == compile_typst(OPENING + "Hello")
    root = PdfReader(io.BytesIO(first)).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en"


def test_a_document_that_cannot_be_set_says_so() -> None:
    with pytest.raises(OutputError, match="could not be set: unknown variable"):
        compile_typst(OPENING + "#nothing-of-this-name")


def test_nothing_is_read_from_the_disk() -> None:
    with pytest.raises(OutputError):
        compile_typst(OPENING + '#read("/etc/hostname")')
