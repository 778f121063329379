"""A reviewer's words as variants of the personal lexicon. The misheard words are invented."""

from __future__ import annotations

from pathlib import Path

import pytest
from plessor.pipeline.correct import CorrectOptions, correct, read_personal
from plessor.pipeline.record import Record
from plessor.pipeline.review import EditError, apply, teach
from plessor.pipeline.transcript import from_text


@pytest.fixture
def misheard() -> Record:
    transcript = from_text("The left fleecy ox is brisk.")
    return Record(heard=transcript.heard, corrected=transcript.corrected, words=transcript.words)


def test_changed_words_are_kept_and_mend_the_next_narration(misheard, edit, tmp_path: Path) -> None:
    path = tmp_path / "lexicon.txt"
    change = edit("change_words", first_word=2, last_word=3, text="biceps jerk")
    kept = teach(misheard, change, path=path)
    assert (kept.kept, kept.heard, kept.means) == (True, "fleecy ox", "biceps jerk")
    options = CorrectOptions(variants=read_personal(path).variants)
    mended = correct(from_text("Right fleecy ox absent."), options=options).transcript
    assert mended.corrected == "Right biceps jerk absent."


def test_a_suggestion_that_is_made_is_kept_too(misheard, edit, when, tmp_path: Path) -> None:
    changed = apply(
        misheard,
        edit("change_words", first_word=2, last_word=3, text="biceps jerk"),
        who="A. Reader",
        when=when,
    )
    suggestion = changed.corrections[0].model_copy(update={"made": False, "decided": None})
    record = misheard.model_copy(update={"corrections": (suggestion,)})
    accept = edit("decide_correction", correction=0, accept=True)
    kept = teach(record, accept, path=tmp_path / "lexicon.txt")
    assert (kept.kept, kept.heard, kept.means) == (True, "fleecy ox", "biceps jerk")
    with pytest.raises(EditError, match="nothing to keep"):
        teach(record, edit("decide_correction", correction=0, accept=False), path=tmp_path / "x")


def test_what_people_say_anyway_is_not_kept(misheard, edit, tmp_path: Path) -> None:
    change = edit("change_words", first_word=0, last_word=0, text="biceps")
    kept = teach(misheard, change, path=tmp_path / "lexicon.txt")
    assert not kept.kept and kept.why
    assert not (tmp_path / "lexicon.txt").exists()
