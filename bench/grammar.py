"""Says invented examinations: random sentences from a small grammar of the trade's formulas.

The sentences feed ``bench/phrases.py``, which counts how the trade's words follow one
another. The formulas are house knowledge of how examiners speak, not recordings.

    python bench/grammar.py 2000 SEED > sentences.txt
"""

from __future__ import annotations

import pathlib
import random
import re
import sys

#: From ``grammar.txt``. Each name stands for alternatives parted by ``|``; ``<name>`` is replaced.
RULES: dict[str, list[str]] = {
    name: alternatives.split("|")
    for name, _, alternatives in (
        line.partition(": ")
        for line in (pathlib.Path(__file__).with_suffix(".txt")).read_text().splitlines()
    )
}
_NAME = re.compile(r"<(\w+)>")


def sentence(rnd: random.Random) -> str:
    """One random sentence, spelled correctly, numbers as words."""
    text = "<S>"
    while found := _NAME.search(text):
        choice = rnd.choice(RULES[found[1]])
        text = text[: found.start()] + choice + text[found.end() :]
    return text[0].upper() + text[1:] + "."


def main() -> None:
    """Print sentences, about eight a line, as a dictation would run."""
    count, seed = int(sys.argv[1]), int(sys.argv[2])
    rnd = random.Random(seed)
    for _ in range(count):
        print(" ".join(sentence(rnd) for _ in range(rnd.randint(5, 9))))


if __name__ == "__main__":
    main()
