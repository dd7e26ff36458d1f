"""Rows of pictures: numbered PNGs without the extra, movies with it."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

import pytest

from steadypoint.errors import OutputError
from steadypoint.publish import svg_png, write_movie

SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 36" width="64" height="36">'
    '<rect width="64" height="36" fill="#fff"/><circle cx="{x}" cy="18" r="9"/></svg>'
)
PICTURES = [svg_png(SVG.format(x=x), width=64) for x in (12, 30, 52)]
HAS_VIDEO = find_spec("PIL") is not None and find_spec("av") is not None


def test_numbered_pictures_are_those_that_were_given(tmp_path: Path):
    target = tmp_path / "drift"
    assert write_movie(PICTURES, target) == 3
    names = [f"frame-{k:04d}.png" for k in (1, 2, 3)]
    assert sorted(p.name for p in target.iterdir()) == names
    assert [(target / n).read_bytes() for n in names] == PICTURES
    assert write_movie(PICTURES[:2], target) == 2  # a shorter row leaves no rest
    assert sorted(p.name for p in target.iterdir()) == names[:2]


def test_folder_with_other_files_is_left_alone(tmp_path: Path):
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(OutputError, match="holds other files"):
        write_movie(PICTURES, tmp_path)
    assert [p.name for p in tmp_path.iterdir()] == ["notes.txt"]


def test_unknown_suffix_and_rate_are_refused(tmp_path: Path):
    with pytest.raises(OutputError, match=r"\.gif, \.webp or \.mp4"):
        write_movie(PICTURES, tmp_path / "drift.bmp")
    with pytest.raises(OutputError, match="Choose 1 to 60"):
        write_movie(PICTURES, tmp_path / "drift", rate=0)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("suffix", ["gif", "webp", "mp4"])
def test_missing_extra_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, suffix: str):
    monkeypatch.setattr("steadypoint.publish._movie.find_spec", lambda _name: None)
    with pytest.raises(OutputError, match=r"Install steadypoint\[video\]"):
        write_movie(PICTURES, tmp_path / f"drift.{suffix}")
    assert not list(tmp_path.iterdir())


# File signatures: GIF89a specification; RIFF container of WebP (RFC 9649); ISO/IEC 14496-12.
@pytest.mark.skipif(not HAS_VIDEO, reason="needs the extra 'video'")
@pytest.mark.parametrize(
    ("suffix", "at", "mark"), [("gif", 0, b"GIF89a"), ("webp", 8, b"WEBP"), ("mp4", 4, b"ftyp")]
)
def test_movies_are_of_their_kind_and_the_same_every_time(
    tmp_path: Path, suffix: str, at: int, mark: bytes
):
    written = []
    for name in ("one", "two"):
        target = tmp_path / f"{name}.{suffix}"
        assert write_movie(iter(PICTURES), target) == 3
        written.append(target.read_bytes())
    assert written[0] == written[1]
    assert written[0][at : at + len(mark)] == mark
