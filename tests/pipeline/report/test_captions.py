"""The corrected transcript as WebVTT, parsed back by a library (webvtt-py) and by the standard.

The standard is WebVTT of the W3C (https://www.w3.org/TR/webvtt1/, section 4): its grammar is
written here as expressions of our own.
"""

import io
import re
from html import unescape

import pytest
import webvtt
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon import InputError
from plessor.lexicon.rules import load_rules
from plessor.pipeline.record import Record, Word
from plessor.pipeline.report import report_captions
from plessor.pipeline.report.captions import LINE, LONGEST_S, PAUSE_S
from plessor.pipeline.report.layout import plain

TIME = r"(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}"
TIMING = re.compile(rf"({TIME}) --> ({TIME})")
#: Cue text: no line end, no "-->", and "&" and "<" only where they begin something known.
TEXT = re.compile(r"(?:[^&<\n]|&(?:amp|lt|gt);)+")


def spoken(text: str, *, each_s: float = 0.4, start_s: float = 0.0) -> tuple[Word, ...]:
    return tuple(
        Word(text=w, start_s=start_s + i * each_s, end_s=start_s + i * each_s + each_s * 0.9)
        for i, w in enumerate(text.split())
    )


def blocks(captions: str) -> list[list[str]]:
    """The cue blocks after the head and the comments, checked against the grammar."""
    assert captions.startswith("WEBVTT\n\n")
    assert "\r" not in captions and "\0" not in captions
    found = []
    for block in captions.removesuffix("\n").split("\n\n")[1:]:
        lines = block.split("\n")
        if lines[0].startswith("NOTE"):
            assert re.fullmatch(r"NOTE( .*)?", lines[0])
            assert "-->" not in block
        else:
            assert TIMING.fullmatch(lines[0])
            assert all(TEXT.fullmatch(line) and "-->" not in line for line in lines[1:])
            found.append(lines)
    return found


def parsed(captions: str) -> list[webvtt.Caption]:
    return list(webvtt.from_buffer(io.StringIO(captions)))


def milliseconds(time: str) -> int:
    hours, minutes, seconds = time.split(":")
    return (int(hours) * 60 + int(minutes)) * 60_000 + round(float(seconds) * 1000)


def test_the_words_come_back_in_lines_of_the_usual_size() -> None:
    text = (
        "Tone is normal in both arms. On the left wrist extension is four, wrist flexion is five, "
        "finger extension is four minus, and finger abduction is five on both sides of the body."
    )
    cues = parsed(report_captions(Record(words=spoken(text))))
    assert " ".join(cue.text.replace("\n", " ") for cue in cues) == text
    assert cues[0].text == "Tone is normal in both arms."
    assert all(1 <= len(cue.lines) <= 2 for cue in cues)
    assert all(len(line) <= LINE for cue in cues for line in cue.lines)
    assert any(cue.text.endswith(",") for cue in cues)  # a long sentence is cut after a comma


def test_times_are_those_of_the_words_and_a_pause_ends_a_cue() -> None:
    words = (*spoken("knee jerks"), *spoken("brisk", start_s=1 + PAUSE_S))
    first, second = parsed(report_captions(Record(words=words)))
    assert (first.start, first.text) == ("00:00:00.000", "knee jerks")
    assert (second.start, second.text) == ("00:00:02.000", "brisk")
    assert milliseconds(first.end) == 1000  # a second, since nothing follows at once


def test_an_hour_and_more_is_told_and_long_speech_is_cut() -> None:
    words = spoken("slow " * 20, each_s=2.0, start_s=2 * 3600)
    cues = parsed(report_captions(Record(words=words)))
    assert cues[0].start == "02:00:00.000"
    for cue in cues:
        assert milliseconds(cue.end) - milliseconds(cue.start) <= LONGEST_S * 1000


def test_state_and_caution_stand_in_comments_that_no_words_can_end() -> None:
    record = Record(narration="a --> b\n\n00:00.000 --> 00:01.000\nsaid", words=spoken("brisk"))
    captions = report_captions(record)
    notes = [b for b in captions.split("\n\n") if b.startswith("NOTE")]
    assert any("Unsigned" in note for note in notes)
    assert f"NOTE {load_rules().standing}" in notes
    assert [cue.text for cue in parsed(captions)] == ["brisk"]


@pytest.mark.parametrize(
    "text", ["<b>x</b>", "a & b", "a --> b", "&lt;", "<00:00:01.000>", "WEBVTT", "NOTE x", "STYLE"]
)
def test_words_are_never_markup(text: str) -> None:
    ((_, *lines),) = blocks(report_captions(Record(words=spoken(text))))
    assert unescape(" ".join(lines)) == text


def test_words_without_times_are_refused_in_one_sentence() -> None:
    with pytest.raises(InputError, match="have no times"):
        report_captions(Record(words=(Word(text="brisk"),)))


def test_a_silent_recording_has_no_cues() -> None:
    assert parsed(report_captions(Record())) == []


_AWKWARD = st.sampled_from(
    [
        "-->",
        "<v x>",
        "&amp;",
        "\x00",
        "a\n\nb",
        "مرحبا",
        "😀👩‍👩‍👧",
        "=1+1",
        "x" * 100,
        "\u2028",
        "",
    ]
) | st.text(max_size=20)
_TIMES = st.none() | st.floats(0, 400_000)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(st.builds(Word, text=_AWKWARD, start_s=_TIMES, end_s=_TIMES), max_size=40),
    _AWKWARD,
)
def test_any_words_give_captions_by_the_grammar_and_none_is_lost(words, narration) -> None:
    timed = (Word(text="x.", start_s=0.0), *words)
    captions = report_captions(Record(narration=narration, words=timed))
    found = blocks(captions)
    shown = "".join(unescape(line) for _, *lines in found for line in lines)
    assert shown.replace(" ", "") == "".join(plain(w.text) for w in timed).replace(" ", "")
    before = 0
    for timing, *lines in found:
        start, end = map(milliseconds, TIMING.fullmatch(timing).groups())
        assert before <= start < end
        before = start
        assert 1 <= len(lines) <= 2 and all(len(unescape(line)) <= LINE for line in lines)
    assert [c.text for c in parsed(captions)] == ["\n".join(lines) for _, *lines in found]
