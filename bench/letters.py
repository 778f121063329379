"""Makes the sound tables: the pronouncing dictionary and the letter-to-sound rules.

Reads ``cmudict.dict`` of the CMU Pronouncing Dictionary and writes, below
``lexicon/data/sounds/``, ``dictionary.txt`` (a word and its one or two pronunciations, one
character a phoneme, stress dropped) and ``letters.txt`` (context, phonemes), the rules for
words that the dictionary lacks. The rules come from aligning letters with phonemes by
Viterbi training, each letter standing for zero to two phonemes; the longest context whose
prediction differs from that of the next shorter one is kept (at least three examples).

    python bench/letters.py PATH/TO/cmudict.dict
"""

from __future__ import annotations

import collections
import math
import pathlib
import random
import re
import sys

from plessor.pipeline.correct.phonemes import CODES, CONTEXTS, context

OUT = pathlib.Path(__file__).resolve().parent.parent / "lexicon/data/sounds"
Chunks = list[str]


def read(path: pathlib.Path) -> dict[str, list[str]]:
    """Words to their pronunciations in one-character phonemes, in order."""
    words: dict[str, list[str]] = collections.defaultdict(list)
    for line in path.read_text(encoding="latin-1").splitlines():
        word, *phones = line.split("#")[0].split()
        word = re.sub(r"\(\d+\)$", "", word)
        if re.fullmatch(r"[a-z]+(?:'[a-z]+)*", word):
            code = "".join(CODES[p.rstrip("012")] for p in phones)
            if code not in words[word] and len(words[word]) < 2:
                words[word].append(code)
    return dict(words)


def align(word: str, phones: str, cost: dict[tuple[str, str], float]) -> Chunks | None:
    """The cheapest split of ``phones`` into one chunk a letter, or None."""
    n, m = len(word), len(phones)
    best = [[math.inf] * (m + 1) for _ in range(n + 1)]
    back = [[0] * (m + 1) for _ in range(n + 1)]
    best[0][0] = 0.0
    for i, letter in enumerate(word):
        for j in range(max(0, m - 2 * (n - i)), min(m, 2 * i) + 1):
            if best[i][j] == math.inf:
                continue
            for size in (0, 1, 2):
                if j + size <= m:
                    c = best[i][j] + cost.get((letter, phones[j : j + size]), 12.0 + 2 * size)
                    if c < best[i + 1][j + size]:
                        best[i + 1][j + size], back[i + 1][j + size] = c, size
    if best[n][m] == math.inf:
        return None
    out: Chunks = []
    j = m
    for i in range(n, 0, -1):
        size = back[i][j]
        out.append(phones[j - size : j])
        j -= size
    return out[::-1]


def train(words: dict[str, list[str]], rounds: int = 4) -> dict[tuple[str, str], float]:
    """Costs (negative log probabilities) of a letter standing for a chunk of phonemes."""
    sample = random.Random(1).sample(sorted(words), 25_000)
    vowels = set("aeiouy")
    sounds = set("a@^cWYEReIioOUu")
    cost: dict[tuple[str, str], float] = {}
    for letter in "abcdefghijklmnopqrstuvwxyz":
        for sound in CODES.values():
            cost[letter, sound] = 3.0 if (letter in vowels) == (sound in sounds) else 8.0
        cost[letter, ""] = 5.0
    for _ in range(rounds):
        counts: collections.Counter[tuple[str, str]] = collections.Counter()
        totals: collections.Counter[str] = collections.Counter()
        for word in sample:
            if "'" in word:
                continue
            for letter, chunk in zip(word, align(word, words[word][0], cost) or (), strict=False):
                counts[letter, chunk] += 1
                totals[letter] += 1
        cost = {k: -math.log(n / totals[k[0]]) for k, n in counts.items() if n > 2}
    return cost


def rules(words: dict[str, list[str]], cost: dict[tuple[str, str], float]) -> dict[str, str]:
    """Context to chunk, longest contexts pruned where they add nothing."""
    tables: list[dict[str, collections.Counter[str]]] = [{} for _ in CONTEXTS]
    for word, found in words.items():
        chunks = None if "'" in word else align(word, found[0], cost)
        for i, chunk in enumerate(chunks or ()):
            for table, (left, right) in zip(tables, CONTEXTS, strict=True):
                table.setdefault(context(word, i, left, right), collections.Counter())[chunk] += 1
    kept: dict[str, str] = {}
    for k in range(len(CONTEXTS) - 1, -1, -1):  # shortest first
        for key, counter in tables[k].items():
            chunk, n = counter.most_common(1)[0]
            if k == len(CONTEXTS) - 1 or (n >= 3 and chunk != _shorter(kept, key, k)):
                kept[key] = chunk
    return kept


def _shorter(kept: dict[str, str], key: str, k: int) -> str | None:
    left, letter, right = key.split("|")
    for a, b in CONTEXTS[k + 1 :]:
        short = f"{left[len(left) - a :] if a else ''}|{letter}|{right[:b]}"
        if short in kept:
            return kept[short]
    return None


def main() -> None:
    """Write both tables and print how well the rules say words they did not see."""
    words = read(pathlib.Path(sys.argv[1]))
    OUT.mkdir(parents=True, exist_ok=True)
    (OUT / "dictionary.txt").write_text(
        "".join(f"{w} {' '.join(p)}\n" for w, p in sorted(words.items())), encoding="utf-8"
    )
    cost = train(words)
    held = set(random.Random(2).sample(sorted(words), 3000))
    from plessor.pipeline.correct.phonemes import spell_out

    trial = rules({w: p for w, p in words.items() if w not in held}, cost)
    right = sum(spell_out(w, trial) in words[w] for w in held if "'" not in w)
    print(f"unseen words said exactly right: {right / len(held):.3f}")
    table = rules(words, cost)
    (OUT / "letters.txt").write_text(
        "".join(f"{k}\t{v}\n" for k, v in sorted(table.items())), encoding="utf-8"
    )
    print(f"{len(words)} words, {len(table)} rules")


if __name__ == "__main__":
    main()
