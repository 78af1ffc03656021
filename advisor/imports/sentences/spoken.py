"""What a message says of one source, and how it calls it."""

import re
from dataclasses import dataclass, field

from ...model import Kind
from ...model.basis import numbers
from ..vocabulary.headings import Field
from ..vocabulary.kinds import kind_of
from ..vocabulary.spoken import (
    BEFORE_NAME,
    BEHIND_NAME,
    CLAUSES,
    DEGREES,
    HUES,
    LINKS,
    LOOKS,
    NOT_READ,
    ROLES,
    VERDICTS,
)
from .token import Token, TokenKind

_WAYS = (
    ({Field.CCT, Field.MIRED}, {Field.DUV, Field.CC}),
    ({Field.X}, {Field.Y}),
    ({Field.U76}, {Field.V76}),
    ({Field.U60}, {Field.V60}),
)


_WHO = frozenset({"i", "we", "ich", "wir", "je", "j'ai", "nous", "ik", "wij", "jag", "vi"})
_IS = frozenset({"is", "are", "ist", "sind", "est", "es", "è", "é", "jest", "är"})
_ASKING = re.compile(r"(?:is|was|are|were|did|does|should|could|would|can|hat|ist|war)\s", re.IGNORECASE)
_ARTICLES = frozenset({"a", "an", "the", "thru", "through", "on", "behind", "coming"})
# "can you drop the fill? it's 5900"
_REQUEST = re.compile(
    r"^(?:(?:please|pls)\s)?(?:can|could|would|will)\s(?:you|u|someone|somebody|anyone|we)\s.*\b(?:the|that)\s",
    re.IGNORECASE,
)
_SOUTH_EAST = re.compile(r"\bSE$")
"""In capitals it is a corner, and no "if" of another language."""
_HUNG = re.compile(r"\s\+\s?(?P<gel>(?:\d/\d|[⅛¼½¾]|full|half|quarter)\s[A-Z]{2,5})\Z")
TWO_CCTS = "it is not clear which of the two CCTs was read"
TWO_DUVS = "it is not clear which of the two Duvs was read"
TWO_READINGS = "it is not clear which of the two readings counts"
NOT_SURE = "it is not clear whether that was read"
APART = "it is not clear which numbers go together"
UNCLEAR = {Field.CCT: TWO_CCTS, Field.CC: TWO_DUVS, Field.DUV: TWO_DUVS}
"""What is said of a reading of which a range was told; without its light a reading is one all the same."""
SWAPPED = "a line says that its name is swapped with another's"
IN_DOUBT = (SWAPPED, TWO_CCTS, TWO_DUVS, TWO_READINGS, NOT_SURE, APART)
"""What is said of a reading that is told in two ways, or of which nobody says that it was read."""


@dataclass(frozen=True)
class Range:
    """A range that was told of a `field`: its ends as text, and the middle, which stands `instead`."""

    field: Field
    first: str
    second: str
    instead: str


@dataclass
class Spoken:
    """What a message says of one source: `cells` by field, as text.

    - `groups` are the words of its name, parted where a comma stands. `rest` and `remarks` go into the note.
    - `bad` says what cannot be understood. `goes_on`: it speaks of the source that was named before.
    - `level_said`: its dim level has a unit. `points`: its green is counted in points. `scaled`: its Duv is a
      signed whole number without a unit. `ranges` were told in place of figures.
    - `proposed`: it waits to be confirmed. `likely`: it is rather a reading than not, where that is open.
      `plain`: nobody could read its line in another way.
    - `gels_open` may have come off, or are still to be hung.
    """

    groups: list[list[Token]] = field(default_factory=list)
    cells: dict[Field, str] = field(default_factory=dict)
    gels: list[str] = field(default_factory=list)
    rest: list[Token] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    goes_on: bool = False
    level_said: bool = True
    points: bool = False
    scaled: bool = False
    ranges: list[Range] = field(default_factory=list)
    proposed: bool = False
    likely: bool = False
    gels_open: list[str] = field(default_factory=list)
    plain: bool = False
    bad: str = ""
    late: bool = False
    name: str = ""
    note: str = ""

    @property
    def whole(self) -> bool:
        """Whether it gives a colour that can be one, and nothing in it is unclear."""
        return not self.bad and self.coloured and self._likely

    @property
    def _likely(self) -> bool:
        cct = self.cells.get(Field.CCT)
        return cct is None or any(1000 <= v <= 25000 for v in numbers.parse(cct).values)

    @property
    def coloured(self) -> bool:
        """Whether it gives a colour."""
        given = set(self.cells)
        return any(all(given & choice for choice in way) for way in _WAYS)

    @property
    def empty(self) -> bool:
        """Whether nothing was said yet but words."""
        return not self.cells


def named(spoken: Spoken, text: str) -> Spoken:
    """Find the name among the groups of words: a kind of source in a group of its own is no part of it."""
    names: list[str] = []
    told: list[list[Token]] = []
    for group in spoken.groups:
        words = _trimmed(group)
        if not words:
            continue
        words = _without_kind(words, spoken, text)
        shown = _cut(text, words)
        if not re.search(r"[^\W\d_]", shown):
            shown = _cut(text, group)  # "Reading 1"
        alone = len(words) == 1 and kind_of(words[0].text) is not None and len(spoken.groups) > 1
        if alone and Field.KIND not in spoken.cells and names:
            spoken.cells[Field.KIND] = shown
        else:
            names.append(shown)
            told.append(group)
    if len(names) > 1 and (
        talk := [n for n, group in zip(names, told, strict=True) if not _speaks_of_who(group)]
    ):
        names = talk
    if len(names) > 1:
        names = [name for name in names if name.casefold().split()[0] not in CLAUSES] or names
    if len(names) > 1:
        spoken.bad = spoken.bad or f"it is not clear which is the name: {' or '.join(map(repr, names[:3]))}"
    names = [_REQUEST.sub("", name) for name in names]
    spoken.name = _without_gel(names[0], spoken) if names else ""
    if not names and spoken.groups and any(map(_speaks_of_who, spoken.groups)):
        spoken.goes_on = True  # "I got 8600 -10", of the source before
    if not names and kind_of(spoken.cells.get(Field.KIND, "")) is Kind.DAYLIGHT:
        spoken.name = spoken.cells[Field.KIND]  # "6950 K window": it is what the light is called by
    if not spoken.name and spoken.cells.get(Field.KIND, "").casefold() in ROLES:
        spoken.name = spoken.cells[Field.KIND]  # "4130 +9.5 -> tube"
    if NOT_READ & set(_SOUTH_EAST.sub("", spoken.name).casefold().split()) or _is_asked(spoken, text):
        spoken.bad = spoken.bad or NOT_SURE
    spoken.note = _note(spoken, text)
    if spoken.name and not re.search(r"[^\W\d_]", spoken.name):
        spoken.bad = spoken.bad or f"it is not clear what {spoken.name!r} is"
    return spoken


def _without_gel(name: str, spoken: Spoken) -> str:
    """Take off a gel of no general name, in the words that a crew's table may have: "key +1/4 XYZ"."""
    found = _HUNG.search(name)
    if found is None:
        return name
    spoken.gels.append(re.sub(r"\s+", " ", found["gel"]))
    return name[: found.start()]


def _speaks_of_who(group: list[Token]) -> bool:
    """Whether words are a sentence about who speaks, as "so I metered the bar" is before what was read."""
    return any(token.text.casefold() in _WHO for token in group[:3])


def _without_kind(group: list[Token], spoken: Spoken, text: str) -> list[Token]:
    """Take off what a name is said to be: "back light is tungsten"."""
    is_at = next((i for i, token in enumerate(group) if i and token.text.casefold() in _IS), None)
    short = next((i for i, token in enumerate(group[:4]) if _is_short(group, i)), None)
    if short is not None and is_at is None:
        spoken.remarks.append(_cut(text, group[short + 1 :]))
        return group[: short + 1]
    if is_at is None or is_at + 1 == len(group) or Field.KIND in spoken.cells:
        return group
    said = _cut(text, [token for token in group[is_at + 1 :] if token.text.casefold() not in ("a", "an")])
    if kind_of(said) is None and said:
        spoken.remarks.append(said)
        return _trimmed(group[:is_at])
    spoken.cells[Field.KIND] = said
    return _trimmed(group[:is_at])


def _is_short(group: list[Token], at: int) -> bool:
    """Whether "'s" stands for "is" there, as in "key's the big one", and not for whose it is."""
    behind = group[at + 1].text.casefold() if at + 1 < len(group) else ""
    return re.search(r"['’]s\Z", group[at].text) is not None and behind in _ARTICLES


def _is_asked(spoken: Spoken, text: str) -> bool:
    """Whether it is a question about a source: "was the key 5480 +.004?"."""
    return bool(spoken.name) and text.rstrip().endswith("?") and _ASKING.match(text) is not None


def _trimmed(group: list[Token]) -> list[Token]:
    start, end = 0, len(group)
    while start < end and _says_nothing(group[start], BEFORE_NAME):
        start += 1
    while end > start and _says_nothing(group[end - 1], BEHIND_NAME):
        end -= 1
    if start < end - 1 and end < len(group) and group[end - 1].text.casefold() in LOOKS:
        end -= 1  # "bedside warm at 2690"; without a word behind it, it may be a channel's name
    if start < end - 2 and _says_how(group[end - 2 : end]):
        end -= 2  # "fill bit green 5410"
        while start < end - 1 and group[end - 1].text.casefold() in DEGREES:
            end -= 1
    return group[start:end]


def _says_how(words: list[Token]) -> bool:
    """Whether two words say how something looks, and by how much: "way off"."""
    degree, look = (word.text.casefold() for word in words)
    return degree in DEGREES and look in LOOKS | VERDICTS


def _says_nothing(token: Token, words: frozenset[str]) -> bool:
    single = len(token.text) == 1 and token.text.isupper() and token.text != "I"
    if single and token.kind is TokenKind.WORD and token.start > 0:
        return False  # "panel A"
    return token.kind is TokenKind.FILLER or token.text.casefold() in words


def _cut(text: str, words: list[Token]) -> str:
    start, end = words[0].start, words[-1].end
    shown = text[start:end]
    if shown.count("(") > shown.count(")") and text[end : end + 1] == ")":
        shown += ")"
    shown = re.sub(r"(?<=\w{4})\.\Z", "", shown.strip())
    return re.sub(r"['’]s\Z", "", shown.strip().strip(":-–—\"'“”„«»").strip())  # "the key's at 5480"


def _links(token: Token) -> bool:
    """Whether a word only links others: "avec un Duv de"."""
    return token.kind in (TokenKind.FILLER, TokenKind.LABEL) or token.text.casefold() in LINKS


def _note(spoken: Spoken, text: str) -> str:
    """Return what the message says beside name and numbers, in its own words."""
    if {Field.DUV, Field.CC} & set(spoken.cells) and all(t.text.casefold() in HUES for t in spoken.rest):
        return "; ".join(spoken.remarks)
    if all(_links(token) for token in spoken.rest):
        return "; ".join(spoken.remarks)
    rest = [text[spoken.rest[0].start : spoken.rest[-1].end].strip()] if spoken.rest else []
    return "; ".join([*spoken.remarks, *rest])
