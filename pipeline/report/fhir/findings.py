"""Each finding as an Observation, and the places that they speak of as BodyStructures.

What was not examined has a reason in the place of a value, and is never normal: only what the
interpretation calls abnormal has an interpretation code, and nothing is coded as normal. How
certain the examiner was is a component and no extension, since FHIR wants components to be
read with the value. The side is in the words of every code, so that whoever shows words alone
shows it. R4 has no side of a body site: there a code joins place and side, and an extension
leads to the BodyStructure, which R5 refers to directly and alone.
"""

from __future__ import annotations

from collections.abc import Iterator

from ....lexicon import load
from ....lexicon.fhir import load_fhir
from ....lexicon.labels import name, place_name
from ...interpret import Phenotype
from ...record import Evidence, Finding
from ..findings import marks, said
from .case import Case
from .elements import (
    Json,
    concept,
    content_uri,
    extension,
    known,
    narrative,
    own,
    part,
    published,
    words,
)


def observations(case: Case) -> Iterator[tuple[str, Json]]:
    """An Observation for each finding, in their order, with the part it plays."""
    terms: dict[int, list[Phenotype]] = {}
    for term in case.interpretation.phenotypes:
        for index in term.findings:
            terms.setdefault(index, []).append(term)
    abnormal = frozenset(case.interpretation.abnormal)
    for index, finding in enumerate(case.record.findings):
        yield (
            f"finding {index}",
            _observation(case, finding, index in abnormal, terms.get(index, [])),
        )


def body_structures(case: Case) -> Iterator[tuple[str, Json]]:
    """A BodyStructure for each place and side that a finding names."""
    for finding in {_place_part(f): f for f in case.record.findings}.values():
        if _has_place(finding):
            yield _place_part(finding), _body_structure(case, finding)


def sentence(finding: Finding) -> str:
    """The finding in words: "power (elbow flexion), left: 3, possible"."""
    told = ", ".join((said(finding), *marks(finding, times=False)))
    return f"{_what(finding)}: {told}"


def _what(finding: Finding) -> str:
    """What was examined, where and on which side, so that a code's text alone tells the side."""
    side = "" if finding.side == "none" else f", {name('side', finding.side)}"
    return place_name(finding.modality, finding.segment) + side


def _observation(case: Case, finding: Finding, is_abnormal: bool, terms: list[Phenotype]) -> Json:
    record = case.record
    return known(
        resourceType="Observation",
        text=narrative([f"{sentence(finding)} ({case.status})"]),
        extension=[
            extension("confidence", valueDecimal=round(finding.confidence, 4)),
            *_evidence(case, finding.evidence),
        ],
        status=case.status,
        category=[concept(published("category", "finding"))],
        code=concept(own("modality", finding.modality), text=_what(finding)),
        subject=case.reference("patient"),
        effectiveDateTime=record.date.isoformat() if record.date else None,
        performer=[case.person(record.examiner, otherwise="")] if words(record.examiner) else [],
        **_value(finding),
        interpretation=[concept(published("interpretation", "abnormal"))] if is_abnormal else [],
        note=[{"text": note}] if (note := words(finding.note)) else [],
        **_site(case, finding),
        derivedFrom=[case.reference("source")] if finding.evidence else [],
        component=[
            {
                "code": concept(own("part", "certainty")),
                "valueCodeableConcept": concept(own("certainty", finding.certainty)),
            },
            *(_phenotype(term) for term in terms),
        ],
    )


def _value(finding: Finding) -> Json:
    if finding.grade is None:
        return {
            "dataAbsentReason": concept(
                published("absent", finding.status),
                own("status", finding.status),
                text=name("status", finding.status),
            )
        }
    scale = load().vocabulary.modalities[finding.modality].scale
    coding = own("grade", finding.grade, system=f"scale:{scale}")
    doubt = ", possible" if finding.certainty == "possible" else ""
    return {"valueCodeableConcept": concept(coding, text=name("grade", finding.grade) + doubt)}


def _phenotype(term: Phenotype) -> Json:
    coding = {"system": load_fhir().uri("hpo"), "code": term.hp_id, "display": term.label}
    return {
        "code": concept(own("part", "phenotype")),
        "valueCodeableConcept": concept(coding, text=term.label),
    }


def _evidence(case: Case, evidence: Evidence | None) -> Iterator[Json]:
    """Words heard and corrected, their numbers, their seconds and that stretch of the recording."""
    if evidence is None:
        return
    parts = [
        part("heard", valueString=heard) if (heard := words(evidence.heard)) else None,
        part("corrected", valueString=told) if (told := words(evidence.corrected)) else None,
        part("firstWord", valueUnsignedInt=evidence.first_word),
        part("lastWord", valueUnsignedInt=evidence.last_word),
    ]
    if evidence.start_s is not None:
        parts.append(part("start", valueDecimal=round(evidence.start_s, 3)))
    if evidence.end_s is not None:
        parts.append(part("end", valueDecimal=round(evidence.end_s, 3)))
    if case.record.audio and evidence.start_s is not None:
        uri = content_uri(case.record.audio.sha256) + _fragment(evidence.start_s, evidence.end_s)
        parts.append(part("fragment", valueUri=uri))
    yield extension("evidence", extension=[p for p in parts if p])


def _fragment(start_s: float, end_s: float | None) -> str:
    """A stretch of time as W3C Media Fragments URI 1.0 writes it: ``#t=12.5,13.75``."""
    begin, end = (f"{s:.3f}".rstrip("0").rstrip(".") for s in (start_s, end_s or 0.0))
    return f"#t={begin},{end}" if end_s is not None and float(end) > float(begin) else f"#t={begin}"


def _has_place(finding: Finding) -> bool:
    return finding.segment != "none" or finding.side != "none"


def _place_part(finding: Finding) -> str:
    return f"place {finding.segment} {finding.side}"


def place_words(finding: Finding) -> str:
    """The place with its side: "left elbow flexion", "left side", "tongue (midline)"."""
    place = "" if finding.segment == "none" else name("segment", finding.segment)
    side = "" if finding.side == "none" else name("side", finding.side)
    if finding.side in ("left", "right"):
        return f"{side} {place or 'side'}"
    return f"{place} ({side})" if place and side else place or side


def _site(case: Case, finding: Finding) -> Json:
    if not _has_place(finding):
        return {}
    structure = case.reference(_place_part(finding), display=place_words(finding))
    if not case.is_r4:
        return {"bodyStructure": structure}
    joined = own("place", f"{finding.segment}.{finding.side}", display=place_words(finding))
    return {
        "bodySite": {
            "extension": [extension("bodySite", valueReference=structure)],
            **concept(joined, text=place_words(finding)),
        }
    }


def _body_structure(case: Case, finding: Finding) -> Json:
    place = [] if finding.segment == "none" else [own("segment", finding.segment)]
    side = [] if finding.side == "none" else [own("side", finding.side)]
    structure = concept(*place, text=place_words(finding))
    laterality = concept(*side)
    if case.is_r4:
        where = known(location=structure, locationQualifier=[laterality] if laterality else [])
    else:
        where = {"includedStructure": [known(structure=structure, laterality=laterality)]}
    return known(
        resourceType="BodyStructure",
        text=narrative([place_words(finding)]),
        **where,
        patient=case.reference("patient"),
    )
