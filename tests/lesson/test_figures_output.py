"""Figures one by one: names, kinds, and that each is what it says."""

from __future__ import annotations

import io
import struct
from pathlib import Path
from xml.etree import ElementTree

import pypdf

from steadypoint.lesson import build_lesson, figures_of, read_lesson

LESSON = Path(__file__).parents[2] / "examples" / "course" / "02-load-line.md"


def test_every_drawing_becomes_three_files(tmp_path: Path) -> None:
    built = build_lesson(LESSON, to="figures", into=tmp_path)
    names = {p.relative_to(tmp_path).as_posix() for p in built.paths}
    numbers = [name for name, _ in figures_of(read_lesson(LESSON))]
    assert numbers[:2] == ["figure-1", "figure-2"]
    assert names == {
        f"02-load-line-figures/{n}.{kind}" for n in numbers for kind in ("svg", "png", "pdf")
    }
    for path in built.paths:
        data = path.read_bytes()
        if path.suffix == ".svg":
            assert ElementTree.fromstring(data).tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314
        elif path.suffix == ".png":
            width, height = struct.unpack(">II", data[16:24])
            assert data.startswith(b"\x89PNG")
            assert width == 1600
            assert height > 100
        else:
            assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == 1


def test_the_same_lesson_gives_the_same_bytes(tmp_path: Path) -> None:
    one = build_lesson(LESSON, to="figures", into=tmp_path / "a")
    two = build_lesson(LESSON, to="figures", into=tmp_path / "b")
    assert [p.read_bytes() for p in one.paths] == [p.read_bytes() for p in two.paths]
