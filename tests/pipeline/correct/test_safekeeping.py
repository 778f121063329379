"""A text file that several programs change at once."""

from __future__ import annotations

import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from plessor.lexicon import InputError
from plessor.pipeline.correct import add_personal, read_personal, safekeeping
from plessor.pipeline.correct.safekeeping import change_text, read_text

posix = pytest.mark.skipif(sys.platform == "win32", reason="permissions and locks of POSIX")


def test_no_line_is_lost_when_many_write_at_once(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"

    def write(who: int) -> None:
        for n in range(6):
            change_text(path, lambda old, line=f"{who}.{n}\n": old + line)

    writers = [threading.Thread(target=write, args=(who,)) for who in range(8)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    lines = read_text(path).splitlines()
    assert sorted(lines) == sorted(f"{who}.{n}" for who in range(8) for n in range(6))
    assert [p.name for p in tmp_path.iterdir() if p.suffix != ".lock"] == ["lexicon.txt"]


def test_two_programs_wait_for_one_another(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    script = (
        "import sys, pathlib\n"
        "from plessor.pipeline.correct.safekeeping import change_text\n"
        "for n in range(15):\n"
        "    change_text(pathlib.Path(sys.argv[1]), lambda old: old + f'{sys.argv[2]}.{n}\\n')\n"
    )
    running = [
        subprocess.Popen([sys.executable, "-c", script, str(path), who]) for who in ("a", "b")
    ]
    assert [program.wait(timeout=120) for program in running] == [0, 0]
    assert sorted(read_text(path).splitlines()) == sorted(
        f"{w}.{n}" for w in "ab" for n in range(15)
    )


def test_a_change_that_fails_leaves_the_file_and_no_other(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    add_personal("flexion", ["flick shun"], path)
    before = path.read_bytes()

    def fail(old: str) -> str:
        raise InputError("no")

    with pytest.raises(InputError, match="no"):
        change_text(path, fail)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir() if p.suffix != ".lock"] == ["lexicon.txt"]


def test_a_full_disk_keeps_the_old_text(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "lexicon.txt"
    add_personal("flexion", ["flick shun"], path)
    before = path.read_bytes()

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(safekeeping.os, "fsync", full)
    with pytest.raises(InputError, match="No space left on device"):
        add_personal("flexion", ["fleck sun"], path)
    assert path.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir() if p.suffix != ".lock"] == ["lexicon.txt"]


@posix
def test_a_lock_that_is_not_given_back_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(safekeeping, "_TRIES", 3)
    path = tmp_path / "lexicon.txt"

    def within(old: str) -> str:
        change_text(path, lambda text: text + "inner\n")
        return old

    with pytest.raises(InputError, match="another program is changing it"):
        change_text(path, within)
    change_text(path, lambda old: old + "after\n")
    assert read_text(path) == "after\n"


@posix
def test_a_new_file_is_private_and_an_old_one_keeps_its_permissions_and_its_link(
    tmp_path: Path,
) -> None:
    path = tmp_path / "lexicon.txt"
    add_personal("flexion", ["flick shun"], path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    path.chmod(0o644)
    link = tmp_path / "elsewhere" / "link.txt"
    link.parent.mkdir()
    link.symlink_to(path)
    add_personal("flexion", ["fleck sun"], link)
    assert link.is_symlink()
    assert stat.S_IMODE(path.stat().st_mode) == 0o644
    assert len(read_personal(path).variants) == 2


def test_what_cannot_be_used_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="this is a folder"):
        read_text(tmp_path)
    file = tmp_path / "file"
    file.write_bytes(b"\xff\xfe\x00")
    for use in (read_text, lambda place: change_text(place, lambda old: old + "x")):
        with pytest.raises(InputError, match="not UTF-8"):
            use(file)
    assert file.read_bytes() == b"\xff\xfe\x00"
    with pytest.raises(InputError, match="cannot be used"):
        change_text(file / "below", lambda old: old + "x")
