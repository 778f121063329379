"""Personal variants where they are heard."""

from __future__ import annotations

import string

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from plessor.lexicon import load
from plessor.pipeline.correct import CorrectOptions, correct
from plessor.pipeline.correct.correction import installed
from plessor.pipeline.correct.personal import fault_of, parse_personal
from plessor.pipeline.correct.units import tokens_of
from plessor.pipeline.correct.variants import differing, is_term
from plessor.pipeline.correct.words import denies, guarded
from plessor.pipeline.transcript import Transcript, from_heard, from_text

FORMS = sorted({spoken for term in load().terms for spoken in term.spoken})
#: Sentences of nobody's examination, and some of an invented one.
TEXTS = (
    "She would never take the risk of going alone.",
    "Tony has bought a new kettle and two planters for the balcony.",
    "Left elbow flicks and five, risk extension four minors. Tony's normal in the arms.",
    "Pinprick is reduced at sea seven, the gate is waddling and the planters are down going.",
    "Finger nose is clumsy and there is dysparecogenesia on the right.",
)
PSEUDOWORDS = st.text(string.ascii_lowercase, min_size=2, max_size=9)


def heard(text: str, probability: float = 0.7) -> Transcript:
    return from_heard([(w, float(i), i + 0.5, probability) for i, w in enumerate(text.split())])


@st.composite
def entries(draw: st.DrawFn) -> tuple[str, str]:
    """A form of the lexicon and something that it may be misheard as.

    Its numbers, sides, levels and denials stay; every other word is heard as any letters.
    """
    means = draw(st.sampled_from(FORMS))
    tokens = [t if guarded(t) or denies(t) else draw(PSEUDOWORDS) for t in tokens_of(means)]
    extra = draw(st.lists(PSEUDOWORDS, max_size=2))
    words = " ".join([*tokens, *extra])
    assume(words != means.lower() and fault_of(words, means) is None)
    known = installed((), ())
    first, last, _ = differing(tokens_of(words), tokens_of(means))
    assume(not is_term(tokens_of(words), known))
    assume(not is_term(tokens_of(words)[first:last], known))
    return words, means


@settings(max_examples=150, deadline=None)
@given(entries(), st.floats(0.02, 1), st.booleans())
def test_any_variant_of_any_term_becomes_it_when_it_is_heard(entry, probability, typed) -> None:
    words, means = entry
    own = parse_personal(f"{words} = {means}")
    before = from_text(words) if typed else heard(words, probability)
    done = correct(before, options=CorrectOptions(variants=own.variants))
    assert tokens_of(done.transcript.corrected) == tokens_of(means)
    assert done.transcript.heard == words
    (change,) = [c for c in done.corrections if c.made]
    assert change.reason.startswith("in the personal lexicon; ")
    assert change.score == 1


@settings(max_examples=60, deadline=None)
@given(entries(), st.sampled_from(TEXTS), st.floats(0.2, 0.99), st.booleans())
def test_text_without_the_variant_is_untouched_by_adding_it(
    entry, text, probability, typed
) -> None:
    assume(f" {entry[0]} " not in f" {' '.join(tokens_of(text))} ")
    before = from_text(text) if typed else heard(text, probability)
    with_it = correct(before, options=CorrectOptions(variants=(entry,)))
    assert with_it == correct(before)


@pytest.mark.parametrize("probability", [0.1, 0.6, 1.0, None])
def test_a_variant_wins_over_nearer_sounds(probability: float | None) -> None:
    """“tony's” sounds like “tone is”, “risk” like “wrist”; their owner says otherwise."""
    variants = (("tony's normal", "clonus normal"), ("risk extension", "hip extension"))
    text = "Tony's normal. Risk extension 4."
    before = from_text(text) if probability is None else heard(text, probability)
    done = correct(before, options=CorrectOptions(variants=variants))
    assert done.transcript.corrected == "Clonus normal. Hip extension 4."


def test_the_longer_variant_wins() -> None:
    variants = (("fleecy ox", "biceps jerk"), ("the fleecy ox", "the triceps jerk"))
    text = heard("Left fleecy ox brisk, and the fleecy ox is brisk.")
    corrected = correct(text, options=CorrectOptions(variants=variants)).transcript.corrected
    assert corrected == "Left biceps jerk brisk, and the triceps jerk is brisk."


def test_what_the_variant_shares_with_its_term_stays_as_it_was_written() -> None:
    options = CorrectOptions(variants=(("C five rute", "C five root"),))
    assert correct(from_text("The C5 rute, left."), options=options).transcript.corrected == (
        "The C5 root, left."
    )


def test_a_sentence_mark_parts_a_variant_and_a_comma_parts_it_in_text_alone() -> None:
    options = CorrectOptions(variants=(("fleecy ox", "biceps jerk"),))

    def after(transcript: Transcript) -> str:
        return correct(transcript, options=options).transcript.corrected

    assert after(from_text("A fleecy-ox.")) == "A biceps jerk."
    assert after(heard("a fleecy, ox.")) == "a biceps jerk."
    assert after(from_text("a fleecy, ox.")) == "a fleecy, ox."
    assert after(heard("a fleecy. Ox.", 0.99)) == "a fleecy. Ox."


@pytest.mark.parametrize("typed", [False, True])
@pytest.mark.parametrize(
    ("variants", "became", "why"),
    [
        ((("wrist", "knee"),), "knee", "a term of the lexicon too"),
        ((("biceps jerk", "triceps jerk"),), "triceps", "a term of the lexicon too"),
        ((("zupp", "tone"), ("zupp", "power")), "tone", "“tone” or “power”"),
    ],
)
def test_what_nobody_can_tell_is_marked_and_not_changed(variants, became, why, typed) -> None:
    text = f"The {variants[0][0]} is normal."
    before = from_text(text) if typed else heard(text, 0.95)
    done = correct(before, options=CorrectOptions(variants=variants))
    assert done.transcript.corrected == text
    (marked,) = done.corrections
    assert not marked.made
    assert marked.reason.startswith("in the personal lexicon; ") and why in marked.reason
    assert marked.became == became


def test_differing_leaves_a_word_on_either_side() -> None:
    assert differing(("a", "b"), ("a", "b", "c")) == (1, 2, ("b", "c"))
    assert differing(("a", "b", "c"), ("a", "c")) == (1, 3, ("c",))
    assert differing(("x",), ("y", "z")) == (0, 1, ("y", "z"))
