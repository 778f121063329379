"""The personal lexicon."""

from __future__ import annotations

from pathlib import Path

import pytest
from plessor.lexicon import InputError
from plessor.pipeline.correct import CorrectOptions, add_personal, correct, personal_path
from plessor.pipeline.correct.personal import parse_personal, read_personal, variants_of
from plessor.pipeline.record import Correction
from plessor.pipeline.transcript import from_heard


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
    assert kept.phrases == ("flexion",)
    assert kept.variants == (("flick shun", "flexion"), ("fleck sun", "flexion"))
    assert read_personal(path) == kept
    assert path.read_text(encoding="utf-8").count("flick shun") == 1


def test_personal_file_need_not_exist(tmp_path: Path) -> None:
    assert read_personal(tmp_path / "none.txt") == parse_personal("# nothing\n\n")


@pytest.mark.parametrize(
    "line",
    ["see five = C six", "left arm = right arm", "flexors = extensors", "= tone", "five = four"],
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


def test_personal_variant_is_used_where_the_trade_is_spoken() -> None:
    words = ["Elbow", "flagon", "shun", "four", "on", "the", "left,", "elbow", "extension", "four."]
    transcript = from_heard([(w, float(i), i + 0.5, 0.8) for i, w in enumerate(words)])
    options = CorrectOptions(variants=(("flagon shun", "flexion"),))
    assert "Elbow flexion four" in correct(transcript, options=options).transcript.corrected


def test_variants_of_keeps_what_is_safe_to_keep() -> None:
    def changed(heard: str, became: str) -> Correction:
        return Correction(
            heard=heard, became=became, term="", score=1, reason="", first_word=0, last_word=0
        )

    kept = variants_of([changed("fleeks in,", "flexion"), changed("left", "right")])
    assert kept == (("fleeks in", "flexion"),)
