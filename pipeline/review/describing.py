"""Tells an edit to a person who reads the audit trail: what, from what, to what.

``what`` begins with the kind of the edit, so that the trail can be searched by it. Texts come
from the record as it was before, so an edit that cannot be applied has no description.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from ...lexicon.labels import name, place_name
from ..record import Finding, Record
from .attention import claim_words, finding_words
from .edits import (
    AddFinding,
    ChangeClaim,
    ChangeFacts,
    ChangeFinding,
    ChangeWords,
    ConfirmClaim,
    ConfirmFinding,
    DecideCorrection,
    Edit,
    OtherSide,
    RejectClaim,
    RejectFinding,
    ResolveStretch,
    RestoreFinding,
    SettleStretch,
)
from .places import at
from .words import require_words


@dataclass(frozen=True)
class Change:
    """One line of the audit trail; "" where there was nothing, or where nothing is left."""

    what: str
    before: str
    after: str


def describe(record: Record, edit: Edit) -> Change:
    """What ``edit`` does to ``record``, which is the one before it.

    Raises ``EditError`` when ``edit`` names what is not in ``record``.
    """
    where, before, after = _TOLD[type(edit)](record, edit)
    what = edit.kind.replace("_", " ")
    return Change(f"{what}: {where}" if where else what, before, after)


def _changed(record: Record, edit: ChangeFinding) -> tuple[str, str, str]:
    finding = at(record.findings, edit.finding, "finding")
    wanted = edit.wanted()
    fields = list(dict.fromkeys((edit.field, *wanted)))
    before = "; ".join(f"{f} {_named(f, getattr(finding, f))}" for f in fields)
    after = "; ".join(f"{f} {_named(f, wanted[f])}" for f in fields)
    return finding_words(finding), before, after


def _added(_record: Record, edit: AddFinding | ResolveStretch) -> tuple[str, str, str]:
    side = "" if edit.side == "none" else f"{name('side', edit.side)} "
    said = name("grade", edit.grade) if edit.grade else name("status", edit.status)
    doubt = "possibly " if edit.certainty == "possible" else ""
    return "", "", f"{side}{place_name(edit.modality, edit.segment)}: {doubt}{said}"


def _resolved(record: Record, edit: ResolveStretch) -> tuple[str, str, str]:
    stretch = at(record.unresolved, edit.unresolved, "unresolved stretch")
    return "", stretch.evidence.corrected, _added(record, edit)[2]


def _doubled(record: Record, edit: OtherSide) -> tuple[str, str, str]:
    finding = at(record.findings, edit.finding, "finding")
    return "", finding_words(finding), finding_words(_mirrored(finding))


def _mirrored(finding: Finding) -> Finding:
    side = {"left": "right", "right": "left"}.get(finding.side, finding.side)
    return finding.model_copy(update={"side": side})


def _rejected(record: Record, edit: RejectFinding) -> tuple[str, str, str]:
    return "", finding_words(at(record.findings, edit.finding, "finding")), ""


def _restored(record: Record, edit: RestoreFinding) -> tuple[str, str, str]:
    rejected = at(record.rejected, edit.rejected, "rejected finding")
    return "", "", finding_words(rejected.finding)


def _confirmed(record: Record, edit: ConfirmFinding) -> tuple[str, str, str]:
    finding = at(record.findings, edit.finding, "finding")
    said = finding_words(finding)
    return said, f"{finding.origin.by}, confidence {finding.confidence:.2f}", "reviewer"


def _settled(record: Record, edit: SettleStretch) -> tuple[str, str, str]:
    stretch = at(record.unresolved, edit.unresolved, "unresolved stretch")
    return "", stretch.evidence.corrected, "nothing to record"


def _claim(record: Record, edit: ChangeClaim) -> tuple[str, str, str]:
    claim = at(record.claims, edit.claim, "taught fact")
    new = claim.model_copy(update=edit.wanted())
    return claim.kind.replace("_", " "), claim_words(claim), claim_words(new)


def _claim_confirmed(record: Record, edit: ConfirmClaim) -> tuple[str, str, str]:
    claim = at(record.claims, edit.claim, "taught fact")
    return claim_words(claim), claim.origin.by, "reviewer"


def _claim_rejected(record: Record, edit: RejectClaim) -> tuple[str, str, str]:
    return "", claim_words(at(record.claims, edit.claim, "taught fact")), ""


def _words(record: Record, edit: ChangeWords) -> tuple[str, str, str]:
    require_words(record, edit.first_word, edit.last_word)
    words = record.words[edit.first_word : edit.last_word + 1]
    text = " ".join(edit.text.split())
    return f"from word {edit.first_word}", " ".join(w.text for w in words), text


def _decided(record: Record, edit: DecideCorrection) -> tuple[str, str, str]:
    c = at(record.corrections, edit.correction, "correction")
    where = f"from word {c.first_word}"
    return where, c.became if c.made else c.heard, c.became if edit.accept else c.heard


def _facts(record: Record, edit: ChangeFacts) -> tuple[str, str, str]:
    fields = [f for f in ("age_months", "examiner", "date") if f in edit.model_fields_set]
    told = [
        "; ".join(f"{f.replace('_', ' ')} {_shown(getattr(source, f))}" for f in fields)
        for source in (record, edit)
    ]
    return "", told[0], told[1]


def _shown(value: object) -> str:
    return "not recorded" if value in (None, "") else str(value)


def _named(field: str, code: str | None) -> str:
    if code in (None, ""):
        return "none"
    return str(code) if field in ("note", "certainty") else name(field, str(code))


_TOLD: Mapping[type[BaseModel], Callable[[Record, Any], tuple[str, str, str]]] = {
    ChangeFinding: _changed,
    AddFinding: _added,
    OtherSide: _doubled,
    RejectFinding: _rejected,
    RestoreFinding: _restored,
    ConfirmFinding: _confirmed,
    SettleStretch: _settled,
    ResolveStretch: _resolved,
    ChangeClaim: _claim,
    ConfirmClaim: _claim_confirmed,
    RejectClaim: _claim_rejected,
    ChangeWords: _words,
    DecideCorrection: _decided,
    ChangeFacts: _facts,
}
