"""What a reviewer's correction teaches. The misheard words are invented here."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from plessor.lexicon import InputError
from plessor.pipeline.correct import CorrectOptions, correct, keep_variant, read_personal
from plessor.pipeline.correct.personal import usable
from plessor.pipeline.record import Word
from plessor.pipeline.transcript import from_heard, from_text


def words_of(text: str, probability: float = 0.9) -> tuple[Word, ...]:
    return from_heard(
        [(w, float(i), i + 0.5, probability) for i, w in enumerate(text.split())]
    ).words


def test_keep_variant_takes_off_what_the_reviewer_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    words = words_of("The left fleecy ox is brisk.")
    kept = keep_variant(words, "left biceps jerk is", first_word=1, last_word=4, path=path)
    assert (kept.heard, kept.means, kept.kept) == ("fleecy ox", "biceps jerk", True)
    own = read_personal(path)
    assert own.variants == (("fleecy ox", "biceps jerk"),)
    options = CorrectOptions(variants=own.variants)
    after = correct(from_text("Right fleecy ox absent."), options=options).transcript
    assert after.corrected == "Right biceps jerk absent."


def test_keep_variant_keeps_what_was_heard_and_not_what_correction_made_of_it(
    tmp_path: Path,
) -> None:
    path = tmp_path / "lexicon.txt"
    words = (
        Word(text="The", probability=0.9),
        Word(text="triceps", probability=0.4, heard="zips ox"),
        Word(text="jerk", probability=0.4, heard=""),
        Word(text="is", probability=0.9),
    )
    for first, last, means in ((1, 2, "supinator jerk"), (1, 1, "supinator"), (2, 2, "jerk")):
        kept = keep_variant(words, means, first_word=first, last_word=last, path=path)
        assert kept.heard == "zips ox"
    assert read_personal(path).variants == (("zips ox", "supinator jerk"),)


def test_keep_variant_takes_the_words_around_an_ordinary_one_if_the_reviewer_took_them(
    tmp_path: Path,
) -> None:
    path = tmp_path / "lexicon.txt"
    words = words_of("A waddling gate, and the risk extension is four.")
    alone = keep_variant(words, "gait,", first_word=2, last_word=2, path=path)
    assert not alone.kept and alone.why == "it is an ordinary English word."
    assert not path.exists()
    beside = keep_variant(words, "waddling gait,", first_word=1, last_word=2, path=path)
    assert (beside.heard, beside.means, beside.kept) == ("waddling gate", "waddling gait", True)
    insisted = keep_variant(words, "gait", first_word=2, last_word=2, path=path, insist=True)
    assert insisted.kept and read_personal(path).variants[-1] == ("gate", "gait")


@pytest.mark.parametrize(
    ("text", "means", "why"),
    [
        ("wrist", "knee", "a term of the lexicon itself"),
        ("left flex", "flexion", "a number, a side or a level"),
        ("five", "four", "a number, a side or a level"),
        ("flexer", "sunshine", "not a term of the lexicon"),
        ("nor mall", "normal", "says no"),
        ("tone", "Tone.", "heard as it is"),
        ("fleecy", "…", "no words"),
    ],
)
def test_keep_variant_says_why_it_keeps_nothing(tmp_path: Path, text, means, why) -> None:
    path = tmp_path / "lexicon.txt"
    words = words_of(text)
    kept = keep_variant(words, means, first_word=0, last_word=len(words) - 1, path=path)
    assert not kept.kept and kept.why is not None and why in kept.why
    assert not path.exists()


def test_keep_variant_keeps_no_second_meaning(tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    words = words_of("fleecy ox")
    assert keep_variant(words, "biceps jerk", first_word=0, last_word=1, path=path).kept
    assert keep_variant(words, "biceps jerk", first_word=0, last_word=1, path=path).kept
    other = keep_variant(words, "knee jerk", first_word=0, last_word=1, path=path)
    assert other.why is not None and "“biceps jerk” already" in other.why
    assert path.read_text("utf-8").count("fleecy ox") == 1


def test_keep_variant_loses_nothing_though_a_line_is_faulty_and_others_write(
    tmp_path: Path,
) -> None:
    path = tmp_path / "lexicon.txt"
    path.write_text("left flex = flexion\n# mine\nbobbing sign", encoding="utf-8")
    before = path.read_text("utf-8")
    names = ["flek", "flokk", "flukk", "flakk", "flikk", "fnek", "fnokk", "fnukk"]

    def keep(name: str) -> None:
        assert keep_variant(words_of(name), "flexion", first_word=0, last_word=0, path=path).kept

    writers = [threading.Thread(target=keep, args=(name,)) for name in names]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    after = path.read_text("utf-8")
    assert after.startswith(before + "\n")
    assert sorted(usable(after).variants) == sorted((name, "flexion") for name in names)


def test_keep_variant_refuses_words_that_the_record_has_not(tmp_path: Path) -> None:
    for first, last in ((0, 2), (1, 0), (-1, 0)):
        with pytest.raises(InputError, match="not in this record"):
            keep_variant(words_of("fleecy ox"), "tone", first_word=first, last_word=last)
