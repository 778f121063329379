"""What a wheel of Plessor holds: every module, every data file, the licence, nothing else."""

from __future__ import annotations

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
FOLDERS = ("lexicon", "pipeline", "cli")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """Built from a copy, since setuptools leaves its working files beside the source."""
    source = tmp_path_factory.mktemp("source")
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    for name in FOLDERS:
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    target = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps"]
    command += ["--no-build-isolation", "--wheel-dir", str(target), str(source)]
    ran = subprocess.run(command, capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr
    (found,) = target.glob("plessor-*.whl")
    return zipfile.ZipFile(found)


def test_the_wheel_holds_every_file_of_the_three_folders_and_no_other(wheel) -> None:
    expected = {
        f"plessor/{path.relative_to(ROOT).as_posix()}"
        for folder in FOLDERS
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    held = {name for name in wheel.namelist() if ".dist-info/" not in name}
    assert held == expected
    assert {f"plessor/{folder}/py.typed" for folder in FOLDERS} <= held
    assert "plessor/lexicon/data/vocabulary.json" in held


def test_the_wheel_carries_licence_and_command(wheel) -> None:
    (info,) = {n.split("/")[0] for n in wheel.namelist() if ".dist-info/" in n}
    assert "Apache License" in wheel.read(f"{info}/licenses/LICENSE").decode()
    assert "plessor = plessor.cli.main:run" in wheel.read(f"{info}/entry_points.txt").decode()
    assert "License-Expression: Apache-2.0" in wheel.read(f"{info}/METADATA").decode()
