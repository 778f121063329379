"""The body outline: each finding in its place, on its side, told in words as well."""

import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.lexicon import load
from plessor.lexicon.places import load_places
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Record
from plessor.pipeline.report import report_outline
from plessor.pipeline.report.body import HIDDEN_SKIN, MUSCLES, SKIN, SPOTS

SVG = "{http://www.w3.org/2000/svg}"


def drawn(record: Record) -> ET.Element:
    return ET.fromstring(report_outline(record, interpret(record)))


def panels(record: Record) -> dict[str, dict[str, str]]:
    """Panel to what is told of each area, and the class that it is drawn with."""
    found = {}
    for panel in drawn(record).iter(f"{SVG}g"):
        if "translate" in panel.get("transform", ""):
            heading = panel.find(f"{SVG}text").text
            found[heading] = {}
            for mark in panel.iter():
                told = mark.find(f"{SVG}title")
                if told is not None:
                    shape = mark if mark.get("class") else mark.find(f"{SVG}circle")
                    found[heading][told.text] = shape.get("class", "")
    return found


@pytest.mark.parametrize(
    ("row", "panel", "told", "class_"),
    [
        ("power wrist_extension left 3", "Power", "left forearm: power (wrist extension) 3",
         "found"),
        ("power grip right 5", "Power", "right hand: power (grip) 5", "normal"),
        ("power neck_flexion midline 4", "Power", "left neck: power (neck flexion) 4", "found"),
        ("power C6 left 2", "Power", "left forearm: power (C6) 2", "found"),
        ("pinprick C6 left reduced", "Sensation", "left thumb: pinprick (C6) reduced", "found"),
        ("pinprick T10 right normal", "Sensation", "right trunk T10: pinprick (T10) normal",
         "normal"),
        ("light_touch perianal midline absent", "Sensation",
         "left perianal (S3 to S5): light touch (perianal skin) absent", "found"),
        ("reflex knee_jerk left absent", "Reflexes", "left knee: knee jerk absent", "found paper"),
        ("reflex lower_limb left increased", "Reflexes",
         "left ankle: tendon reflex (lower limb) increased", "found paper"),
        ("plantar_response none right flexor", "Reflexes",
         "right plantar: plantar response flexor", "normal"),
        ("wasting calf left mild", "Tone and inspection", "left lower leg: wasting (calf) mild",
         "found"),
        ("tone elbow right normal", "Tone and inspection", "right upper arm: tone (elbow) normal",
         "normal"),
    ],
)  # fmt: skip
def test_a_finding_is_drawn_where_it_is(make_record, row, panel, told, class_) -> None:
    assert panels(make_record(row))[panel][told] == class_


def test_what_was_not_examined_is_hatched_and_said(make_record) -> None:
    marks = panels(make_record("power grip left 5", "pinprick C6 left not_examined"))
    assert marks["Power"]["right hand: not examined"] == "unexamined"
    assert marks["Sensation"]["left thumb: not examined"] == "unexamined"
    assert set(marks["Reflexes"].values()) == {"unexamined"}
    assert all("normal" not in told for told in marks["Sensation"])


def test_a_region_covers_its_parts_and_a_finding_without_a_side_none(make_record) -> None:
    marks = panels(make_record("pinprick hand left absent", "power grip unstated 3"))
    found = {told.split(":")[0] for told, class_ in marks["Sensation"].items() if class_ == "found"}
    assert found == {"left thumb", "left middle of the hand", "left little finger side"}
    assert set(marks["Power"].values()) == {"unexamined"}


def test_what_the_age_accepts_is_not_drawn_as_found(make_record) -> None:
    # reference/age_norms.csv, plantar_response: an extensor response is accepted to two years.
    row = "plantar_response none both extensor"
    told = "left plantar: plantar response extensor"
    assert panels(make_record(row, age_months=9))["Reflexes"][told] == "normal"
    assert panels(make_record(row, age_months=90))["Reflexes"][told] == "found paper"


def test_the_left_of_the_person_is_on_the_right_of_the_page(make_record) -> None:
    svg = drawn(make_record("power grip left 3"))
    (mark,) = [
        path
        for path in svg.iter(f"{SVG}path")
        if "power (grip)" in path.findtext(f"{SVG}title", "")
    ]
    xs = [float(x) for x in re.findall(r"[ML]([\d.]+) ", mark.get("d"))]
    assert min(xs) > 100  # the panel is 200 wide


def test_every_segment_that_can_be_seen_has_its_place_on_the_outline() -> None:
    places, vocabulary = load_places(), load().vocabulary
    skin = {level for part in (*SKIN, *HIDDEN_SKIN) for level in (part.level, *part.codes)}
    assert set(vocabulary.levels) - skin == {"S3", "S4", "S5"}  # these are the perianal skin
    for kind, parts in (("movement", MUSCLES), ("region", MUSCLES), ("region", SKIN)):
        for segment in vocabulary.segments[kind]:
            hidden = {"perianal", "tongue", "sole", "calf", "posterior_thigh", "spine"}
            meant = [p for p in (*parts, *HIDDEN_SKIN) if p.is_meant_by([segment], places)]
            assert meant or segment in hidden, segment
    jerks = {spot.segment for spot in SPOTS}
    assert set(vocabulary.segments["reflex"]) <= jerks


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=40)
@given(st.from_type(Record))
def test_outline_of_any_record_is_well_formed_names_itself_and_fetches_nothing(
    record: Record,
) -> None:
    text = report_outline(record, interpret(record))
    svg = ET.fromstring(text)
    assert svg.get("role") == "img" and svg.find(f"{SVG}title") is not None
    told = svg.findtext(f"{SVG}desc", "")
    assert told.endswith("What is hatched was not examined.")
    assert not re.search(r"<script|<image|<use|href|url\((?!#)|@import|on\w+=", text)
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", text)) <= set(ids)
