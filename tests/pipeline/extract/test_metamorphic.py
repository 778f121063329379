"""Changes to a narration that must change its record in a known way, or not at all.

Most run over the narrations of ``tests/narrations``, whatever their records are: no annotation
is needed to see that two ways of saying a thing agree.
"""

from __future__ import annotations

import itertools
import random
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from plessor.pipeline.extract import extract
from plessor.pipeline.transcript import Transcript, from_heard, from_text

Said = tuple[set[tuple[str, ...]], set[tuple[str, ...]]]
Change = Callable[[str], str]

FOLDER = Path(__file__).resolve().parents[2] / "narrations"
OPPOSITE = {"left": "right", "right": "left"}
#: Limbs called by their letters: right and left, upper and lower extremity.
LETTERS = {"rue": "lue", "lue": "rue", "rle": "lle", "lle": "rle", "lhs": "rhs", "rhs": "lhs"}


@pytest.fixture(scope="module")
def texts(narrations_of: Callable) -> dict[str, str]:
    return {n.name: n.text for n in narrations_of(FOLDER)}


@pytest.fixture(scope="module")
def records(texts: dict[str, str]) -> dict[str, Said]:
    return {name: record(text) for name, text in texts.items()}


def said(transcript: Transcript) -> Said:
    """The findings and the claims of a transcript."""
    read = extract(transcript)
    findings = {
        (f.modality, f.segment, f.side, str(f.grade), f.status, f.certainty) for f in read.findings
    }
    return findings, {(c.kind, c.subject, c.value) for c in read.claims}


def record(text: str) -> Said:
    return said(from_text(text))


def sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.?!]) ", text)


def differences(changed: dict[str, Said], wanted: dict[str, Said]) -> list[str]:
    """What differs, narration by narration."""
    return [
        f"{name}: lost {sorted(f - g | c - d)}, gained {sorted(g - f | d - c)}"
        for name in changed
        for (f, c), (g, d) in [(wanted[name], changed[name])]
        if (f, c) != (g, d)
    ]


def test_swapping_left_and_right_swaps_the_record(
    texts: dict[str, str], records: dict[str, Said]
) -> None:
    swaps = OPPOSITE | LETTERS

    def swap(found: re.Match[str]) -> str:
        other = swaps[found[0].lower()]
        return (
            other.upper()
            if found[0].isupper()
            else other.capitalize()
            if found[0][0].isupper()
            else other
        )

    pattern = re.compile(rf"\b({'|'.join(swaps)})\b", re.IGNORECASE)
    letter = re.compile(r"\b[LR]\b(?!['’]| ?(?:\d|one|two|three|four|five)\b)")

    def swapped(text: str) -> str:
        return letter.sub(lambda m: "RL"["LR".index(m[0])], pattern.sub(swap, text))

    changed = {n: record(swapped(t)) for n, t in texts.items() if swapped(t) != t}
    assert len(changed) > 40
    wanted = {
        n: ({(a, b, OPPOSITE.get(c, c), *d) for a, b, c, *d in f}, c)
        for n, (f, c) in records.items()
    }
    assert not differences(changed, wanted)


# Said to the child, the parents or the room; none of it is an observation.
ASIDES = (
    "Nearly there.",
    "Good girl.",
    "Well done, that's lovely.",
    "Are you warm enough?",
    "Keep still for me.",
    "Push against my hand.",
    "Squeeze my fingers with your right hand.",
    "Can you lift your left arm for me?",
    "Let's see you walk on your toes.",
    "Pull your foot up towards your nose.",
    "Does that tickle?",
    "Mum, could you hold the teddy, please?",
    "Close your eyes for me, sweetheart.",
    "And relax.",
    "It's very windy outside.",
)


@pytest.mark.parametrize("aside", ASIDES)
def test_talk_between_sentences_changes_nothing(
    texts: dict[str, str], records: dict[str, Said], aside: str
) -> None:
    # Not after a question: what follows there may be its answer.
    changed = {}
    for name, text in texts.items():
        parts = sentences(text)
        pairs = ([p, aside] if p.endswith(".") else [p] for p in parts)
        if len(parts) > 1:
            changed[name] = record(" ".join(itertools.chain(*pairs)))
    assert len(changed) > 60
    assert not differences(changed, records)


def test_one_line_a_sentence_changes_nothing(
    texts: dict[str, str], records: dict[str, Said]
) -> None:
    changed = {n: record("\n".join(sentences(t))) for n, t in texts.items()}
    assert not differences(changed, records)


def test_pauses_between_sentences_change_nothing(
    texts: dict[str, str], records: dict[str, Said]
) -> None:
    changed = {}
    for name, text in texts.items():
        words, now_s = [], 0.0
        for sentence in sentences(text):
            for word in sentence.split():
                words.append((word, now_s, now_s + 0.3, 0.9))
                now_s += 0.35
            now_s += 2.5
        changed[name] = said(from_heard(words))
    assert not differences(changed, records)


@pytest.mark.parametrize("change", [str.lower, str.upper], ids=["lower", "upper"])
def test_capitals_change_nothing(
    texts: dict[str, str], records: dict[str, Said], change: Change
) -> None:
    assert not differences({n: record(change(t)) for n, t in texts.items()}, records)


# One wording and another for the same thing, British and American among them: O'Brien 2010,
# Aids to the Examination of the Peripheral Nervous System, and common bedside usage.
SYNONYMS = [
    ("wasting", "atrophy"),
    ("ankle jerk", "Achilles reflex"),
    ("knee jerk", "patellar reflex"),
    ("supinator jerk", "brachioradialis reflex"),
    ("biceps jerk", "biceps reflex"),
    ("power", "strength"),
    ("great toe extension", "big toe extension"),
    ("plantarflexion", "plantar flexion"),
    ("graphaesthesia", "graphesthesia"),
    ("joint position sense", "proprioception"),
    ("upper limb", "upper extremity"),
    ("light touch", "soft touch"),
]


@pytest.mark.parametrize(("one", "other"), SYNONYMS)
def test_another_word_for_the_same_gives_the_same(
    texts: dict[str, str], records: dict[str, Said], one: str, other: str
) -> None:
    def plural(word: str) -> str:
        ending = "ies" if word.endswith("y") else "es" if word.endswith("x") else "s"
        return (word[:-1] if word.endswith("y") else word) + ending

    forms = {one: other, plural(one): plural(other)}
    pattern = re.compile(rf"\b({'|'.join(map(re.escape, forms))})\b", re.IGNORECASE)
    texts = {n: t for n, t in texts.items() if pattern.search(t)}
    assert texts, f"no narration says “{one}”"
    changed = {n: record(pattern.sub(lambda m: forms[m[0].lower()], t)) for n, t in texts.items()}
    assert not differences(changed, records)


_UP_TO_TWELVE = "zero one two three four five six seven eight nine ten eleven twelve"
NUMBERS = {word: str(n) for n, word in enumerate(_UP_TO_TWELVE.split())}
WORDS = {digit: word for word, digit in NUMBERS.items()}
SIGNS = {" plus": "+", " minus": "-", None: ""}


def in_digits(text: str) -> str:
    """ "C five to T one, four plus out of five" as "C5-T1, 4+/5"."""
    number = "|".join(NUMBERS)
    text = re.sub(rf"\b([CTLS]) ({number})\b", lambda m: m[1] + NUMBERS[m[2].lower()], text)
    text = re.sub(
        rf"\b({number})( plus| minus)? out of five\b",
        lambda m: f"{NUMBERS[m[1].lower()]}{SIGNS[m[2]]}/5",
        text,
        flags=re.IGNORECASE,
    )
    text = re.sub(
        rf"\b({number})( plus| minus)\b",
        lambda m: NUMBERS[m[1].lower()] + SIGNS[m[2]],
        text,
        flags=re.IGNORECASE,
    )
    text = re.sub(rf"\b({number})\b(?!-)", lambda m: NUMBERS[m[1].lower()], text, flags=re.I)
    return re.sub(r"\b([CTLS]\d+) to ([CTLS]\d+)\b", r"\1-\2", text)


def in_words(text: str) -> str:
    """ "C5-T1, 4+/5" as "C five to T one, four plus out of five"."""
    text = re.sub(r"\b([CTLS]\d{1,2})-([CTLS]\d{1,2})\b", r"\1 to \2", text)
    text = re.sub(r"\b([CTLS])(\d{1,2})\b", lambda m: f"{m[1]} {WORDS[m[2]]}", text)
    spoken = {"+": " plus", "-": " minus", "": ""}
    text = re.sub(r"\b([0-5])([+-]?)/5", lambda m: f"{WORDS[m[1]]}{spoken[m[2]]} out of five", text)
    return re.sub(r"\b([0-5])\+", lambda m: f"{WORDS[m[1]]} plus", text)


@pytest.mark.parametrize(("change", "least"), [(in_digits, 50), (in_words, 4)])
def test_digits_and_words_give_the_same(
    texts: dict[str, str], records: dict[str, Said], change: Change, least: int
) -> None:
    changed = {n: record(c) for n, t in texts.items() if (c := change(t)) != t}
    assert len(changed) >= least
    assert not differences(changed, records)


# Sections that open with their own place, side or examination, so none leans on another.
SECTIONS = (
    "Gait is waddling. Gowers sign is positive. Heel walking is normal.",
    "Right arm. Tone normal. Elbow flexion four, elbow extension five. Biceps jerk two plus.",
    "Left arm. Tone increased. Elbow flexion three. Triceps jerk three plus.",
    "Legs: no wasting. Power five throughout except four in left hip flexion.",
    "Knee jerks two plus on both sides, ankle jerks absent on both sides. Plantars downgoing.",
    "Pinprick is reduced at L five on the left. Vibration was not tested in either foot.",
    "Tongue shows fasciculation. Jaw jerk is brisk. Neck flexion is three.",
    "Finger nose is impaired on the right, normal on the left.",
)


def test_the_order_of_independent_sections_changes_nothing() -> None:
    apart: Said = (set(), set())
    for section in SECTIONS:
        for total, part in zip(apart, record(section), strict=True):
            total |= part
    assert len(apart[0]) == 29
    chance = random.Random(11)
    for _ in range(60):
        order = chance.sample(SECTIONS, len(SECTIONS))
        for between in (" ", "\n"):
            assert record(between.join(order)) == apart, order


@pytest.mark.parametrize(
    "ways",
    [
        ("Legs: tone normal.", "Legs. Tone normal.", "Legs.\nTone normal.", "Legs\ntone normal"),
        ("On the left: grip four.", "On the left. Grip four.", "On the left\ngrip four"),
        ("Right leg now. Tone increased.", "Right leg now.\nTone increased."),
        ("Reflexes: knee jerks brisk.", "Reflexes. Knee jerks brisk.",
         "Reflexes\nknee jerks brisk"),
        ("Power in the legs. Hip flexion five both.", "Power in the legs: hip flexion five both."),
    ],
)  # fmt: skip
def test_a_heading_may_stand_apart(ways: tuple[str, ...]) -> None:
    first, *others = (record(way) for way in ways)
    assert first[0]
    assert all(other == first for other in others)


@pytest.mark.parametrize(
    "ways",
    [
        ("Left hip flexion four plus out of five.", "Left hip flexion 4+/5.",
         "Left hip flexion four plus over five."),
        ("Pinprick normal C five to T one on the left.", "Pinprick normal C5-T1 on the left.",
         "Pinprick normal C5 to T1 on the left.", "Pinprick normal C-5 to T-1 on the left."),
        ("Knee jerks two plus.", "Knee jerks 2+.", "Knee reflexes 2+."),
        ("Power is five out of five in the right arm.", "Strength is 5/5 in the RUE.",
         "Power is five out of five in the right upper limb."),
        ("Romberg's sign is negative.", "Romberg negative.", "Rombergs negative."),
        ("Hoffmann's sign is positive on the left.", "Hoffmann positive on the left."),
        ("Dorsiflexion of the left ankle is four.", "Left ankle dorsiflexion is four.",
         "Left foot dorsiflexion is four."),
        ("Tone is increased bilaterally in the legs.", "Tone is increased in both legs."),
    ],
)  # fmt: skip
def test_ways_of_saying_it_agree(ways: tuple[str, ...]) -> None:
    first, *others = (record(way) for way in ways)
    assert first[0]
    assert all(other == first for other in others)
