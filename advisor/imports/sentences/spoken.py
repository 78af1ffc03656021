"""What a message says of one source, and how it calls it."""

import re
from dataclasses import dataclass, field

from ...model.basis import numbers
from ..vocabulary.headings import Field
from ..vocabulary.kinds import kind_of
from ..vocabulary.spoken import BEFORE_NAME, BEHIND_NAME, CLAUSES, LOOKS, NOT_READ
from .token import Token, TokenKind

_WAYS = (
    ({Field.CCT, Field.MIRED}, {Field.DUV, Field.CC}),
    ({Field.X}, {Field.Y}),
    ({Field.U76}, {Field.V76}),
    ({Field.U60}, {Field.V60}),
)


_ASKING = re.compile(r"(?:is|was|are|were|did|does|should|could|would|can|hat|ist|war)\s", re.IGNORECASE)
TWO_CCTS = "it is not clear which of the two CCTs was read"
TWO_READINGS = "it is not clear which of the two readings counts"
NOT_SURE = "it is not clear whether that was read"
IN_DOUBT = (TWO_CCTS, TWO_READINGS, NOT_SURE)
"""What is said of a reading that is told in two ways, or of which nobody says that it was read."""


@dataclass
class Spoken:
    """What a message says of one source: `cells` by field, as text.

    `groups` are the words of its name, parted where a comma stands between them; `rest` is what goes into
    the note, and so are `remarks`; `bad` says what cannot be understood. `goes_on` is whether it speaks of
    the source that was named before, `level_said` whether its dim level has a unit, `points` whether its
    green is counted in points, `scaled` whether its Duv is a signed whole number without a unit.
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
    for group in spoken.groups:
        words = _trimmed(group)
        if not words:
            continue
        shown = _cut(text, words)
        if not re.search(r"[^\W\d_]", shown):
            shown = _cut(text, group)  # "Reading 1"
        alone = len(words) == 1 and kind_of(words[0].text) is not None and len(spoken.groups) > 1
        if alone and Field.KIND not in spoken.cells and names:
            spoken.cells[Field.KIND] = shown
        else:
            names.append(shown)
    if len(names) > 1:
        names = [name for name in names if name.casefold().split()[0] not in CLAUSES] or names
    if len(names) > 1:
        spoken.bad = spoken.bad or f"it is not clear which is the name: {' or '.join(map(repr, names[:3]))}"
    spoken.name = names[0] if names else ""
    if NOT_READ & set(spoken.name.casefold().split()) or _is_asked(spoken, text):
        spoken.bad = spoken.bad or NOT_SURE
    spoken.note = _note(spoken, text)
    if spoken.name and not re.search(r"[^\W\d_]", spoken.name):
        spoken.bad = spoken.bad or f"it is not clear what {spoken.name!r} is"
    return spoken


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
    return group[start:end]


def _says_nothing(token: Token, words: frozenset[str]) -> bool:
    return token.kind is TokenKind.FILLER or token.text.casefold() in words


def _cut(text: str, words: list[Token]) -> str:
    start, end = words[0].start, words[-1].end
    shown = text[start:end]
    if shown.count("(") > shown.count(")") and text[end : end + 1] == ")":
        shown += ")"
    return re.sub(r"['’]s\Z", "", shown.strip().strip(":-–—\"'“”„«»").strip())  # "the key's at 5480"


def _note(spoken: Spoken, text: str) -> str:
    """Return what the message says beside name and numbers, in its own words."""
    rest = [text[spoken.rest[0].start : spoken.rest[-1].end].strip()] if spoken.rest else []
    return "; ".join([*spoken.remarks, *rest])
