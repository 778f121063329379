"""The bars: sites in their order, evidence to its side, numbers as they are."""

import re
import xml.etree.ElementTree as ET

import pytest
from plessor.pipeline.interpret import Interpretation, Site, Weight, interpret
from plessor.pipeline.record import Record
from plessor.pipeline.report import report_bars
from plessor.pipeline.report.bars import SITES, percent

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def record(make_record) -> Record:
    return make_record(
        "power elbow_extension left 3", "reflex triceps_jerk left absent",
        "pinprick thumb left normal",
    )  # fmt: skip


def with_sites(record: Record, *sites: Site) -> Interpretation:
    return interpret(record).model_copy(update={"sites": sites})


def site(which: str, probability: float, *decibans: float) -> Site:
    evidence = tuple(Weight(findings=(i,), decibans=d) for i, d in enumerate(decibans))
    return Site(site="root", which=which, side="left", probability=probability, evidence=evidence)


def bars(svg: ET.Element) -> dict[str, ET.Element]:
    """What each bar is told as, and the bar."""
    return {
        g.findtext(f"{SVG}title"): g.find(f"{SVG}rect")
        for g in svg.iter(f"{SVG}g")
        if g.find(f"{SVG}title") is not None
    }


def test_probabilities_are_as_long_as_they_are_large(record) -> None:
    found = bars(
        ET.fromstring(report_bars(record, with_sites(record, site("C7", 0.6), site("C6", 0.3))))
    )
    first, second = found["The left C7 root: 60 %"], found["The left C6 root: 30 %"]
    assert float(first.get("width")) == pytest.approx(2 * float(second.get("width")), rel=0.01)
    assert float(first.get("y")) < float(second.get("y"))


def test_evidence_for_goes_right_and_evidence_against_goes_left(record) -> None:
    svg = ET.fromstring(report_bars(record, with_sites(record, site("C7", 0.6, 12.0, 6.0, -3.0))))
    found = bars(svg)
    strong = found["power 3 in elbow extension on the left: +12.0 decibans"]
    weak = found["triceps jerk absent on the left: +6.0 decibans"]
    against = found["pinprick normal in the thumb on the left: -3.0 decibans"]
    assert float(strong.get("width")) == pytest.approx(2 * float(weak.get("width")), rel=0.01)
    middle = float(strong.get("x"))
    assert middle == float(weak.get("x"))
    assert float(against.get("x")) + float(against.get("width")) == pytest.approx(middle, abs=0.1)
    assert "url(#" in against.get("fill")  # hatched: the side is not told by colour alone
    assert float(against.get("x")) > 0


def test_every_number_is_written_and_inside_the_drawing(record) -> None:
    weights = tuple(float(w) for w in (40, -35, 3))
    svg = ET.fromstring(report_bars(record, with_sites(record, site("C7", 0.995, *weights))))
    words = [t.text for t in svg.iter(f"{SVG}text")]
    assert {"+40.0", "-35.0", "+3.0", "above 99 %"} <= set(words)
    width, height = (float(svg.get(side)) for side in ("width", "height"))
    for rect in svg.iter(f"{SVG}rect"):
        if rect.get("x"):
            assert 0 <= float(rect.get("x")) <= width - float(rect.get("width")) + 0.1
            assert float(rect.get("y")) <= height
    assert all(float(t.get("y")) <= height for t in svg.iter(f"{SVG}text"))


def test_what_tells_the_first_from_the_next_is_drawn_and_the_unlikely_is_not(record) -> None:
    first = site("C7", 0.6).model_copy(
        update={"evidence": (Weight(findings=(1,), decibans=9.0, against_next=4.0),)}
    )
    text = report_bars(
        record, with_sites(record, first, site("C6", 0.3, 5.0), site("C5", 0.01, 7.0))
    )
    assert "The left C7 root, against the left C6 root" in text
    assert "triceps jerk absent on the left: +4.0 decibans" in text
    assert "The left C6 root, against nothing abnormal" in text
    assert "The left C5 root, against nothing abnormal" not in text


def test_objections_are_drawn_even_when_they_are_small(make_record) -> None:
    record = make_record(
        *(
            f"power {m} left 3"
            for m in (
                "grip",
                "elbow_flexion",
                "hip_flexion",
                "knee_flexion",
                "knee_extension",
                "wrist_flexion",
                "wrist_extension",
                "toe_flexion",
            )
        )
    )
    drawn = report_bars(record, with_sites(record, site("C7", 0.9, 9, 8, 7, 6, 5, 4, 3, -1)))
    assert "power 3 in toe flexion on the left: -1.0 decibans" in drawn


def test_no_more_sites_than_a_page_holds_and_none_is_said(record) -> None:
    many = [site(level, 0.1) for level in ("C4", "C5", "C6", "C7", "C8", "T1")]
    text = report_bars(record, with_sites(record, *many))
    assert len(re.findall(r"root: 10 %</title>", text)) == SITES
    assert "nothing was observed" in report_bars(Record(), interpret(Record()))


def test_bars_of_a_real_interpretation_are_well_formed(record) -> None:
    svg = ET.fromstring(report_bars(record, interpret(record)))
    assert svg.findtext(f"{SVG}desc")


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "0 %"), (0.004, "below 1 %"), (0.01, "1 %"), (0.5, "50 %"), (0.98, "98 %"),
        (0.991, "above 99 %"), (1.0, "100 %"),
    ],
)  # fmt: skip
def test_only_what_is_certain_is_called_so(share, words) -> None:
    assert percent(share) == words
