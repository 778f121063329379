"""Applies one edit to a record: the next record, or one sentence that says why not.

The record that is given stays as it is. What a reviewer changed or confirmed is theirs: its
confidence is 1 and its origin says who and when; its evidence stays, since it still is where the
field comes from. New findings go to the end, so that the places of the others stay. An edit of
a signed record makes an unsigned amendment of it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from ..files import fault_of
from ..record import SCHEMA_VERSION, Claim, Evidence, Finding, Origin, Record, Rejected, Settled
from ..transcript import Transcript
from .deciding import decide, rewrite
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
    EditError,
    OtherSide,
    RejectClaim,
    RejectFinding,
    ResolveStretch,
    RestoreFinding,
    SettleStretch,
)
from .places import at, put
from .signing import ALTERED, require_signer, state
from .words import require_words

_Model = TypeVar("_Model", bound=BaseModel)
_OTHER = {"left": "right", "right": "left"}
#: Versions of the contract that a record leaves when it is edited: what a reviewer adds is newer.
_EARLIER = frozenset({"1.0"})


@dataclass(frozen=True)
class _By:
    who: str
    when: dt.datetime

    @property
    def origin(self) -> Origin:
        return Origin(by="reviewer", who=self.who, when=self.when)


def apply(record: Record, edit: Edit, *, who: str, when: dt.datetime) -> Record:
    """``record`` after ``edit``, made by ``who`` at ``when`` (with time zone).

    A signed record loses its signature and is said to be amended (``Record.amends``). Raises
    ``EditError``, an ``InputError``, when the record does not bear the edit.
    """
    require_signer(who, when)
    signature = record.signature
    if signature is not None and state(record) == "altered":
        raise EditError(ALTERED)
    changed = _APPLIED[type(edit)](record, edit, _By(who, when))
    update: dict[str, Any] = {}
    if signature is not None:
        update = {"signature": None, "amends": signature.sha256}
    if changed.schema_version in _EARLIER:
        update["schema_version"] = SCHEMA_VERSION
    return changed.model_copy(update=update) if update else changed


def _change_finding(record: Record, edit: ChangeFinding, by: _By) -> Record:
    finding = at(record.findings, edit.finding, "finding")
    wanted = edit.wanted()
    if wanted.get("grade") is not None:
        wanted.setdefault("status", "observed")
    elif wanted.get("status", "observed") != "observed":
        wanted.setdefault("grade", None)
    if "note" in wanted:
        wanted["note"] = _text(wanted["note"])
    if all(getattr(finding, field) == value for field, value in wanted.items()):
        raise EditError(f"The {edit.field} of this finding is the same already.")
    changed = _made(Finding, {**dict(finding), **wanted, **_mark(by)})
    return put(record, "findings", edit.finding, changed)


def _add_finding(record: Record, edit: AddFinding, by: _By) -> Record:
    return _added(record, _finding(record, edit, by, None))


def _other_side(record: Record, edit: OtherSide, by: _By) -> Record:
    finding = at(record.findings, edit.finding, "finding")
    if finding.side not in _OTHER:
        raise EditError(
            "This finding has no other side; give it the side left or right first."
            if finding.side == "unstated"
            else "This finding is neither left nor right, so it has no other side."
        )
    side = _OTHER[finding.side]
    return _added(record, finding.model_copy(update={"side": side, **_mark(by)}))


def _reject_finding(record: Record, edit: RejectFinding, by: _By) -> Record:
    finding = at(record.findings, edit.finding, "finding")
    rejected = Rejected(finding=finding, who=by.who, when=by.when, why=_text(edit.why))
    return put(record, "findings", edit.finding, None).model_copy(
        update={"rejected": (*record.rejected, rejected)}
    )


def _restore_finding(record: Record, edit: RestoreFinding, _by: _By) -> Record:
    rejected = at(record.rejected, edit.rejected, "rejected finding")
    return put(record, "rejected", edit.rejected, None).model_copy(
        update={"findings": (*record.findings, rejected.finding)}
    )


def _confirm_finding(record: Record, edit: ConfirmFinding, by: _By) -> Record:
    finding = at(record.findings, edit.finding, "finding")
    if finding.origin.by == "reviewer" and finding.origin.who == by.who:
        raise EditError("You have confirmed this finding already.")
    return put(record, "findings", edit.finding, finding.model_copy(update=_mark(by)))


def _settle_stretch(record: Record, edit: SettleStretch, by: _By) -> Record:
    stretch = at(record.unresolved, edit.unresolved, "unresolved stretch")
    if stretch.settled is not None:
        raise EditError(
            "A finding was made of this stretch already."
            if stretch.settled.how == "finding"
            else "This stretch was settled already."
        )
    return _settled(record, edit.unresolved, Settled(who=by.who, when=by.when, how="no_finding"))


def _resolve_stretch(record: Record, edit: ResolveStretch, by: _By) -> Record:
    stretch = at(record.unresolved, edit.unresolved, "unresolved stretch")
    added = _added(record, _finding(record, edit, by, stretch.evidence))
    return _settled(added, edit.unresolved, Settled(who=by.who, when=by.when, how="finding"))


def _change_claim(record: Record, edit: ChangeClaim, by: _By) -> Record:
    claim = at(record.claims, edit.claim, "taught fact")
    wanted = edit.wanted()
    if all(getattr(claim, field) == value for field, value in wanted.items()):
        raise EditError(f"The {edit.field} of this taught fact is the same already.")
    changed = _made(Claim, {**dict(claim), **wanted, "origin": by.origin})
    return put(record, "claims", edit.claim, changed)


def _confirm_claim(record: Record, edit: ConfirmClaim, by: _By) -> Record:
    claim = at(record.claims, edit.claim, "taught fact")
    if claim.origin.by == "reviewer" and claim.origin.who == by.who:
        raise EditError("You have confirmed this taught fact already.")
    return put(record, "claims", edit.claim, claim.model_copy(update={"origin": by.origin}))


def _reject_claim(record: Record, edit: RejectClaim, _by: _By) -> Record:
    at(record.claims, edit.claim, "taught fact")
    return put(record, "claims", edit.claim, None)


def _change_words(record: Record, edit: ChangeWords, by: _By) -> Record:
    return rewrite(
        record, edit.first_word, edit.last_word, edit.text.split(), who=by.who, when=by.when
    )


def _decide_correction(record: Record, edit: DecideCorrection, by: _By) -> Record:
    return decide(record, edit.correction, accept=edit.accept, who=by.who, when=by.when)


def _change_facts(record: Record, edit: ChangeFacts, _by: _By) -> Record:
    given = {name: getattr(edit, name) for name in edit.model_fields_set - {"kind"}}
    if not given:
        raise EditError("Give an age, an examiner or a date.")
    if "examiner" in given:
        given["examiner"] = _text(given["examiner"])
    if all(getattr(record, name) == value for name, value in given.items()):
        raise EditError("These facts are the same already.")
    return record.model_copy(update=given)


def _added(record: Record, finding: Finding) -> Record:
    said = (finding.key, finding.grade, finding.status, finding.certainty)
    if any((f.key, f.grade, f.status, f.certainty) == said for f in record.findings):
        raise EditError("The same finding is recorded already.")
    return record.model_copy(update={"findings": (*record.findings, finding)})


def _finding(
    record: Record, edit: AddFinding | ResolveStretch, by: _By, stretch: Evidence | None
) -> Finding:
    """The finding of an edit; evidence are its words, else those of ``stretch``."""
    codes = edit.model_dump(exclude={"kind", "unresolved", "first_word", "last_word"})
    evidence = stretch
    if edit.first_word is not None or edit.last_word is not None:
        first = edit.last_word if edit.first_word is None else edit.first_word
        last = edit.first_word if edit.last_word is None else edit.last_word
        assert first is not None and last is not None  # one of them was given
        require_words(record, first, last)
        evidence = Transcript(record.words).evidence(first, last)
    codes["note"] = _text(codes["note"])
    return _made(Finding, {**codes, **_mark(by), "evidence": evidence})


def _settled(record: Record, place: int, settled: Settled) -> Record:
    stretch = record.unresolved[place].model_copy(update={"settled": settled})
    return put(record, "unresolved", place, stretch)


def _mark(by: _By) -> dict[str, Any]:
    return {"confidence": 1.0, "origin": by.origin}


def _made(model: type[_Model], values: Mapping[str, Any]) -> _Model:
    """The model of ``values``, or its first fault as the sentence of an ``EditError``."""
    try:
        return model.model_validate(values)
    except ValidationError as error:
        said = fault_of(error)
        raise EditError(said[:1].upper() + said[1:]) from None


def _text(value: str | None) -> str | None:
    """Without blanks around it; None when nothing is left."""
    return (value or "").strip() or None


_APPLIED: Mapping[type[BaseModel], Callable[[Record, Any, _By], Record]] = {
    ChangeFinding: _change_finding,
    AddFinding: _add_finding,
    OtherSide: _other_side,
    RejectFinding: _reject_finding,
    RestoreFinding: _restore_finding,
    ConfirmFinding: _confirm_finding,
    SettleStretch: _settle_stretch,
    ResolveStretch: _resolve_stretch,
    ChangeClaim: _change_claim,
    ConfirmClaim: _confirm_claim,
    RejectClaim: _reject_claim,
    ChangeWords: _change_words,
    DecideCorrection: _decide_correction,
    ChangeFacts: _change_facts,
}
