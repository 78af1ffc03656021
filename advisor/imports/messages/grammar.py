"""What a message says of one source or of several: a name, numbers in any order, and what goes with them."""

from collections.abc import Sequence

from ..vocabulary.headings import Field, understand
from ..vocabulary.kinds import kind_of
from ..vocabulary.spoken import DESCRIPTIONS, KIND_OF_KIND, MODIFIERS, NOT_LIGHT, ROLES
from .spoken import Spoken, named
from .tokens import Token, TokenKind
from .values import LUX_UNITS, PERCENT, Pair, begins_colour, by_unit, doubles, like_cct, like_duv, may_follow

_HARD = frozenset(",;|/·→")
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
        self.parted = True
        self.later = [False] * (len(found) + 1)
        for i in range(len(found) - 1, -1, -1):
            self.later[i] = self.later[i + 1] or begins_colour(found[i])

    def run(self) -> list[Spoken]:
        while self.at < len(self.tokens):
            token = self.tokens[self.at]
            if token.kind is TokenKind.MARK:
                self.parted = self.parted or token.text in _HARD
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
            self.out.append(named(self.now, self.text))
        self.now, self.label, self.parted = Spoken(), None, True

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
        if self.now.empty and self.now.groups and self.later[self.at + 1]:
            self.now.gels.append(token.text)
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
        elif self.now.empty:
            self._add_name(token)
        elif self._goes_with(token):
            pass
        elif self.later[self.at + 1] and not self._describes(token):
            self._finish()
            self._add_name(token)
        else:
            self._late(token)

    def _add_name(self, token: Token) -> None:
        if self.parted or not self.now.groups:
            self.now.groups.append([])
        self.now.groups[-1].append(token)
        self.parted = False

    def _late(self, token: Token) -> None:
        """Take a word behind the numbers: the name, if it has none and the word stands close, else a note."""
        role = token.text.casefold() in ROLES and not self.now.groups
        close = (role or not self.parted) and (self.now.late or not self.now.groups)
        if close and not self.now.rest and not self._describes(token):
            self.now.late, self.parted = True, False
            if not self.now.groups:
                self.now.groups.append([])
            if len(self.now.groups[-1]) < _LONGEST_LATE_NAME:
                self.now.groups[-1].append(token)
                return
        if not self.now.groups:
            self.now.bad = self.now.bad or f"it is not clear what {token.text!r} says"
        self.now.rest.append(token)

    def _describes(self, token: Token) -> bool:
        return token.text.casefold() in DESCRIPTIONS

    def _goes_with(self, token: Token) -> bool:
        """Take a word that says kind, level, modifier or bare; False for any other."""
        word = token.text.casefold()
        if word in ("bare", "nogel", "gel"):
            return True
        if word == "full" and Field.LEVEL not in self.now.cells:
            self.now.cells[Field.LEVEL] = "full"
            return True
        if word in MODIFIERS and Field.MODIFIER not in self.now.cells:
            self.now.cells[Field.MODIFIER] = token.text
            return True
        known = understand(token.text)
        if known is not None and known.field is Field.MODIFIER and Field.MODIFIER not in self.now.cells:
            words = self._words_behind()
            if words:
                self.now.cells[Field.MODIFIER] = " ".join(words)
                self.at += len(words)
                return True
        kind, said = kind_of(token.text), token.text
        following = self._following()
        if word in KIND_OF_KIND and following is not None and kind_of(following.text) is not None:
            self.at, kind, said = self.at + 1, kind_of(following.text), f"{token.text} {following.text}"
        if kind is not None and Field.KIND not in self.now.cells:
            following = self._following()
            # "tungsten fill 3190" is the next source, if the next word is no mark or number.
            if following is not None and following.kind is TokenKind.WORD and self.later[self.at + 1]:
                return False
            self.now.cells[Field.KIND] = said
            return True
        return False

    def _words_behind(self) -> list[str]:
        words = []
        for token in self.tokens[self.at + 1 : self.at + 5]:
            if token.kind is not TokenKind.WORD:
                break
            words.append(token.text)
        return words

    def _following(self, ahead: int = 1) -> Token | None:
        at = self.at + ahead
        return self.tokens[at] if at < len(self.tokens) else None

    def _next_is_bare(self) -> bool:
        following = self._following()
        return following is not None and following.bare

    def _take_number(self, token: Token) -> None:
        pair = self._by_label(token) or by_unit(token) or self._by_value(token)
        if pair is None:
            self._name_or_bad(token)
            return
        named, text = pair
        if named in self.now.cells or (doubles(named) & set(self.now.cells)):
            if named is Field.CCT or self.label is not None:
                self._finish()
            else:
                self.now.bad = self.now.bad or f"{token.text!r} stands beside another {named}"
                return
        self.now.cells[named] = text
        self.label = None
        self.parted = False

    def _by_label(self, token: Token) -> Pair | None:
        label = self.label
        if label is None or label.field is None:
            return None
        unit = by_unit(token)
        if (
            unit is not None
            and unit[0] is not label.field
            and not (token.unit in ("k", "K") and label.field is Field.DIAL_CCT)
        ):
            return None
        if label.field is Field.LEVEL and token.unit not in ("", *PERCENT):
            return None
        if token.unit in ("other", "tolerance"):
            return None
        if label.field is Field.LUX and not token.unit and label.text.casefold() in LUX_UNITS:
            return label.field, f"{token.text} {label.text}"
        if unit is not None and label.field is unit[0]:
            return unit
        return label.field, token.text

    def _by_value(self, token: Token) -> Pair | None:
        if not token.bare or self.now.rest:
            return None  # behind words that say something else, a number is not clear
        given, value = self.now.cells, token.values[0]
        if Field.DUV not in given and Field.CC not in given and like_duv(token):
            if abs(value) <= 0.05 and (token.signed or value or Field.CCT in given):
                return Field.DUV, token.text
            if token.signed and Field.CCT in given:
                return Field.CC, token.text
        cct = like_cct(token)
        if cct and (Field.CCT not in given or self._duv_follows()):
            if self._swallowed_by_name():
                return None
            return Field.CCT, token.text
        ready = Field.DUV in given or Field.CC in given or Field.Y in given
        if (
            ready
            and Field.LUX not in given
            and value > 0
            and not token.signed
            and not token.text.startswith("0")
        ):
            return Field.LUX, token.text
        return None

    def _swallowed_by_name(self) -> bool:
        """Whether a number like a CCT belongs to the name: "Bay 12 1200 5600 0.003"."""
        following = self._following()
        if not self.now.groups or self.parted or following is None or not like_cct(following):
            return False
        behind = self._following(2)
        return following.bare and behind is not None and behind.bare and like_duv(behind)

    def _duv_follows(self) -> bool:
        for ahead in (1, 2):
            following = self._following(ahead)
            if following is None:
                return False
            if following.kind is TokenKind.NUMBER:
                return following.unit == "cc" or (following.bare and like_duv(following))
            if following.kind is TokenKind.LABEL:
                return following.field in (Field.DUV, Field.CC)
            if following.kind is not TokenKind.MARK:
                return False
        return False

    def _name_or_bad(self, token: Token) -> None:
        following = self._following()
        if token.unit == "tolerance":
            return
        if token.unit == "unclear":
            self.now.bad = self.now.bad or f"it is not clear what {token.text!r} is"
            return
        if token.unit and token.unit not in ("other",) and not self.now.empty:
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
