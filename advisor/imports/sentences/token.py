"""A piece of a message: a number with its unit, a label, a word, a gel, or what parts them."""

from dataclasses import dataclass
from enum import StrEnum

from ..vocabulary.headings import Field


class TokenKind(StrEnum):
    """What a token is."""

    NUMBER = "number"
    LABEL = "label"
    WORD = "word"
    GEL = "gel"
    FILLER = "filler"
    MARK = "mark"


@dataclass(frozen=True)
class Token:
    """A piece of a message, `text` as it stands there, at `start` to `end`.

    A number has its `values` (two where its mark can be read in two ways) and its `unit`, in lower case but
    for K, G and M; `signed` tells that its sign is written. A label has its `field`.
    """

    kind: TokenKind
    text: str
    start: int
    end: int
    values: tuple[float, ...] = ()
    unit: str = ""
    signed: bool = False
    field: Field | None = None

    @property
    def bare(self) -> bool:
        """Whether it is a number without a unit."""
        return self.kind is TokenKind.NUMBER and not self.unit
