"""The spaCy pipeline of the extraction: a blank English one with components of our own.

No trained model. A ``Doc`` holds the atoms of a narration; each component reads what the
one before it left in ``doc.user_data`` and adds its own part: ``mentions``, then
``utterances`` with the kind of talk of every atom.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cache

import spacy
from spacy.language import Language
from spacy.matcher import PhraseMatcher
from spacy.tokens import Doc
from spacy.vocab import Vocab

from ...lexicon import Atom, Term, load
from ...lexicon.cues import Cue, read_cues, read_markers
from .kinds import CueHit, Utterance, kinds_of, split_utterances
from .mentions import Mention, bare_motions, elliptic_places, levels, longest, mention_of, numbers

_MENTIONS = "plessor.mentions"
_UTTERANCES = "plessor.utterances"
_ATOMS = "plessor.atoms"
_BREAKS = "plessor.breaks"


class _Phrases:
    """A phrase matcher whose keys are numbers of a list of labels."""

    def __init__(self, vocab: Vocab, entries: Iterable[tuple[object, Iterable[tuple[str, ...]]]]):
        by_form: dict[tuple[str, ...], list[object]] = defaultdict(list)
        for label, forms in entries:
            for form in forms:
                by_form[form].append(label)
        self._labels = list(by_form.values())
        self._matcher = PhraseMatcher(vocab, attr="ORTH")
        for number, form in enumerate(by_form):
            self._matcher.add(str(number), [Doc(vocab, words=list(form))])
        self._strings = vocab.strings

    def __call__(self, doc: Doc) -> list[tuple[int, int, list[object]]]:
        return [
            (start, end, self._labels[int(self._strings[key])])
            for key, start, end in self._matcher(doc)
        ]


@Language.factory("plessor_mentions", assigns=["doc.user_data"])
class MentionFinder:
    """Finds targets, places, sides, grades, levels and markers."""

    def __init__(self, nlp: Language, name: str):
        lexicon = load()
        self._vocabulary = lexicon.vocabulary
        self._movements = {
            t.code: t
            for t in lexicon.terms
            if t.kind == "segment" and t.code in lexicon.vocabulary.segments["movement"]
        }
        self._places = {t.code: t for t in lexicon.terms if t.kind == "segment"}
        self._terms = _Phrases(nlp.vocab, ((t, t.forms) for t in lexicon.terms))
        self._markers = _Phrases(nlp.vocab, ((m.id, m.forms()) for m in read_markers().values()))

    def __call__(self, doc: Doc) -> Doc:
        """Add the mentions, in order, without overlaps."""
        texts = [t.text for t in doc]
        terms: dict[tuple[int, int], list[Term]] = {}
        for start, end, labels in self._terms(doc):
            terms[start, end] = [t for t in labels if isinstance(t, Term)]
        markers: dict[tuple[int, int], list[str]] = {}
        for start, end, labels in self._markers(doc):
            markers[start, end] = [str(m) for m in labels]
        found: list[Mention] = []
        taken = [False] * len(texts)
        not_side = {i for (a, b), ids in markers.items() if "not_side" in ids for i in range(a, b)}
        level_mentions = levels(texts, self._vocabulary)
        for start, end in longest([*terms, *(s for s, ids in markers.items() if _steers(ids))]):
            steering = _steers(markers.get((start, end), ()))
            if (start, end) in terms and not (steering and _only_trade(terms[start, end])):
                found.append(mention_of(terms[start, end], start, end, tuple(texts[start:end])))
            else:
                found.extend(Mention("marker", start, end, marker=m) for m in markers[start, end])
            taken[start:end] = [True] * (end - start)
        found = [
            m for m in found if not (m.sort == "side" and set(range(m.start, m.end)) & not_side)
        ]
        for mention in level_mentions:
            taken[mention.start : mention.end] = [True] * (mention.end - mention.start)
        motions = bare_motions(texts, [*found, *level_mentions], self._movements)
        for mention in motions:
            taken[mention.start : mention.end] = [True] * (mention.end - mention.start)
        found += motions
        number_mentions = numbers(texts, [not t for t in taken])
        composed = [*level_mentions, *number_mentions]
        covered = {i for m in composed for i in range(m.start, m.end)}
        kept = [m for m in found if not set(range(m.start, m.end)) & covered]
        ordered = sorted([*kept, *composed], key=lambda m: (m.start, m.end))
        doc.user_data[_MENTIONS] = elliptic_places(texts, ordered, self._places)
        return doc


def _only_trade(terms: Sequence[Term]) -> bool:
    return all(t.kind == "trade" for t in terms)


def _steers(ids: Sequence[str]) -> bool:
    return any(i != "not_side" for i in ids)


@Language.factory("plessor_utterances", requires=["doc.user_data"], assigns=["doc.user_data"])
class UtteranceFinder:
    """Splits the atoms into utterances and tells the kind of talk of every atom."""

    def __init__(self, nlp: Language, name: str):
        self._cues = _Phrases(nlp.vocab, ((c, c.forms()) for c in read_cues()))

    def __call__(self, doc: Doc) -> Doc:
        """Add the utterances."""
        texts = [t.text for t in doc]
        mentions: list[Mention] = doc.user_data[_MENTIONS]
        hits = [
            CueHit(cue, start, end)
            for start, end, labels in self._cues(doc)
            for cue in labels
            if isinstance(cue, Cue)
        ]
        spans = split_utterances(texts, mentions, doc.user_data[_BREAKS], hits)
        doc.user_data[_UTTERANCES] = kinds_of(texts, mentions, spans, hits, doc.user_data[_BREAKS])
        return doc


@cache
def language() -> Language:
    """The pipeline, built once."""
    nlp = spacy.blank("en")
    nlp.add_pipe("plessor_mentions")
    nlp.add_pipe("plessor_utterances")
    return nlp


def analyse(atoms: Sequence[Atom], breaks: Sequence[int]) -> list[Utterance]:
    """The utterances of a narration with their mentions and kinds.

    ``breaks`` are numbers of atoms before which the speaker paused or a line ended.
    """
    nlp = language()
    doc = Doc(nlp.vocab, words=[a.text for a in atoms])
    doc.user_data[_BREAKS] = frozenset(breaks)
    for _, component in nlp.pipeline:
        doc = component(doc)
    utterances: list[Utterance] = doc.user_data[_UTTERANCES]
    return utterances
