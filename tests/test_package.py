"""The package as it is handed out: wheel, version, lock files."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

import steadypoint

ROOT = Path(__file__).parents[1]
SOURCE = ROOT / "src" / "steadypoint"
LOCKS = sorted((ROOT / "requirements").glob("*.lock"))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built without network or isolation."""
    folder = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (built,) = folder.glob("*.whl")
    return built


def test_wheel_carries_every_source_and_data_file(wheel: Path):
    inside = set(zipfile.ZipFile(wheel).namelist())
    wanted = {
        path.relative_to(ROOT / "src").as_posix()
        for path in SOURCE.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert wanted <= inside


@pytest.mark.parametrize(
    "pattern",
    [
        r"steadypoint/py\.typed",
        r"steadypoint/__init__\.pyi",
        r"steadypoint/circuit/sheet\.lark",
        r"steadypoint/circuit/arrangements/.+",
        r"steadypoint/publish/.+\.css",
        r"steadypoint/lesson/demo/.+\.md",
        r".+\.dist-info/licenses/LICENSE",
    ],
)
def test_wheel_carries(wheel: Path, pattern: str):
    names = zipfile.ZipFile(wheel).namelist()
    assert any(re.fullmatch(pattern, name) for name in names)


def test_wheel_carries_nothing_but_the_package(wheel: Path):
    tops = {name.split("/")[0] for name in zipfile.ZipFile(wheel).namelist()}
    assert tops == {"steadypoint", f"steadypoint-{steadypoint.__version__}.dist-info"}


def test_unpacked_wheel_solves_a_circuit(wheel: Path, tmp_path: Path):
    zipfile.ZipFile(wheel).extractall(tmp_path)
    script = (
        "import steadypoint, sys; "
        "from steadypoint.cli import main; "
        "sys.stderr.write(steadypoint.__file__); "
        "sys.exit(main(['arrangements', 'voltage divider']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    )
    assert done.stderr.startswith(str(tmp_path)), "the wheel itself must have answered"
    assert "through" in done.stdout


def test_version_has_one_source(wheel: Path):
    assert "version" in PROJECT["project"]["dynamic"]
    assert PROJECT["tool"]["hatch"]["version"]["path"] == "src/steadypoint/__init__.py"
    assert wheel.name.startswith(f"steadypoint-{steadypoint.__version__}-")
    assert re.fullmatch(r"\d+\.\d+\.\d+", steadypoint.__version__)


def test_changelog_knows_the_version():
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert f"## [{steadypoint.__version__}]" in text or "## [Unreleased]" in text


def test_classifiers_name_the_supported_pythons():
    versions = [
        line.rsplit("::", 1)[1].strip()
        for line in PROJECT["project"]["classifiers"]
        if line.startswith("Programming Language :: Python :: 3.")
    ]
    assert versions == ["3.11", "3.12", "3.13", "3.14"]
    assert PROJECT["project"]["requires-python"] == ">=3.11"


@pytest.mark.parametrize("lock", LOCKS, ids=lambda path: path.name)
def test_lock_pins_everything_with_hashes_and_names_no_address(lock: Path):
    text = lock.read_text(encoding="utf-8")
    assert "://" not in text
    assert not re.search(r"^\s*(-i|-f|--(extra-)?index-url|--find-links)\b", text, re.MULTILINE)
    entries = re.split(r"\n(?=\S)", text.strip())
    assert len(entries) > 10
    for entry in entries:
        assert re.match(r"[A-Za-z0-9_.-]+==[0-9]", entry), entry
        assert "--hash=sha256:" in entry, entry


def test_run_lock_covers_every_dependency():
    text = (ROOT / "requirements" / "run.lock").read_text(encoding="utf-8")
    pinned = set(re.findall(r"^([A-Za-z0-9_.-]+)==", text, re.MULTILINE))
    for wanted in PROJECT["project"]["dependencies"]:
        name = re.match(r"[A-Za-z0-9_.-]+", wanted)
        assert name is not None
        assert name[0].lower() in pinned


def test_set_up_names_no_address():
    for path in [ROOT / "Makefile", ROOT / ".ci" / "run", *(ROOT / "tools").glob("*")]:
        if path.is_file():
            assert not re.search(r"://\w", path.read_text(encoding="utf-8")), path.name


def test_tree_names_no_path_of_a_machine():
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0:
        pytest.skip("no git checkout")
    own = {f"{ROOT}/", f"{ROOT.parent}/", f"{Path.home()}/"} - {"/", "//"}
    for name in filter(None, listed.stdout.split("\0")):
        path = ROOT / name
        data = path.read_bytes() if path.is_file() else b""
        for place in own:
            assert place.encode() not in data, f"{name} names {place}"
