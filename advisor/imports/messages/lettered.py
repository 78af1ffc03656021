"""Names that end in a single small letter, "panel a" and "panel b": by themselves many of them are words."""

import re
from collections.abc import Sequence

JOINT = "\u02cd"
"""What holds such a letter to the word before it while a line is read."""
_LETTERED = re.compile(r"(?<![\w'’])([^\W\d_]{3,20})\s([a-h])(?=\s*[:,;=|]?\s*[-–—(]?\s*\d|\s*[:=|(])")
# "K 5590 F 5610": the first letter is a name as the others are.
_K_NAMED = re.compile(r"^[Kk](?=\s?[:=]?\s?\d{4}[^\n]{1,40}?[\s,;][A-JL-Za-jl-z]\s?[:=]?\s?\d{4})")
# "A 4310 +.004": before a CCT with its Duv, or where B comes behind it, it is no article.
_A_NAMED = re.compile(
    r"^A(?=\s?[:=]?\s?\d{4}(?:\s?K)?,?\s[+-]\s?[\d.]|\s?[:=]?\s?\d{4}[^\n]{0,40}?[\s,;|/]B\s?[:=]?\s?\d{4})"
)
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


def with_first_held(text: str) -> str:
    """Hold a letter that begins a line to itself where it names a source, as those behind it do."""
    return _A_NAMED.sub(rf"\g<0>{JOINT}", _K_NAMED.sub(rf"\g<0>{JOINT}", text))
