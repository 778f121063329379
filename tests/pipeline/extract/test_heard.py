"""Marks of recognised speech: hints that can be wrong, where those of a text are the writer's.

The sentences were written for these tests and carry the marks that recognisers set. What should
be found in them is common practice of speech; the narrations of ``tests/narrations`` say
themselves what should be found in them.
"""

from __future__ import annotations

import math
import random
import re
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plessor.lexicon import atoms
from plessor.lexicon.files import read_rows
from plessor.pipeline.extract import extract
from plessor.pipeline.extract.gaps import MARKS
from plessor.pipeline.extract.heard import FEATURES, parted, sureness
from plessor.pipeline.extract.language import found_in
from plessor.pipeline.transcript import Transcript, from_heard, from_text

Rows = Callable[[str], set[str]]
LISTED = ["ankle,", "knee", "and", "hip", "power", "five,", "four", "plus"]
ODD = [
    *("left", "right", "ankle,", "knee", "jerk", "two.", "plus,", "minus", "tone", "four"),
    *("five,", "is.", "and", "Dr.", ",", ".", "no,"),
]
FOLDER = Path(__file__).resolve().parents[2] / "narrations"


def spoken(text: str, probability: float = 0.9) -> Transcript:
    """A text as if a recogniser had heard it, at half a second a word."""
    words = enumerate(text.split())
    return from_heard([(w, i / 2, i / 2 + 0.4, probability) for i, w in words])


def rows_of(transcript: Transcript) -> set[tuple]:
    """Findings in their five codes."""
    return {
        (f.modality, f.segment, f.side, f.grade, f.status) for f in extract(transcript).findings
    }


@pytest.mark.parametrize(
    ("heard", "wanted"),
    [
        ("Elbow, flexion four on the left, knee extension four, minus on the right.",
         [("power", "elbow_flexion", "left", "4"), ("power", "knee_extension", "right", "4-")]),
        ("Abductor. pollicis brevis three on the right.",
         [("power", "thumb_abduction", "right", "3")]),
        ("The left biceps, jerk is two, plus. The right ankle jerk is one plus.",
         [("reflex", "biceps_jerk", "left", "normal"),
          ("reflex", "ankle_jerk", "right", "reduced")]),
    ],
)  # fmt: skip
def test_marks_in_the_midst_of_what_is_named_go(heard: str, wanted: Sequence[tuple]) -> None:
    assert rows_of(spoken(heard)) == {(*row, "observed") for row in wanted}


def test_a_list_keeps_its_commas() -> None:
    texts = [a.text for a in atoms(LISTED)]
    kept = [i for i, text in enumerate(texts) if text not in MARKS]
    own, _ = found_in(texts)
    joined, _ = found_in([texts[i] for i in kept])
    assert parted(texts, (), kept, joined, own) == set()


def test_a_pause_inside_a_term_keeps_its_mark() -> None:
    texts = [a.text for a in atoms(["elbow,", "flexion", "four"])]
    joined, _ = found_in(["elbow", "flexion", "four"])
    own, _ = found_in(texts)
    assert parted(texts, (), [0, 2, 3], joined, own) == {1}
    assert parted(texts, (2,), [0, 2, 3], joined, own) == set()


@pytest.mark.parametrize(
    ("lose", "floor"),
    [
        (lambda t, rnd: t, 0.995),
        (lambda t, rnd: re.sub(r"[.:;](?=\s)", lambda _: rnd.choice(",."), t), 0.98),
        (lambda t, rnd: re.sub(r"[.:;](?=\s)", ",", t), 0.99),
        (lambda t, rnd: re.sub(r"[.,:;?!](?=\s|$)", "", t), 0.98),
        (lambda t, rnd: re.sub(r"(?<=\w) (?=\w)", lambda _: rnd.choice([" "] * 19 + [", "]), t),
         0.95),
    ],
    ids=["none", "half", "stops", "all", "stray"],
)  # fmt: skip
def test_findings_survive_what_recognisers_do_to_marks(
    narrations_of: Callable, lose: Callable, floor: float
) -> None:
    """F1 against the record of the same narration as it is written."""
    rnd, same, all_of = random.Random(7), 0, 0
    for narration in narrations_of(FOLDER):
        text = " ".join(narration.text.split())
        whole, heard = rows_of(from_text(text)), rows_of(spoken(lose(text, rnd)))
        same += 2 * len(whole & heard)
        all_of += len(whole) + len(heard)
    assert same / all_of >= floor


def test_the_marks_of_a_text_are_its_own() -> None:
    """Only where a recogniser wrote it is a mark within a grade none."""
    said = "Knee extension on the right is four, minus a little for the pain."
    assert ("power", "knee_extension", "right", "4", "observed") in rows_of(from_text(said))


def test_each_written_mark_has_its_weights() -> None:
    rows = [(row["written"], row["feature"]) for _, row in read_rows("marks/heard.csv")]
    assert sorted(rows) == sorted((m, f) for m in ("comma", "stop") for f in FEATURES)


def test_sureness_is_bounded() -> None:
    assert sureness(None) == sureness(1.0) == 0.0
    assert sureness(0.0) == sureness(0.001) == pytest.approx(math.log(0.02))


@given(
    st.lists(
        st.tuples(
            st.sampled_from(ODD),
            st.floats(0, 1),
        ),
        max_size=40,
    )
)
def test_no_marks_are_too_odd(words: list[tuple[str, float]]) -> None:
    transcript = from_heard([(w, i / 2, i / 2 + 0.4, p) for i, (w, p) in enumerate(words)])
    found = extract(transcript).findings
    assert all(f.evidence.last_word < len(words) for f in found)
