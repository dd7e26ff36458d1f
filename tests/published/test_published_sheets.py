"""The sheets of the published examples: they read back, and every rung can solve them."""

from __future__ import annotations

import pytest
from worked_examples import HERE, sheet

from steadypoint.circuit import read_sheet, write_sheet
from steadypoint.solve import operating_point

SHEETS = sorted(path.stem for path in (HERE / "sheets").glob("*.circuit"))


@pytest.mark.parametrize("name", SHEETS)
def test_sheet_reads_back(name: str) -> None:
    assert read_sheet(write_sheet(sheet(name))) == sheet(name)


@pytest.mark.parametrize("model", ["board", "exact", "device"])
@pytest.mark.parametrize("name", SHEETS)
def test_currents_and_powers_balance(name: str, model: str) -> None:
    point = operating_point(sheet(name), model)
    sources = [p.name for p in point.circuit.parts if "supply" in p.kind or "source" in p.kind]
    delivered = sum(point.parts[n].P for n in sources)
    taken = sum(p.P for n, p in point.parts.items() if n not in sources)
    taken += sum(q.P for q in (*point.transistors.values(), *point.fets.values()))
    if model == "board":  # what is left out is missing in the balance as well
        assert taken == pytest.approx(delivered, rel=0.15)
    else:
        assert taken == pytest.approx(delivered, rel=1e-9, abs=1e-15)
        assert point.residual <= 1e-9 * sum(abs(p.I) for p in point.parts.values()) + 1e-15
