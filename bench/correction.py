"""What correction costs: words a second, and how the cost grows with the lexicon.

    python bench/correction.py [HEARD.jsonl]

HEARD.jsonl holds lines with ``words`` (text, start s, end s, probability); without it, the
heard texts of ``tests/pipeline/correct/heard.jsonl`` are taken. Prints words a second with the
lexicon as it is, cold (nothing remembered) and warm, the share of an hour of speech at 150
words a minute, and the ratio of the cost with 5,000 terms to that with 500, all measured in
this run. The larger lexicons are the real terms and made-up names beside them.
"""

from __future__ import annotations

import json
import random
import sys
import time
from collections.abc import Sequence
from pathlib import Path

from plessor.lexicon import Term, load
from plessor.pipeline.correct.correction import correct
from plessor.pipeline.correct.targets import Hearing, hearing
from plessor.pipeline.transcript import Transcript, from_heard

HEARD = Path(__file__).resolve().parent.parent / "tests/pipeline/correct/heard.jsonl"
_SYLLABLES = [
    "ba",
    "de",
    "fi",
    "go",
    "lu",
    "ma",
    "ne",
    "pi",
    "ro",
    "su",
    "ta",
    "ve",
    "xi",
    "zo",
    "cal",
    "der",
    "fen",
    "gor",
    "lat",
    "mel",
    "nis",
    "por",
    "ser",
]


def transcripts(path: Path) -> list[Transcript]:
    """The transcripts of a jsonl; words without numbers are given a second each."""
    out = []
    for line in path.read_text(encoding="utf-8").splitlines():
        one = json.loads(line)
        words = one.get("words") or [
            (w, float(i), i + 0.5, 0.8) for i, w in enumerate(one["heard"].split())
        ]
        out.append(from_heard([(w[0].strip(), w[1], w[2], w[3]) for w in words]))
    return out


def lexicon_of(count: int) -> Hearing:
    """A lexicon of ``count`` terms: real ones first, then made-up names of the same make."""
    rnd = random.Random(count)
    terms = list(load().terms)[:count]
    endings = ("itis", "algia", "opathy", "al reflex", "us muscle", "a sign", "ia", "osis")
    while len(terms) < count:
        name = "".join(rnd.choice(_SYLLABLES) for _ in range(rnd.randint(2, 4)))
        spoken = (name + rnd.choice(endings),)
        fields = dict.fromkeys(Term.__dataclass_fields__, "")
        fields.update(kind="trade", code=name, spoken=spoken, source="made up")  # type: ignore[arg-type]
        terms.append(Term(**fields))
    return hearing(terms)


def seconds(texts: Sequence[Transcript], knowledge: Hearing) -> float:
    """The processor time to correct all ``texts``, so that other work does not count."""
    begun = time.process_time()
    for text in texts:
        correct(text, knowledge=knowledge)
    return time.process_time() - begun


def main() -> None:
    """Print the figures."""
    texts = transcripts(Path(sys.argv[1]) if len(sys.argv) > 1 else HEARD)
    words = sum(len(t.words) for t in texts)
    known = hearing(load().terms)
    seconds(texts[:1], known)
    cold, warm = seconds(texts, known), seconds(texts, known)
    print(f"{len(load().terms)} terms, {len(known.index.targets)} targets, {words} words heard")
    print(f"cold {words / cold:,.0f} words/s, warm {words / warm:,.0f} words/s")
    print(f"an hour of speech (9,000 words) takes {9000 * cold / words:.2f} s")
    costs = {}
    for count in (500, 5000):
        knowledge = lexicon_of(count)
        costs[count] = seconds(texts, knowledge)
        print(f"{count} terms: {words / costs[count]:,.0f} words/s")
    print(f"cost with 5,000 terms against 500: {costs[5000] / costs[500]:.2f}")


if __name__ == "__main__":
    main()
