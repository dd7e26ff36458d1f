"""What is remembered between runs is what would be made anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadypoint.publish import font_css
from steadypoint.publish._fonts import faces, subset_face
from steadypoint.publish._memory import SWITCH, remembered


def test_made_once_and_anew_when_spoilt(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(SWITCH, str(tmp_path / "memory"))
    made: list[int] = []

    def make() -> bytes:
        made.append(1)
        return b"something"

    assert [remembered("key", make) for _ in range(3)] == [b"something"] * 3
    assert len(made) == 1
    (tmp_path / "memory" / "key").write_bytes(b"spoilt")
    assert remembered("key", make) == b"something"
    assert len(made) == 2
    monkeypatch.setenv(SWITCH, "off")
    assert remembered("key", make) == b"something"
    assert len(made) == 3


def test_a_folder_that_cannot_be_written_costs_only_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv(SWITCH, str(tmp_path / "file" / "inside"))
    assert remembered("key", lambda: b"x") == b"x"
    for name in ("HOME", "XDG_CACHE_HOME", SWITCH):
        monkeypatch.delenv(name, raising=False)
    assert remembered("key", lambda: b"y") == b"y"


def test_fonts_are_the_same_remembered_or_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(SWITCH, "off")
    subset_face.cache_clear()
    alone = font_css("Gain of Q1")
    monkeypatch.setenv(SWITCH, str(tmp_path))
    for _ in range(2):
        subset_face.cache_clear()
        assert font_css("Gain of Q1") == alone
    assert len(list(tmp_path.iterdir())) == len(faces())
