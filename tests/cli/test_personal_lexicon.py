"""``plessor lexicon add``, ``list`` and ``remove``, and the personal lexicon at work.

The misheard words are invented here; none is taken from a recording.
"""

from __future__ import annotations

import json

import pytest
from plessor.lexicon import load
from plessor.pipeline.correct import read_personal
from plessor.pipeline.correct.personal import FILE


def test_add_keeps_a_variant_that_list_shows_with_its_place(plessor, personal) -> None:
    ran = plessor("lexicon", "add", "fleecy ox", "--means", "Biceps Jerk")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out == f"“fleecy ox” now stands for “biceps jerk” in {personal}.\n"
    assert ("fleecy ox", "biceps jerk") in read_personal(personal).variants
    listed = plessor("lexicon", "list")
    assert listed.out.splitlines()[:2] == [
        f"Personal lexicon: {personal}",
        "  fleecy ox = biceps jerk",
    ]
    as_json = json.loads(plessor("lexicon", "list", "--format", "json").out)
    assert as_json["file"] == str(personal)
    assert as_json["variants"] == [{"heard": "fleecy ox", "means": "biceps jerk"}]


def test_list_says_where_the_file_would_be(plessor, personal) -> None:
    ran = plessor("lexicon", "list")
    assert ran.code == 0
    assert str(personal) in ran.out
    assert "not there yet" in ran.out


def test_adding_twice_changes_nothing(plessor, personal) -> None:
    plessor("lexicon", "add", "gastrox", "--means", "gastrocnemius")
    before = personal.read_bytes()
    assert plessor("lexicon", "add", "gastrox", "--means", "gastrocnemius").code == 0
    assert personal.read_bytes() == before


@pytest.mark.parametrize(
    ("heard", "means", "sentence"),
    [
        ("gastrox", "gastrocnemeus", "the nearest term is “gastrocnemius”"),
        ("gastrox", "qqqq", "“qqqq” is not a term of the lexicon."),
        ("gate", "gait", "“gate” is an ordinary English word"),
        ("of the", "tone", "very common English words"),
        ("wrist", "knee", "it is a term of the lexicon itself"),
        ("flex four", "flexion", "may not change a number, a side or a level"),
        ("left flex", "flexion", "may not change a number, a side or a level"),
        ("C5", "flexion", "may not change a number, a side or a level"),
        ("abductor polly sis", "adductor", "into its opposite"),
        ("one two three or four bees", "flexion", "longer than 5 words"),
        ("fleeks # in", "flexion", "line break"),
        ("", "flexion", "needs words"),
    ],
)
def test_add_refuses_in_one_sentence_and_writes_nothing(
    plessor, personal, heard, means, sentence
) -> None:
    ran = plessor("lexicon", "add", heard, "--means", means)
    assert (ran.code, ran.out) == (1, "")
    assert sentence in ran.sentence
    assert not personal.exists()


def test_add_keeps_an_ordinary_word_when_it_is_insisted_on_and_says_what_that_means(
    plessor, personal
) -> None:
    refused = plessor("lexicon", "add", "so", "--means", "tone")
    assert refused.code == 1 and not personal.exists()
    assert refused.sentence == (
        "plessor: “so” is an ordinary English word and would be changed wherever it is said; "
        "add it together with the words around it, or insist with --force."
    )
    ran = plessor("lexicon", "add", "so", "--means", "tone", "--force")
    assert ran.code == 0
    assert ran.sentence == (
        "“so” is an ordinary English word; from now on it is changed wherever it is said."
    )
    record = json.loads(plessor("read", "-f", "json", stdin=b"So is normal.").out)
    assert (record["heard"], record["corrected"]) == ("So is normal.", "Tone is normal.")


@pytest.mark.parametrize(("heard", "means"), [("wrist", "knee"), ("left flex", "flexion")])
def test_force_does_not_lift_the_other_rules(plessor, personal, heard, means) -> None:
    assert plessor("lexicon", "add", heard, "--means", means, "--force").code == 1
    assert not personal.exists()


def test_add_takes_an_ordinary_word_with_the_words_around_it(plessor, personal) -> None:
    ran = plessor("lexicon", "add", "waddling gate", "--means", "Waddling gait")
    assert (ran.code, ran.err) == (0, "")
    assert personal.read_text("utf-8").splitlines()[-1] == "waddling gate = waddling gait"
    for text, after in (
        (b"A waddling gate.", "A waddling gait."),
        (b"The gate is shut.", "The gate is shut."),
    ):
        record = json.loads(plessor("read", "-f", "json", stdin=text).out)
        assert record["corrected"] == after


def test_read_uses_a_variant_of_several_words(plessor) -> None:
    text = b"Left fleecy ox is brisk."
    before = json.loads(plessor("read", "-f", "json", stdin=text).out)
    assert before["corrected"] == text.decode() and not before["findings"]
    plessor("lexicon", "add", "fleecy ox", "--means", "biceps jerk")
    record = json.loads(plessor("read", "-f", "json", stdin=text).out)
    assert record["corrected"] == "Left biceps jerk is brisk."
    (finding,) = record["findings"]
    # Codes of vocabulary.json.
    assert (finding["segment"], finding["side"], finding["grade"]) == (
        *("biceps_jerk", "left", "increased"),
    )


def test_add_refuses_a_second_meaning(plessor) -> None:
    plessor("lexicon", "add", "fleecy ox", "--means", "biceps jerk")
    ran = plessor("lexicon", "add", "Fleecy ox", "--means", "knee jerk")
    assert ran.code == 1
    assert "stands for “biceps jerk” already" in ran.sentence


def test_remove_takes_out_that_entry_and_leaves_the_rest_as_it_was(plessor, personal) -> None:
    personal.parent.mkdir(parents=True)
    personal.write_text("# mine\ncutty wool = cotton wool  # often\nbobbing sign\n", "utf-8")
    before = personal.read_text("utf-8")
    plessor("lexicon", "add", "fleecy ox", "--means", "biceps jerk")
    ran = plessor("lexicon", "remove", "FLEECY ox")
    assert (ran.code, ran.err) == (0, "")
    assert personal.read_text("utf-8") == before
    assert plessor("lexicon", "remove", "bobbing sign").code == 0
    assert personal.read_text("utf-8") == before.replace("bobbing sign\n", "")


def test_remove_names_the_nearest_entry(plessor, personal) -> None:
    plessor("lexicon", "add", "gastrox", "--means", "gastrocnemius")
    before = personal.read_bytes()
    ran = plessor("lexicon", "remove", "gastroks")
    assert ran.code == 1
    assert "the nearest entry is “gastrox”" in ran.sentence
    assert personal.read_bytes() == before


def test_hear_uses_the_personal_lexicon_and_the_record_says_so(
    plessor, write_sound, recogniser, said
) -> None:
    recogniser.script = [
        said("Power in the left arm. Left elbow flexor now fleecy ox is brisk.")
    ] * 2
    sound = write_sound("visit.wav", seconds=6)
    without = json.loads(plessor("hear", sound, "-q", "-f", "json").out)
    assert "fleecy ox" in without["corrected"]
    assert without["lexicon_version"] == load().version

    plessor("lexicon", "add", "fleecy ox", "--means", "biceps jerk")
    record = json.loads(plessor("hear", sound, "-q", "-f", "json").out)
    assert "biceps jerk" in record["corrected"]
    assert "fleecy ox" in record["heard"]
    (change,) = [c for c in record["corrections"] if "fleecy ox" in c["heard"]]
    assert change["reason"].startswith("in the personal lexicon; ")
    assert record["lexicon_version"].startswith(f"{load().version}+personal-")


def test_read_uses_the_personal_lexicon_that_is_named(plessor, tmp_path, personal) -> None:
    mine = tmp_path / "mine.txt"
    plessor("lexicon", "add", "rombork", "--means", "romberg", "--personal", mine)
    assert not personal.exists()
    text = b"Rombork is negative."
    without = json.loads(plessor("read", "-f", "json", stdin=text).out)
    assert without["corrected"] == "Rombork is negative."
    record = json.loads(plessor("read", "-f", "json", "--personal", mine, stdin=text).out)
    assert record["corrected"] == "Romberg is negative."
    assert record["heard"] == "Rombork is negative."
    assert record["corrections"][0]["reason"].startswith("in the personal lexicon; ")


@pytest.mark.parametrize("command", [("read",), ("lexicon", "explain", "risk")])
def test_a_personal_lexicon_that_cannot_be_used_ends_the_command(
    plessor, tmp_path, command
) -> None:
    missing = plessor(*command, "--personal", tmp_path / "none.txt", stdin=b"Left grip five.")
    assert missing.code == 1
    assert "none.txt: there is no such file" in missing.sentence
    folder = plessor(*command, "--personal", tmp_path, stdin=b"Left grip five.")
    assert folder.code == 1
    assert "this is a folder" in folder.sentence
    faulty = tmp_path / FILE
    faulty.write_text("# fine\nleft flex = flexion\n", "utf-8")
    ran = plessor(*command, "--personal", faulty, stdin=b"Left grip five.")
    assert ran.code == 1
    assert f"{FILE}:2: a variant may not change" in ran.sentence
    assert ran.out == ""
