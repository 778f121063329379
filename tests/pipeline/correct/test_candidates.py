"""What a stretch of heard words could have been."""

from __future__ import annotations

import pytest
from plessor.pipeline.correct.candidates import Index, Target, said
from plessor.pipeline.correct.distance import distance

WORDS = (
    "gait", "tone", "wrist", "clonus", "supinator", "plantar", "bilaterally", "proprioception",
    "knee", "ankle",
)  # fmt: skip


@pytest.fixture(scope="module")
def index() -> Index:
    return Index(Target((w,), way, w) for w in WORDS for way in said((w,)))


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("gate", "gait"),
        ("risk", "wrist"),
        ("by literally", "bilaterally"),
        ("per preoception", "proprioception"),
        ("supernater", "supinator"),
    ],
)
def test_search_finds_what_was_meant_first(index: Index, heard: str, meant: str) -> None:
    (way, *_) = said(heard.split())
    assert index.search([way])[way][0].target.term == meant


def test_search_gives_the_distance_of_each_candidate(index: Index) -> None:
    windows = [said(w.split())[0] for w in ("gate", "cloneness", "uncle", "need", "planters")]
    found = index.search(windows)
    for window in windows:
        for c in found[window]:
            assert c.distance == pytest.approx(distance(window, c.target.phones), abs=1e-5)


def test_search_misses_none_that_comparing_all_would_find(index: Index) -> None:
    """The slow obvious twin: every target compared, near ones kept."""
    for heard in ("gate", "plan to", "knees", "ankles", "tome", "super nature"):
        (way, *_) = said(heard.split())
        near = {t.term for t in index.targets if distance(way, t.phones) <= 1.0}
        assert near <= {c.target.term for c in index.search([way])[way]}


def test_search_of_nothing_finds_nothing(index: Index) -> None:
    assert not Index([Target(("gait",), "get", "gait")]).search([])


def test_index_does_not_depend_on_the_order_of_its_targets() -> None:
    """Sets have another order in every run; the same words must come out all the same."""
    targets = [Target((w,), way, w) for w in WORDS for way in said((w,))]
    assert Index(targets).targets == Index(reversed(targets)).targets
