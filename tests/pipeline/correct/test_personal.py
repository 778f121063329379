"""The personal lexicon."""

from __future__ import annotations

from pathlib import Path

import pytest
from plessor.lexicon import InputError
from plessor.pipeline.correct import add_personal, personal_path, read_personal, remove_personal
from plessor.pipeline.correct.personal import parse_personal


def test_personal_file_stands_in_the_configuration_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("PLESSOR_CONFIG", str(tmp_path))
    assert personal_path() == tmp_path / "lexicon.txt"
    monkeypatch.delenv("PLESSOR_CONFIG")
    # XDG Base Directory Specification 0.8: $XDG_CONFIG_HOME, by default ~/.config
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "x"))
    assert personal_path() == tmp_path / "x/plessor/lexicon.txt"


def test_personal_entries_are_kept_once_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "deep/lexicon.txt"
    add_personal("flexion", ["flick shun", "fleck sun"], path)
    kept = add_personal("flexion", ["flick shun"], path)
    assert kept.phrases == ()
    assert kept.variants == (("flick shun", "flexion"), ("fleck sun", "flexion"))
    assert read_personal(path) == kept
    assert path.read_text(encoding="utf-8").count("flick shun") == 1


def test_personal_file_need_not_exist(tmp_path: Path) -> None:
    assert read_personal(tmp_path / "none.txt") == parse_personal("# nothing\n\n")


@pytest.mark.parametrize(
    "line",
    [
        *("see five = C six", "left arm = right arm", "flexors = extensors", "= tone"),
        *("five = four", "no tremmer = tremor", "mall = not normal"),
    ],
)
def test_personal_entry_that_would_turn_a_finding_round_is_refused(line: str) -> None:
    with pytest.raises(InputError, match=r"lexicon.txt:2: "):
        parse_personal(f"# mine\n{line}\n")


def test_personal_file_is_left_alone_when_an_entry_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    add_personal("stereognosis", (), path)
    before = path.read_text(encoding="utf-8")
    with pytest.raises(InputError):
        add_personal("right", ["left"], path)
    assert path.read_text(encoding="utf-8") == before


def test_personal_file_that_is_not_text_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    path.write_bytes(b"\xff\xfe\x00bad")
    with pytest.raises(InputError, match="not UTF-8"):
        read_personal(path)


def test_personal_file_made_by_an_editor_of_windows_is_read_and_kept_as_it_is(
    tmp_path: Path,
) -> None:
    """With a byte order mark and CR LF, as Notepad may save it (from memory)."""
    path = tmp_path / "lexicon.txt"
    path.write_bytes(b"\xef\xbb\xbffleecy ox = biceps jerk\r\nbobbing sign")
    assert read_personal(path).variants == (("fleecy ox", "biceps jerk"),)
    add_personal("flexion", ["flick shun"], path)
    assert path.read_bytes() == (
        b"\xef\xbb\xbffleecy ox = biceps jerk\r\nbobbing sign\r\nflick shun = flexion\r\n"
    )


def test_personal_file_keeps_faulty_lines_and_comments(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    path.write_text("# mine\nleft flex = flexion\n\nfleecy ox = biceps jerk # often\n", "utf-8")
    before = path.read_text("utf-8")
    kept = add_personal("flexion", ["flick shun"], path)
    assert kept.variants == (("fleecy ox", "biceps jerk"), ("flick shun", "flexion"))
    assert path.read_text("utf-8") == before + "flick shun = flexion\n"
    assert remove_personal("Flick-shun", path).variants == (("fleecy ox", "biceps jerk"),)
    assert path.read_text("utf-8") == before
    with pytest.raises(InputError, match=r"lexicon.txt:2: "):
        read_personal(path)


def test_personal_phrase_is_added_without_a_variant(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    assert add_personal("bobbing sign", (), path).phrases == ("bobbing sign",)
    assert add_personal("Bobbing sign", (), path).phrases == ("bobbing sign",)
    assert remove_personal("bobbing sign", path) == parse_personal("")


def test_remove_of_what_is_not_there_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    with pytest.raises(InputError, match="there is no such file"):
        remove_personal("fleecy ox", path)
    assert not path.exists()
    add_personal("gastrocnemius", ["gastrox"], path)
    before = path.read_bytes()
    with pytest.raises(InputError, match="the nearest entry is “gastrox”"):
        remove_personal("gastroks", path)
    assert path.read_bytes() == before
