"""Writing: whole or not at all, and one sentence when it fails."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from steadypoint.errors import OutputError
from steadypoint.publish import make_folder, write_atomic


def test_writes_and_replaces(tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    assert write_atomic(target, b"one") == target
    write_atomic(target, b"two")
    assert target.read_bytes() == b"two"
    assert [p.name for p in tmp_path.iterdir()] == ["page.html"]


def test_a_link_keeps_pointing_at_its_file(tmp_path: Path) -> None:
    real = tmp_path / "real.html"
    real.write_bytes(b"old")
    link = tmp_path / "link.html"
    link.symlink_to(real)
    write_atomic(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


# What is in the way -> the sentence that says so.
def _folder(tmp: Path) -> Path:
    (tmp / "out").mkdir()
    return tmp / "out"


def _missing(tmp: Path) -> Path:
    return tmp / "nowhere" / "page.html"


def _file_as_folder(tmp: Path) -> Path:
    (tmp / "file").write_text("x")
    return tmp / "file" / "page.html"


def _too_long(tmp: Path) -> Path:
    return tmp / ("x" * 300)


FAULTS = [
    (_folder, "is a folder, so no file can be written there. Name a file inside it."),
    (_missing, "there is no folder"),
    (_file_as_folder, "is a file, not a folder. Choose another one."),
    (_too_long, "is too long for a file name. Choose a shorter one."),
]


@pytest.mark.parametrize(("make", "sentence"), FAULTS)
def test_faults_earn_one_sentence(tmp_path: Path, make, sentence: str) -> None:
    target = make(tmp_path)
    before = sorted(p.name for p in tmp_path.rglob("*"))
    with pytest.raises(OutputError) as fault:
        write_atomic(target, b"x")
    assert sentence in str(fault.value)
    assert "\n" not in str(fault.value)
    assert sorted(p.name for p in tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    ("code", "sentence"),
    [
        (errno.EACCES, "no permission"),
        (errno.EROFS, "no permission"),
        (errno.ENOSPC, "the disk is full"),
        (errno.EIO, "cannot be written"),
    ],
)
def test_the_old_file_survives_a_failing_write(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, sentence: str
) -> None:
    target = tmp_path / "page.html"
    target.write_bytes(b"old")

    def fail(_: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OutputError, match=sentence):
        write_atomic(target, b"new")
    assert target.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["page.html"]


def test_make_folder(tmp_path: Path) -> None:
    assert make_folder(tmp_path / "a" / "b").is_dir()
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError, match="is a file, not a folder"):
        make_folder(tmp_path / "file")
