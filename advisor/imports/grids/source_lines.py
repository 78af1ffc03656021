"""The lines of a text, each with its number there, whatever the text was before it became lines."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..text.drawn import with_corners, with_pipes, without_quotes
from ..text.plain import plain
from ..vocabulary.headings import MEASURED, understand_each

_LONGEST_HEADING = 40
_DRAWN = re.compile(r"^[^\S\n]*[>|]|\s[^\w\s]{1,2}\s", re.MULTILINE)
"""What a table that is drawn with other signs than usual has: one in front, or some between its cells.

What stands in front is looked for line by line: else empty lines are gone through again from each of them.
"""


@dataclass(frozen=True)
class SourceLines:
    """Lines in plain signs, as they were `shown`, and their `numbers` in the pasted text, from 1.

    `made` tells that they were made of JSON or a web page.
    """

    texts: list[str]
    shown: list[str]
    numbers: list[int]
    made: bool = False

    def __len__(self) -> int:
        return len(self.texts)

    @property
    def filled(self) -> int:
        """How many lines are not blank."""
        return sum(1 for text in self.texts if text and not text.isspace())


def lines_of(text: str) -> SourceLines:
    """Return the lines of a text as it stands."""
    shown = text.split("\n")
    texts = [_without_emphasis(t) for t in plain(text).split("\n")]
    if _DRAWN.search(text):
        texts = with_corners(with_pipes(without_quotes(texts), are_headings))
    return SourceLines(texts, shown, list(range(1, len(shown) + 1)))


def are_headings(cells: Sequence[str]) -> bool:
    """Whether cells are headings for measurements, and few are anything else."""
    if any(len(cell) > _LONGEST_HEADING for cell in cells):
        return False
    known = [heading.field for heading in understand_each(cells) if heading is not None]
    return len(known) > 1 and 2 * len(known) >= len(cells) and not MEASURED.isdisjoint(known)


def made(texts: Sequence[str], numbers: Sequence[int]) -> SourceLines:
    """Return lines that were made of something else, such as JSON; `numbers` are of the lines there."""
    return SourceLines([plain(t) for t in texts], list(texts), list(numbers), True)


def _without_emphasis(text: str) -> str:
    """Take off the stars, ticks and second bars by which markdown and wikis set words off."""
    if text.startswith("||") and text.rstrip().endswith("||"):
        text = re.sub(r"\|\|", "|", text)  # the headings of a wiki's table
    if "~~" in text:
        text = re.sub(r"~~[^~\n]{0,80}\d[^~\n]{0,80}~~", " ", text)  # a number that is struck out
    if "**" in text or "`" in text or "~~" in text:
        text = re.sub(r"\*\*|`|~~", "", text)
    if "|" in text and ("*" in text or "_" in text):
        text = re.sub(r"(?<=[|\s])([*_])([^*_|\n]{1,100})\1(?=[|\s])", r"\2", text)
    return text
