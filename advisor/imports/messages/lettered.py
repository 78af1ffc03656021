"""Names that end in a single small letter, "panel a" and "panel b": by themselves many of them are words."""

import re
from collections.abc import Sequence

JOINT = "\u02cd"
"""What holds such a letter to the word before it while a line is read."""
_LETTERED = re.compile(r"(?<![\w'’])([^\W\d_]{3,20})\s([a-h])(?=\s*[:,;=|]?\s*[-–—(]?\s*\d|\s*[:=|(])")
_MOST = 2_000


def lettered_in(lines: Sequence[str]) -> frozenset[str]:
    """Return the words, in lower case, behind which two or more different letters stand: a and another."""
    letters: dict[str, set[str]] = {}
    for line in lines[:_MOST]:
        for found in _LETTERED.finditer(line[:500]):
            letters.setdefault(found[1].casefold(), set()).add(found[2])
    return frozenset(word for word, said in letters.items() if "a" in said and len(said) > 1)


def with_letters_held(text: str, words: frozenset[str]) -> str:
    """Hold the letters to those words, so that none is read as a word of its own."""
    if not words:
        return text

    def held(found: re.Match[str]) -> str:
        return f"{found[1]}{JOINT}{found[2]}" if found[1].casefold() in words else found[0]

    return _LETTERED.sub(held, text)
