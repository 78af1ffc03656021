"""What a word of a line may be for: a name, a figure, a gel, a mark, or what says whether it was read."""

from dataclasses import dataclass
from enum import StrEnum

from ..vocabulary.headings import Field


class Is(StrEnum):
    """What an item is."""

    NAME = "name"
    FIGURE = "figure"
    GEL = "gel"
    PART = "part"
    END = "end"
    ALL = "all"
    DITTO = "ditto"
    WANTED = "wanted"
    TOLD = "told"
    NOT = "not"
    WORD = "word"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Item:
    """An item, and its words from `start` to `end` in the line.

    A figure has its `field` and its text. It is `mended` where a zero was put to it, or taken from it.

    A name is `lit` where a word in it means a light. It is `led` where "for" or the like stands before it,
    `article` where an article does. It is `told` where it says how another one looks, or what stands in
    front of that, and `points` where "that's" says that it is the name.
    """

    kind: Is
    text: str
    start: int
    end: int
    field: Field | None = None
    lit: bool = False
    led: bool = False
    told: bool = False
    points: bool = False
    article: bool = False
    mended: bool = False
    words: tuple[str, ...] = ()
