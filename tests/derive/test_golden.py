"""Twenty workings as they were read and found to read like a lecturer's.

These texts guard order and wording only: the figures are held against published examples and
``solve`` by the other tests of this folder.
"""

from __future__ import annotations

import pytest
from write_golden import FOLDER, golden_text

SHEETS = sorted(FOLDER.glob("*.circuit"))


def test_there_are_twenty():
    assert len(SHEETS) >= 20


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda p: p.name.removesuffix(".circuit"))
def test_reads_as_reviewed(sheet):
    assert golden_text(sheet) == sheet.with_suffix(".txt").read_text(encoding="utf-8")
