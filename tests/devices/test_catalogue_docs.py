"""Every type of the catalogue stands in the documentation."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadypoint.devices import FROM_MEMORY, part_record, part_types

PAGE = (Path(__file__).parents[2] / "docs" / "parts.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", part_types())
def test_type_is_documented_with_its_share_of_looked_up_figures(name: str):
    record = part_record(name)
    (row,) = [line for line in PAGE.splitlines() if line.startswith(f"| `{name}`")]
    assert record.kind in row
    assert record.use in row
    for alias in record.aliases:
        assert alias in row
    figures = (*record.ratings, *record.figures)
    sourced = sum(f.source != FROM_MEMORY for f in figures)
    assert row.endswith(f"| {sourced} of {len(figures)} |")
