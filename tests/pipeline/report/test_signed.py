"""Every report says whether its record is signed; wording is ours (house)."""

from __future__ import annotations

import datetime as dt

import pytest
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Record
from plessor.pipeline.report import report_html, report_text
from plessor.pipeline.report.signed import state_words
from plessor.pipeline.review import ChangeFacts, apply, sign
from plessor.pipeline.review import state as state_of

WHEN = dt.datetime(2026, 3, 4, 10, 30, tzinfo=dt.UTC)


def _signed(record: Record) -> Record:
    return sign(record, who="A. <Reader>", when=WHEN)


def _amended(record: Record) -> Record:
    return apply(_signed(record), ChangeFacts(age_months=91), who="A. <Reader>", when=WHEN)


CASES = [
    (lambda r: r, "unsigned", "Unsigned: nobody"),
    (_signed, "signed", "Signed on 2026-03-04 at 10:30 UTC by A. <Reader>."),
    (lambda r: _signed(r).model_copy(update={"age_months": 91}), "altered", "ALTERED after"),
    (_amended, "unsigned", "Unsigned amendment of the signed version "),
    (lambda r: _signed(_amended(r)), "signed", "Signed as an amendment of the version "),
]


@pytest.mark.parametrize(("made", "state", "words"), CASES)
def test_text_and_page_say_the_state_in_the_same_words(make_record, made, state, words) -> None:
    record = made(make_record("power grip left 4", age_months=90))
    assert state_of(record) == state
    assert words in state_words(record)
    interpretation = interpret(record)
    said = " ".join(report_text(record, interpretation).split())
    assert state_words(record) in said
    page = report_html(record, interpretation)
    assert state_words(record).replace("<", "&lt;").replace(">", "&gt;") in page
    assert "<Reader>" not in page


def test_an_amendment_names_the_version_that_it_amends(make_record) -> None:
    record = make_record("power grip left 4", age_months=90)
    signature = _signed(record).signature
    assert signature is not None
    assert signature.sha256[:12] in state_words(_amended(record))
