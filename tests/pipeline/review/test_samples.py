"""The samples, reviewed: whatever is to be checked can be dealt with, and the record signed.

The sample records were written by hand; text and record of a sample say the same.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from plessor.pipeline.exam import read_text
from plessor.pipeline.interpret import interpret
from plessor.pipeline.record import Record
from plessor.pipeline.review import Item, apply, attention, sign, state

SAMPLES = Path(__file__).resolve().parents[3] / "samples"
NAMES = sorted(path.stem for path in SAMPLES.glob("*.json"))


def written(name: str) -> Record:
    return Record.model_validate_json((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def read(name: str) -> Record:
    text = (SAMPLES / f"{name}.txt").read_text(encoding="utf-8")
    return read_text(text, narration=name)


def dealt_with(item: Item) -> dict[str, object]:
    """What a person who agrees with everything does about an item."""
    if item.finding is not None:
        return {"kind": "confirm_finding", "finding": item.finding}
    if item.correction is not None:
        return {"kind": "decide_correction", "correction": item.correction, "accept": False}
    if item.unresolved is not None:
        return {"kind": "settle_stretch", "unresolved": item.unresolved}
    if item.claim is not None:
        return {"kind": "confirm_claim", "claim": item.claim}
    return {"kind": "change_facts", "age_months": 90}


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("source", [written, read])
def test_everything_to_check_can_be_dealt_with_and_the_record_signed(
    name, source, edit, when
) -> None:
    record = source(name)
    wanted = len(attention(record, interpret(record)))
    for _ in range(2 * wanted + 1):
        items = attention(record, interpret(record))
        if not items:
            break
        fields = dealt_with(items[0])
        record = apply(record, edit(**fields), who="A. Reader", when=when)
    assert attention(record, interpret(record)) == ()
    signed = sign(record, who="A. Reader", when=when)
    assert state(Record.model_validate_json(signed.model_dump_json())) == "signed"


@pytest.mark.parametrize("name", NAMES)
def test_every_side_of_a_sample_can_be_turned_over_and_back(name, edit, when) -> None:
    record = written(name)
    sides = Counter(f.side for f in record.findings)
    turned = record
    for _ in range(2):
        for i, finding in enumerate(turned.findings):
            if finding.side in ("left", "right"):
                other = "right" if finding.side == "left" else "left"
                change = edit("change_finding", finding=i, field="side", value=other)
                turned = apply(turned, change, who="A. Reader", when=when)
    assert Counter(f.side for f in turned.findings) == sides
    assert [(f.key, f.grade) for f in turned.findings] == [
        (f.key, f.grade) for f in record.findings
    ]
