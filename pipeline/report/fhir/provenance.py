"""Who made what: the program, the reviewers and the signer, each as a Provenance.

A signature of Plessor is a name, a time and the SHA-256 of what was signed. It is no
cryptographic signature, so ``Signature.data`` stays empty and the SHA-256 is that of the
entity that was signed.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from ....lexicon.rules import load_rules
from ...record import Signature
from .case import Case
from .elements import (
    Json,
    bare,
    concept,
    content_identifier,
    instant,
    known,
    narrative,
    published,
    timed,
    words,
)


def device(case: Case) -> Json:
    """The program that heard and coded, with the versions that the record names."""
    versions = {
        "program": case.record.program_version,
        "lexicon": case.record.lexicon_version,
        "recogniser": case.record.model,
    }
    kind = concept(text="software")
    called = {"type": "user-friendly-name"}
    return known(
        resourceType="Device",
        text=narrative(["Plessor", load_rules().standing]),
        **(
            {"deviceName": [{"name": "Plessor", **called}], "type": kind}
            if case.is_r4
            else {"name": [{"value": "Plessor", **called}], "type": [kind]}
        ),
        version=[
            {"type": concept(text=what), "value": value}
            for what, version in versions.items()
            if (value := words(version))
        ],
        note=[{"text": load_rules().standing}],
    )


def practitioners(case: Case) -> Iterator[tuple[str, Json]]:
    """Everybody whom the record names as examiner, reviewer or signer, by that name alone."""
    for who in dict.fromkeys(filter(None, map(words, _names(case)))):
        yield (
            f"person {who}",
            {"resourceType": "Practitioner", "text": narrative([who]), "name": [{"text": who}]},
        )


def provenances(case: Case) -> Iterator[tuple[str, Json]]:
    """One for what the program heard, one a reviewer and time, one for the signature."""
    yield "heard", _heard(case)
    reviewed: dict[tuple[str | None, dt.datetime | None], list[int]] = {}
    for index, finding in enumerate(case.record.findings):
        if finding.origin.by == "reviewer":
            key = words(finding.origin.who), finding.origin.when
            reviewed.setdefault(key, []).append(index)
    for number, ((who, when), findings) in enumerate(reviewed.items()):
        yield f"reviewed {number}", _reviewed(case, who, when, findings)
    if case.signature:
        yield "signed", _signed(case, case.signature)


def _heard(case: Case) -> Json:
    """The program answers for what it heard; a record that names no program came from elsewhere."""
    is_ours = case.record.program_version is not None
    findings = enumerate(case.record.findings)
    heard = [n for n, finding in findings if is_ours and finding.origin.by == "heard"]
    entity = []
    if case.record.amends:
        entity = [_entity("amended", case.record.amends, "the signed version that this amends")]
    return _provenance(
        case,
        targets=["report", *(f"finding {index}" for index in heard)],
        role="program",
        who=case.reference("program", display="Plessor"),
        activity=(
            "heard or read, coded and put together" if is_ours else "put together, made elsewhere"
        ),
        when=None,
        entity=entity,
    )


def _reviewed(case: Case, who: str | None, when: dt.datetime | None, findings: list[int]) -> Json:
    return _provenance(
        case,
        targets=[f"finding {index}" for index in findings],
        role="reviewer",
        who=case.person(who, otherwise="a reviewer who is not named"),
        activity="entered, changed or confirmed by a reviewer",
        when=when,
    )


def _signed(case: Case, signature: Signature) -> Json:
    who = case.person(signature.who, otherwise="somebody who is not named")
    return {
        **_provenance(
            case,
            targets=["report", *(f"finding {n}" for n in range(len(case.record.findings)))],
            role="signer",
            who=who,
            activity="signed",
            when=signature.when,
            entity=[_entity("signed", signature.sha256, "the content that was signed")],
        ),
        "signature": [
            {
                "type": [published("signature", "signed")],
                **timed("when", signature.when),
                "who": who,
            }
        ],
    }


def _provenance(
    case: Case,
    *,
    targets: list[str],
    role: str,
    who: Json,
    activity: str,
    when: dt.datetime | None,
    entity: list[Json] | None = None,
) -> Json:
    """R4 asks for ``recorded``, R5 does not; a day is kept where the time zone is not known."""
    recorded = timed("recorded", when) if case.is_r4 or instant(when) else {}
    is_day = when is not None and instant(when) is None
    return known(
        resourceType="Provenance",
        text=narrative([f"{activity}: {who['display']}"]),
        target=[case.reference(part) for part in targets],
        occurredDateTime=when.date().isoformat() if when is not None and is_day else None,
        **recorded,
        activity=concept(text=activity),
        agent=[{"type": concept(published("role", role)), "who": who}],
        entity=entity,
    )


def _entity(role: str, sha256: str, display: str) -> Json:
    what = {"identifier": content_identifier(sha256), "display": display}
    return {"role": bare("entity", role), "what": what}


def _names(case: Case) -> Iterator[str | None]:
    yield case.record.examiner
    for finding in case.record.findings:
        if finding.origin.by == "reviewer":
            yield finding.origin.who
    if case.signature:
        yield case.signature.who
