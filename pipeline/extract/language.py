"""The spaCy pipeline of the extraction: a blank English one with components of our own.

No trained model. A ``Doc`` holds the atoms of a narration, ``doc.user_data`` their texts and
the breaks between lines and pauses; each component reads what stands there and adds its own
part: the mentions, then the utterances with the kind of talk of every atom.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence, Set
from functools import cache
from typing import Generic, TypeVar

import spacy
from spacy.language import Language
from spacy.matcher import PhraseMatcher
from spacy.tokens import Doc
from spacy.vocab import Vocab

from ...lexicon import Atom, load
from ...lexicon.cues import read_cues, read_markers
from ...lexicon.words import load_words
from .ellipsis import bare_motions, bare_walks, elliptic_places
from .gaps import MARKS
from .heard import parted
from .kinds import CueHit, Utterance, kinds_of, split_utterances
from .marks import Marked, missing_marks, with_marks, without
from .mentions import Mention, longest, mention_of, uncovered, with_contractions
from .numerals import levels, numbers

_MENTIONS = "plessor.mentions"
_UTTERANCES = "plessor.utterances"
_TEXTS = "plessor.texts"
_BREAKS = "plessor.breaks"
_SOFT = "plessor.soft"
#: Marker of wordings in which a side word names no side ("right away").
_NOT_SIDE = "not_side"


_Label = TypeVar("_Label")


class _Phrases(Generic[_Label]):
    """A phrase matcher that gives back the labels of the wordings found."""

    def __init__(
        self, vocab: Vocab, entries: Iterable[tuple[_Label, Iterable[tuple[str, ...]]]]
    ) -> None:
        by_form: dict[tuple[str, ...], list[_Label]] = defaultdict(list)
        for label, forms in entries:
            for form in forms:
                by_form[form].append(label)
        self._labels = list(by_form.values())
        self._matcher = PhraseMatcher(vocab, attr="ORTH")
        for number, form in enumerate(by_form):
            self._matcher.add(str(number), [Doc(vocab, words=list(form))])
        self._strings = vocab.strings

    def __call__(self, doc: Doc) -> list[tuple[int, int, list[_Label]]]:
        return [
            (start, end, self._labels[int(self._strings[key])])
            for key, start, end in self._matcher(doc)
        ]


@Language.factory("plessor_mentions", requires=["doc.user_data"], assigns=["doc.user_data"])
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
        self._touch = [t for t in lexicon.terms if t.code == "light_touch"]
        self._tests = {
            t.code: t for t in reversed(lexicon.terms) if t.kind == "modality" and t.scale is None
        }
        self._terms = _Phrases(nlp.vocab, with_contractions(lexicon.terms))
        self._markers = _Phrases(nlp.vocab, ((m.id, m.forms()) for m in read_markers().values()))

    def __call__(self, doc: Doc) -> Doc:
        """Add the mentions, in order, without overlaps."""
        texts: list[str] = doc.user_data[_TEXTS]
        whole = self._whole(doc, texts)
        ranges = levels(texts, self._vocabulary)
        motions = bare_motions(texts, [*whole, *ranges], self._movements)
        walks = bare_walks(texts, whole, self._tests)
        named = [
            *(m for m in whole if not any(w.start == m.start for w in walks)),
            *motions,
            *walks,
        ]
        graded = numbers(texts, uncovered([*named, *ranges], len(texts)))
        composed = [*ranges, *graded]
        covered = {i for m in composed for i in range(m.start, m.end)}
        kept = [m for m in named if not m.touches(covered)]
        ordered = sorted([*kept, *composed], key=lambda m: (m.start, m.end))
        doc.user_data[_MENTIONS] = elliptic_places(texts, ordered, self._places)
        return doc

    def _whole(self, doc: Doc, texts: Sequence[str]) -> list[Mention]:
        """The terms and markers that stand in the words as a list holds them."""
        terms = {(start, end): labels for start, end, labels in self._terms(doc)}
        markers = {(start, end): labels for start, end, labels in self._markers(doc)}
        not_side = {i for span, ids in markers.items() if _NOT_SIDE in ids for i in range(*span)}
        steering = {span for span, ids in markers.items() if any(i != _NOT_SIDE for i in ids)}
        found: list[Mention] = []
        for start, end in longest([*terms, *steering]):
            own = terms.get((start, end), [])
            # a bare word of the trade that steers as well ("the other side") steers
            trade = all(t.kind == "trade" for t in own)
            if trade and (start, end) in steering:
                found += (Mention("marker", start, end, marker=m) for m in markers[start, end])
                continue
            mention = mention_of(own, start, end, tuple(texts[start:end]))
            if mention.sort == "side" and _is_no_side(texts, mention, not_side):
                continue
            if mention.sort == "side" and _is_touch(texts, mention):
                mention = mention_of(self._touch, start, end, ("lt",))
            found.append(mention)
        return found


def _is_touch(texts: Sequence[str], side: Mention) -> bool:
    """ "Decreased LT L arm": light touch, not the left."""
    if texts[side.start] != "lt" or side.end - side.start > 1:
        return False
    words, after = load_words(), texts[side.end : side.end + 1]
    before = texts[side.start - 1] if side.start else ""
    graded = before in words.before_touch and (
        not after or not after[0].isalpha() or after[0] in words.prepositions
    )
    return graded or (bool(after) and after[0] in words.side_of_word)


def _is_no_side(texts: Sequence[str], side: Mention, not_side: Set[int]) -> bool:
    """Whether a side word stands in a wording that names no side ("right away").

    "On the right in both" names one whatever follows, and so does "the right-sided ones".
    """
    if side.end - side.start > 1 or not side.touches(not_side):
        return False
    led = texts[max(side.start - 2, 0) : side.start]
    words = load_words()
    after = side.end not in not_side or texts[side.end] in words.prepositions | words.openers
    return not (led in (["on", "the"], ["at", "the"]) and after)


@Language.factory("plessor_utterances", requires=["doc.user_data"], assigns=["doc.user_data"])
class UtteranceFinder:
    """Splits the atoms into utterances and tells the kind of talk of every atom."""

    def __init__(self, nlp: Language, name: str):
        self._cues = _Phrases(nlp.vocab, ((c, c.forms()) for c in read_cues()))

    def __call__(self, doc: Doc) -> Doc:
        """Add the utterances."""
        texts: list[str] = doc.user_data[_TEXTS]
        mentions: list[Mention] = doc.user_data[_MENTIONS]
        hits = self.hits(doc)
        breaks, soft = doc.user_data[_BREAKS], doc.user_data[_SOFT]
        spans = split_utterances(texts, mentions, breaks, hits)
        doc.user_data[_UTTERANCES] = kinds_of(texts, mentions, spans, hits, breaks, soft)
        return doc

    def hits(self, doc: Doc) -> list[CueHit]:
        """The cues that stand in the words."""
        return [CueHit(cue, start, end) for start, end, cues in self._cues(doc) for cue in cues]


def _doc(nlp: Language, marked: Marked) -> Doc:
    texts = [a.text for a in marked.atoms]
    doc = Doc(nlp.vocab, words=texts)
    doc.user_data[_TEXTS] = texts
    doc.user_data[_BREAKS] = marked.breaks
    doc.user_data[_SOFT] = marked.soft
    return doc


def cues_at(hits: Iterable[CueHit]) -> dict[int, str]:
    """The kinds of talk whose cues begin at an atom; "!" follows one that must open a clause."""
    found: dict[int, set[str]] = defaultdict(set)
    for hit in hits:
        found[hit.start].add(hit.cue.kind + ("" if hit.cue.at == "anywhere" else "!"))
    return {start: "+".join(sorted(kinds)) for start, kinds in found.items()}


@cache
def language() -> Language:
    """The pipeline, built once."""
    nlp = spacy.blank("en")
    nlp.add_pipe("plessor_mentions")
    nlp.add_pipe("plessor_utterances")
    return nlp


def found_in(texts: Sequence[str]) -> tuple[list[Mention], dict[int, str]]:
    """The mentions of some atoms, and the kinds of talk whose cues begin at each."""
    nlp = language()
    find, split = _finders(nlp)
    atoms = tuple(Atom(text, i) for i, text in enumerate(texts))
    doc = find(_doc(nlp, Marked(atoms, frozenset(), frozenset())))
    return doc.user_data[_MENTIONS], cues_at(split.hits(doc))


def _finders(nlp: Language) -> tuple[MentionFinder, UtteranceFinder]:
    find, split = (component for _, component in nlp.pipeline)
    assert isinstance(find, MentionFinder) and isinstance(split, UtteranceFinder)
    return find, split


def closed(marked: Marked, own: Sequence[Mention]) -> Marked:
    """Recognised speech, of mentions ``own``, without marks in the midst of a term or a grade."""
    texts = [a.text for a in marked.atoms]
    kept = [i for i, text in enumerate(texts) if text not in MARKS]
    if len(kept) == len(texts):
        return marked
    joined, _ = found_in([texts[i] for i in kept])
    dropped = parted(texts, marked.breaks, kept, joined, own)
    return without(marked, dropped) if dropped else marked


def analyse(
    atoms: Sequence[Atom], breaks: Collection[int], sure: Sequence[float] | None = None
) -> tuple[tuple[Atom, ...], list[Utterance]]:
    """The utterances of a narration with their mentions and kinds, and the atoms they are of.

    ``breaks`` are numbers of atoms before which the speaker paused or a line ended. ``sure``:
    how sure the recogniser was of each word (logarithm of its probability), None for a text.
    The atoms given back hold the marks that the words call for and nobody wrote, and of
    recognised speech not those that the words speak against.
    """
    nlp = language()
    find, split = _finders(nlp)
    marked = Marked(tuple(atoms), frozenset(breaks), frozenset())
    doc = find(_doc(nlp, marked))
    if sure is not None:
        whole = closed(marked, doc.user_data[_MENTIONS])
        doc = doc if whole is marked else find(_doc(nlp, whole))
        marked = whole
    begun = cues_at(split.hits(doc))
    own = None if sure is None else [sure[a.word] for a in marked.atoms]
    mentions = doc.user_data[_MENTIONS]
    missing = missing_marks(doc.user_data[_TEXTS], mentions, begun, marked.breaks, own)
    if missing:
        marked = with_marks(marked.atoms, marked.breaks, missing)
        doc = find(_doc(nlp, marked))
    utterances: list[Utterance] = split(doc).user_data[_UTTERANCES]
    return marked.atoms, utterances
