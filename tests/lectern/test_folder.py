"""Files of the folder: whole, never outside of it, never over what somebody else wrote."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadypoint.errors import OutputError, TextFileError, UnknownNameError
from steadypoint.lectern import Folder
from steadypoint.lectern._folder import ChangedOutsideError


def test_lists_what_it_knows_by_kind(place: Path):
    for name in ("talk.md", "talk.srt", "notes.txt", "B.circuit", ".hidden.circuit"):
        (place / name).write_text("VCC = 9 V\n", encoding="utf-8")
    folder = Folder(place)
    assert folder.names() == ("B.circuit", "rain gauge.circuit")
    assert folder.names("lesson") == ("talk.md",)
    assert folder.names("captions") == ("talk.srt",)


@pytest.mark.parametrize(
    "name",
    ["../x.circuit", "/etc/passwd", "a/b.circuit", "..", "x.py", "", ".circuit", "a\0.circuit"],
)
def test_no_name_leads_out_of_the_folder(place: Path, name: str):
    folder = Folder(place)
    with pytest.raises(UnknownNameError):
        folder.read(name)
    with pytest.raises(UnknownNameError):
        folder.write(name, "VCC = 9 V\n", "")


def test_no_link_leads_out_of_the_folder(place: Path, tmp_path_factory: pytest.TempPathFactory):
    outside = tmp_path_factory.mktemp("outside") / "secret.circuit"
    outside.write_text("VCC = 9 V\n", encoding="utf-8")
    (place / "link.circuit").symlink_to(outside)
    folder = Folder(place)
    assert "link.circuit" not in folder.names()
    with pytest.raises(UnknownNameError, match="leads out"):
        folder.read("link.circuit")
    with pytest.raises(UnknownNameError):
        folder.write("link.circuit", "VCC = 5 V\n", folder.version("rain gauge.circuit"))
    assert outside.read_text(encoding="utf-8") == "VCC = 9 V\n"


def test_what_somebody_else_wrote_stays(place: Path, sheet: str):
    folder = Folder(place)
    known = folder.read("rain gauge.circuit")
    (place / "rain gauge.circuit").write_text("VCC = 5 V\n", encoding="utf-8")
    with pytest.raises(ChangedOutsideError, match="changed outside"):
        folder.write(known.name, sheet.replace("3k9", "4k7"), known.version)
    assert (place / "rain gauge.circuit").read_text(encoding="utf-8") == "VCC = 5 V\n"
    version = folder.write(known.name, sheet, folder.version(known.name))
    assert folder.read(known.name).version == version


def test_a_new_file_never_replaces_one(place: Path):
    with pytest.raises(ChangedOutsideError):
        Folder(place).write("rain gauge.circuit", "VCC = 5 V\n", "")


def test_what_is_no_text_is_said(place: Path):
    (place / "x.circuit").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(TextFileError, match="UTF-8"):
        Folder(place).read("x.circuit")
    (place / "y.circuit").write_bytes(b"#" * 1_000_001)
    with pytest.raises(TextFileError, match="larger"):
        Folder(place).read("y.circuit")


def test_unknown_file_suggests_the_nearest(place: Path):
    with pytest.raises(UnknownNameError, match="rain gauge"):
        Folder(place).read("rain gage.circuit")
    with pytest.raises(OutputError, match="no folder"):
        Folder(place / "missing")
