"""The model, built once, and findings written down in the short form."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest
from plessor.pipeline.interpret.localise.damage import SiteKey
from plessor.pipeline.interpret.localise.model import Model, load_model
from plessor.pipeline.interpret.localise.posterior import Posterior, localise
from plessor.pipeline.record import Finding


def findings_of(short: str) -> tuple[Finding, ...]:
    """ "power grip left 3; gait none none normal" as findings; "both" is two."""
    found = []
    for part in filter(None, (p.strip() for p in short.split(";"))):
        modality, segment, side, grade = part.split()
        for one in ("left", "right") if side == "both" else (side,):
            if grade in ("not_examined", "not_assessable"):
                row = {"grade": None, "status": grade}
            else:
                row = {"grade": grade}
            found.append(
                Finding.model_validate(
                    {"modality": modality, "segment": segment, "side": one, **row}
                )
            )
    return tuple(found)


@pytest.fixture(scope="session")
def model() -> Model:
    return load_model()


@pytest.fixture(scope="session")
def written() -> Callable[[str], tuple[Finding, ...]]:
    return findings_of


@pytest.fixture(scope="session")
def located(model: Model) -> Callable[..., Posterior]:
    """The posterior of findings in the short form; adults unless an age is given."""
    return lambda short, age_months=480: localise(model, findings_of(short), age_months)


@pytest.fixture(scope="session")
def ranked(model: Model) -> Callable[..., list[SiteKey]]:
    """The sites of findings in the short form, most probable first."""

    def rank(short: str, age_months: int | None = 480) -> list[SiteKey]:
        found = localise(model, findings_of(short), age_months).probability
        return [model.sites[i] for i in (-found).argsort(kind="stable")]

    return rank


def read_vignettes(folder: Path) -> Iterable[dict]:
    """The vignettes of a folder."""
    return [json.loads(path.read_text()) for path in sorted(folder.glob("*.json"))]
