"""What a message says of one source or of several: a name, numbers in any order, and what goes with them."""

from collections.abc import Sequence

from ..vocabulary.headings import Field
from ..vocabulary.kinds import kind_of
from ..vocabulary.spoken import (
    BEHIND,
    CLAUSES,
    DESCRIPTIONS,
    GREEN,
    LINKS,
    MAGENTA,
    MODIFIERS,
    NOT_COUNTED,
    NOT_LIGHT,
    ROLES,
    STATES,
)
from .aside import aside_at
from .beside import goes_with, remarks_on_duv, through
from .guesses import by_label, by_value, says_again
from .spoken import TWO_READINGS, Spoken, named
from .states import is_head, state_at
from .token import Token, TokenKind
from .values import begins_colour, by_unit, doubles, may_follow

_HARD = frozenset(",;|/·→.!?")
_ENDS = frozenset(".!?")
_LONGEST_LATE_NAME = 3


def parse(text: str, found: Sequence[Token]) -> list[Spoken]:
    """Read the tokens of a message from left to right."""
    return _Parser(text, found).run()


class _Parser:
    def __init__(self, text: str, found: Sequence[Token]) -> None:
        self.text, self.tokens, self.at = text, found, 0
        self.out: list[Spoken] = []
        self.now = Spoken()
        self.label: Token | None = None
        self.parted, self.ended = True, False
        self.later = [False] * (len(found) + 1)
        for i in range(len(found) - 1, -1, -1):
            self.later[i] = self.later[i + 1] or begins_colour(found[i])

    def run(self) -> list[Spoken]:
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            if (self.now.empty or self.now.coloured) and self._take_state():
                continue
            if token.kind is TokenKind.MARK and token.text == "(" and self._take_aside():
                continue
            if token.kind is TokenKind.MARK:
                self.parted = self.parted or token.text in _HARD
                self.ended = self.ended or token.text in _ENDS
            elif token.kind is TokenKind.LABEL:
                self._take_label(token)
            elif token.kind is TokenKind.GEL:
                self._take_gel(token)
            elif token.kind is TokenKind.NUMBER:
                self._take_number(token)
            elif token.kind is TokenKind.FILLER:
                self._take_filler(token)
            else:
                self._take_word(token)
            self.at += 1
        self._finish()
        return self.out

    def _finish(self) -> None:
        if self.now.groups or self.now.cells or self.now.rest:
            spoken = named(self.now, self.text)
            if spoken.goes_on and not spoken.name and self.out:
                spoken.name = self.out[-1].name
            self.out.append(spoken)
        self.now, self.label, self.parted, self.ended = Spoken(), None, True, False

    def _take_state(self) -> bool:
        """Take words for another reading of a source: "bare", "with 1/2 CTB", "same at 50 %"."""
        if (
            self.now.coloured
            and not self.parted
            and self.tokens[self.at].text.casefold() not in STATES | BEHIND
        ):
            return False
        state = state_at(self.tokens, self.at)
        if state is None or state.is_another(self.now):
            return False
        if self.now.coloured:
            was = any(token.text.casefold() in ("was", "were") for token in self.tokens[: self.at])
            unclear = TWO_READINGS if was else ""
            self.now.bad = self.now.bad or unclear
            self._finish()
            self.now.bad = unclear
        self.now.goes_on = self.now.goes_on or not self.now.groups
        state.put_into(self.now, self.text)
        self._without_told_label()
        self.at += state.count
        self.parted = False
        return True

    def _take_aside(self) -> bool:
        """Take what brackets behind a name say of kind, level, modifier and gel: "Key (LED, dish): "."""
        if not self.now.empty or not self.now.groups:
            return False
        count = aside_at(self.tokens, self.at, self.now)
        self._without_told_label()
        self.at += count
        return count > 0

    def _without_told_label(self) -> None:
        if self.label is not None and self.label.field in self.now.cells:
            self.label = None  # "on dimmer (60 %)"

    def _take_label(self, token: Token) -> None:
        if self.label is not None:
            self.now.rest.append(self.label)
        following = self._following()
        if token.field in self.now.cells and not may_follow(token, following):
            return  # it stands behind its number: "+0.004 Duv"
        if token.field in self.now.cells and not self.now.empty:
            self._finish()
        self.label = token

    def _take_gel(self, token: Token) -> None:
        following = self._following()
        on = following is not None and following.text.casefold() in ("on", "over", "in")
        if self.now.empty and (self.now.groups or on) and self.later[self.at + 1]:
            self.now.gels.append(token.text)
            self.parted = self.parted or not self.now.groups
        elif self.now.empty:
            self._add_name(token)
        else:
            self.now.gels.append(token.text)

    def _take_filler(self, token: Token) -> None:
        following = self._following()
        numbered = following is not None and following.bare and following.values < (100.0,)
        if self.now.empty and not self.now.groups and numbered:
            self._add_name(token)  # "Reading 1"
        # Within a name they belong to it: "lamp on the table". At its ends they are cut off.
        elif self.now.empty and self.now.groups and not self.parted:
            self.now.groups[-1].append(token)

    def _take_word(self, token: Token) -> None:
        if token.text.casefold() in NOT_LIGHT and self._next_is_bare():
            self.now.rest += [token, self.tokens[self.at + 1]]
            self.at += 1
        elif token.text == "FL" and self.at and self.tokens[self.at - 1].text == "@":
            self.now.cells[Field.LEVEL] = "full"  # "ch 21 @ FL", as a desk writes it
        elif self.now.empty and self.now.groups and (count := through(self.tokens, self.at, self.now)):
            self.at += count - 1
        elif self._waits_for_name():
            self._add_name(token)  # "1240 lux on the key, 5480"
        elif self.now.empty:
            if self.parted and not self.now.groups:
                self.now.rest.clear()  # "ISO 800, key 5510"
            self._add_name(token)
        elif self.parted and self.now.coloured and self._colour_is_next():
            self._finish()
            self._add_name(token)  # "…, lantern 2810": it is no modifier
        elif (
            not self.ended
            and remarks_on_duv(self.tokens, self.at, self.now)
            and not through(self.tokens, self.at, self.now)
        ):
            if not self._describes(token) and token.text.casefold() not in LINKS:
                self.now.remarks.append(token.text)
        elif count := goes_with(
            self.tokens, self.at, self.now, later=self.later[self.at + 1], parted=self.parted
        ):
            self.at += count - 1
        elif self.later[self.at + 1] and not self._describes(token):
            self._finish()
            self._add_name(token)
        else:
            self._late(token)

    def _colour_is_next(self) -> bool:
        following = self._following()
        return following is not None and following.kind is TokenKind.NUMBER and begins_colour(following)

    def _waits_for_name(self) -> bool:
        """Whether light was said and neither a name nor a colour, and a colour follows."""
        light = bool(self.now.cells) and set(self.now.cells) <= {Field.LUX}
        return (
            light
            and not self.now.rest
            and len(self.now.groups) < 2
            and self.later[self.at + 1]
            and (not self.now.groups or not self.parted)
        )

    def _add_name(self, token: Token) -> None:
        if self.ended and self.now.empty:
            self.now.groups.clear()  # a sentence of talk before
        self.ended = False
        if self.parted or not self.now.groups:
            self.now.groups.append([])
        self.now.groups[-1].append(token)
        self.parted = False

    def _late(self, token: Token) -> None:
        """Take a word behind the numbers: the name, if it has none and the word stands close, else a note."""
        if token.text[:1].isdigit():
            self.now.bad = self.now.bad or f"it is not clear what {token.text!r} is"
            return
        role = token.text.casefold() in ROLES and not self.now.groups
        close = (role or not self.parted) and (self.now.late or not self.now.groups)
        if close and not self.now.rest and not self._describes(token):
            self.now.late, self.parted = True, False
            if not self.now.groups:
                self.now.groups.append([])
            if len(self.now.groups[-1]) < _LONGEST_LATE_NAME:
                self.now.groups[-1].append(token)
                return
        if not self.now.groups and (self.parted or not self._describes(token)):
            self.now.bad = self.now.bad or f"it is not clear what {token.text!r} says"
        self.now.rest.append(token)

    def _describes(self, token: Token) -> bool:
        return token.text.casefold() in DESCRIPTIONS or token.text.casefold() in GREEN | MAGENTA

    def _following(self, ahead: int = 1) -> Token | None:
        at = self.at + ahead
        return self.tokens[at] if at < len(self.tokens) else None

    def _next_is_bare(self) -> bool:
        following = self._following()
        return following is not None and following.bare

    def _take_number(self, token: Token) -> None:
        if self.now.empty and not self.now.groups and is_head(self.tokens, self.at):
            self._add_name(token)
            return
        pair = (
            by_label(self.label, token)
            or by_unit(token)
            or by_value(self.tokens, self.at, self.now, self.parted)
        )
        if pair is None:
            self._name_or_bad(token)
            return
        named, text = pair
        if says_again(self.now, named, text):
            return
        if named in self.now.cells or (doubles(named) & set(self.now.cells)):
            if named is Field.CCT or self.label is not None:
                self._finish()
            else:
                self.now.bad = self.now.bad or f"{token.text!r} stands beside another {named}"
                return
        if named is Field.CC and self.now.scaled and self._counts_something():
            self.now.bad = self.now.bad or f"it is not clear what {token.text!r} counts"
        self.now.cells[named] = text
        self.label = None
        self.parted = False

    def _counts_something(self) -> bool:
        """Whether a noun follows a whole number: "plus 4 rolls" is no Duv."""
        following = self._following()
        if following is None or following.kind is not TokenKind.WORD or self.later[self.at + 1]:
            return False
        behind = self._following(2)
        if following.text.casefold() in LINKS and behind is not None and behind.kind is TokenKind.LABEL:
            return False  # "-1 de Duv"
        between = self.text[self.tokens[self.at].end : following.start]
        if any(mark in between for mark in ".,;!?"):
            return False
        word = following.text.casefold()
        if word in CLAUSES or word in NOT_COUNTED:
            return False  # "+5 for sure"
        return word not in ROLES | DESCRIPTIONS | STATES | BEHIND | MODIFIERS and kind_of(word) is None

    def _name_or_bad(self, token: Token) -> None:
        following = self._following()
        if token.unit == "tolerance":
            return
        if token.unit == "unclear":
            self.now.bad = self.now.bad or f"it is not clear what {token.text!r} is"
            return
        if token.unit == "other" and self.now.empty and not self.now.groups:
            self.now.rest.append(token)  # "T2.8, key 5510"
        elif token.unit and token.unit not in ("other",) and not self.now.empty:
            self.now.rest.append(token)
        elif self.now.empty and token.values is not None and self._within_name(token, following):
            self._add_name(token)
        elif token.unit and not self.now.empty:
            self.now.rest.append(token)
        else:
            self.now.bad = self.now.bad or f"it is not clear what {token.text!r} is"

    def _within_name(self, token: Token, following: Token | None) -> bool:
        if self.now.groups and not self.parted:
            return True
        return following is not None and following.kind is TokenKind.WORD and token.end >= following.start - 1
