"""A folder with one circuit, and the lectern over it."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest

from steadypoint.lectern import Folder, lectern_app

with warnings.catch_warnings():  # the client that is wanted instead is not yet in the distribution
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

SHEET = """\
# The stage behind the rain gauge; keep R1 a stock value.
title: Rain gauge, first stage

VCC = 9 V
Q1 = npn, beta 120
from VCC through R1 150k to Q1 base
from Q1 base through R2 39k to ground  # both from the drawer
from VCC through RC 3k9 ±5% to Q1 collector
from Q1 emitter through RE 820 to ground
"""


@pytest.fixture
def sheet() -> str:
    return SHEET


@pytest.fixture
def place(tmp_path: Path) -> Path:
    (tmp_path / "rain gauge.circuit").write_text(SHEET, encoding="utf-8")
    return tmp_path


@pytest.fixture
def client(place: Path) -> Iterator[TestClient]:
    app = lectern_app(Folder(place), inline=True)
    with TestClient(app, base_url="http://localhost") as found:
        yield found
