"""How a source stood when it was read again: "bare", "with 1/2 CTB", "same at 50 %", "after warm-up"."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from ..vocabulary.headings import Field
from ..vocabulary.spoken import ALONE, BEHIND, BETWEEN_STATES, MODIFIERS, ROLES, STATES, TELLING
from .spoken import Spoken
from .token import Token, TokenKind
from .values import PERCENT, begins_colour

_LONGEST = 12
_OPENING = frozenset(":=→>-–—()")
_KILOWATTS = frozenset((float(k),) for k in (1, 2, 4, 5, 6, 9, 10, 12, 18, 20, 24))
_WITHOUT = frozenset({"without", "ohne", "sans", "sin", "senza", "sem", "zonder", "bez", "utan"})
_TIMES = frozenset({"min", "mins", "minutes", "minute", "hour", "hours", "hrs", "h", "s", "sec", "secs"})


@dataclass
class Stood:
    """What `count` tokens before a colour say of how its source stood; `words` are those worth a note."""

    count: int = 0
    gels: list[Token] = field(default_factory=list)
    level: Token | None = None
    share: str = ""
    modifier: str = ""
    words: list[Token] = field(default_factory=list)
    begins: bool = False
    """Whether its first word parts it from what stands before."""

    def is_another(self, spoken: Spoken) -> bool:
        """Whether it is another source and no modifier of the one before: "dish 5580, bounce 5600"."""
        other = self.count == 1 and self.modifier.casefold() in ALONE and spoken.coloured
        return other and Field.MODIFIER not in spoken.cells and not spoken.goes_on

    def put_into(self, spoken: Spoken, text: str) -> None:
        """Note in what is said of a source how it stood; `text` is the message."""
        spoken.gels += [gel.text for gel in self.gels]
        if self.level is not None:
            spoken.cells[Field.LEVEL] = f"{self.level.text} %"
            spoken.level_said = bool(self.level.unit)
        if self.modifier:
            spoken.cells[Field.MODIFIER] = self.modifier
        if self.share:
            spoken.cells[Field.LEVEL] = self.share
        order = {"after", "before"} if self.gels else set[str]()
        if any(word.text.casefold() in TELLING - order for word in self.words):
            spoken.remarks.append(text[self.words[0].start : self.words[-1].end])


def state_at(tokens: Sequence[Token], at: int) -> Stood | None:
    """Return what the tokens from `at` say of a source named before; None where they say no such thing.

    A colour must follow, with no other word between: "bare 3200" is a state, "bare bulb 2700" a name.
    """
    if at and len(tokens[at].text) == 1 and tokens[at].text.isupper():
        return None  # "panel A: 100 %"
    if at and tokens[at].text.casefold() in ROLES and tokens[at - 1].kind is TokenKind.WORD:
        return None  # "table lamp at 25 %"
    state = Stood(begins=tokens[at].text.casefold() in STATES | BEHIND)
    said = False
    for i in range(at, min(at + _LONGEST, len(tokens))):
        token = tokens[i]
        word = token.text.casefold()
        before = tokens[i - 1] if i > at else None
        if begins_colour(token) and not _numbered(tokens, i):
            state.count = i - at
            return state if said and state.count else None
        if token.kind is TokenKind.GEL:
            state.gels.append(token)
        elif token.kind is TokenKind.NUMBER and _is_level(token, before):
            if state.level is not None:
                return None
            state.level = token
        elif token.kind is TokenKind.NUMBER and (token.unit in _TIMES or _numbered(tokens, i)):
            state.words.append(token)
            continue
        elif word in ("full", "half") and state.level is None and not state.share and not state.gels:
            state.share = "50 %" if word == "half" else "full"
        elif word in MODIFIERS and before is not None and before.text.casefold() in _WITHOUT:
            state.words.append(token)
        elif word in MODIFIERS and not state.modifier and _is_parted(tokens, i):
            state.modifier = token.text
        elif word in STATES:
            state.words.append(token)
        elif (
            word in BETWEEN_STATES
            or word in _TIMES
            or (token.kind is TokenKind.MARK and _may_part(token, state))
        ):
            continue
        else:
            return None
        said = True
    return None


def is_head(tokens: Sequence[Token], at: int) -> bool:
    """Whether a number of kilowatts calls a head, "2k: 3180", "5K fresnel 3200": the CCT comes behind it."""
    token = tokens[at]
    if token.unit not in ("k", "K") or token.values not in _KILOWATTS:
        return False
    behind = next((t for t in tokens[at + 1 : at + _LONGEST] if t.kind is TokenKind.NUMBER), None)
    return behind is not None and begins_colour(behind) and behind.values[:1] >= (1000.0,)


def _may_part(mark: Token, state: Stood) -> bool:
    """Behind a gel or a level, a comma would leave open whether it belongs to what stands before."""
    return (
        mark.text in _OPENING
        or mark.text == "+"
        or (mark.text in ",&" and not state.gels and state.level is None)
    )


def _is_level(token: Token, before: Token | None) -> bool:
    if token.unit in PERCENT:
        return True
    at = before is not None and before.text.casefold() in ("at", "@", "bei", "à", "al", "a", "op", "przy")
    return token.bare and at and not token.signed and all(1 <= v <= 100 for v in token.values)


def _is_parted(tokens: Sequence[Token], at: int) -> bool:
    """Whether a modifier is none of a name's words: "through silk", "book light: muslin"."""
    before = tokens[at - 1] if at else None
    return before is not None and (before.kind is TokenKind.MARK or before.text.casefold() in BEHIND)


def _numbered(tokens: Sequence[Token], at: int) -> bool:
    """Whether a number counts minutes: "after 10 min"."""
    return at + 1 < len(tokens) and tokens[at].bare and tokens[at + 1].text.casefold() in _TIMES
