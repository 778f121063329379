"""The page: whole, escaped, accessible, and nothing fetched."""

import re
from html.parser import HTMLParser

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Evidence, Record, Unresolved
from plessor.pipeline.report import html_page, report_html

VOID = {"meta", "link", "br", "hr", "img"}


class Reader(HTMLParser):
    """Keeps the open elements, so that what is not closed is seen."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open[-1:] != ["style"]:
            self.words.append(data)


def page(*records: Record) -> str:
    return "".join(html_page(report_html(r, interpret(r)) for r in records))


def read(text: str) -> Reader:
    reader = Reader()
    reader.feed(text)
    reader.close()
    assert reader.open == []
    return reader


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=40)
@given(st.from_type(Record))
def test_page_of_any_record_is_whole_and_fetches_nothing(record: Record) -> None:
    text = page(record)
    reader = read(text)
    assert text.startswith("<!DOCTYPE html>\n<html lang=")
    assert not {"script", "img", "link", "iframe", "object", "form"} & set(reader.tags)
    assert not re.search(r"\b(?:src|href|action)=|url\((?!#)|@import", text)
    assert "default-src 'none'" in text
    assert "not a medical device" in " ".join(reader.words)
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids))


def test_page_says_all_that_the_plain_report_says(make_record) -> None:
    record = make_record(
        "power elbow_extension left 3", "power elbow_extension right 5",
        "reflex triceps_jerk left absent", "pinprick S4 both absent", "gait none none normal",
        "reflex knee_jerk unstated normal", age_months=60, narration="n-1",
    )  # fmt: skip
    result = interpret(record)
    words = " ".join(" ".join(read(page(record)).words).split())
    assert all(sentence.text in words for sentence in result.sentences)
    assert all(p.hp_id in words for p in result.phenotypes)
    assert "side not stated: normal" in words and "age 5 years" in words
    assert words.index("Urgent") < words.index("Interpretation") < words.index("Findings")


def test_words_of_a_record_are_escaped() -> None:
    nasty = "<script>alert(1)</script>\x1b[31m\"'&"
    where = Evidence(heard=nasty, corrected=nasty, first_word=0, last_word=0)
    record = Record(narration=nasty, unresolved=(Unresolved(reason=nasty, evidence=where),))
    text = page(record)
    assert "<script" not in text and "\x1b" not in text
    assert nasty.replace("\x1b", " ") in " ".join(read(text).words)


def test_tables_have_heads_and_drawings_have_words_and_a_table(make_record) -> None:
    text = page(make_record("power elbow_extension left 3", "reflex triceps_jerk left absent"))
    assert text.count("<svg") == 2
    assert text.count('role="img"') == 2 and text.count("<desc") == 2
    assert "The same as a table" in text
    assert 'scope="col">Left' in text and 'scope="row">elbow extension' in text
    assert "prefers-color-scheme:dark" in text and "@media print" in text


def test_many_records_make_one_page_and_none_makes_none() -> None:
    text = page(Record(narration="a"), Record(narration="b"))
    assert text.count("<article>") == 2 and text.count("<html") == 1
    assert "".join(html_page([])) == ""


@pytest.mark.parametrize("record", [Record(), Record(age_months=3)])
def test_page_of_an_empty_record_says_so(record) -> None:
    words = " ".join(read(page(record)).words)
    assert "No findings were recorded." in words
    assert "Leading sites" not in words
