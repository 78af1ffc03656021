"""Readings written as ``name: value``, one beneath the other or several on a line."""

import re
from dataclasses import dataclass, field

from ..text.lines import Separator, cells_in
from ..vocabulary.headings import MEASURED, NUMBERS, Field, mentions, understand
from ..vocabulary.languages import folded

_LONGEST_LINE = 5000
_MOST_BLANK = 3
_WAYS = ({Field.CCT, Field.DUV}, {Field.CCT, Field.CC}, {Field.X, Field.Y})
_LONGEST_KEY = 80
_SIGNS = re.compile(r"\s?\.{3,}\s?[:=]?|[:=：＝]")  # a colon, or a row of dots
# A number, a word and a number again are a message, which says more than one thing.
_ANOTHER = re.compile(r"\d[\s,;/]+[^\W\d_]{2,}[\s:=]+[-+]?[\d.]")
_LONGEST_LOGGED = 1000
_KEYS = re.compile(r"(?:^|(?<=[\s,;|]))(?=[^\W\d][\w.-]{0,30}=)")
_CLOCK = re.compile(r"(?<![\d:])\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d{1,6})?)?")
_LOGGED = re.compile(r"(?:[\[(<]?(?:[\d:.,TZ/+-]+|[A-Z]{3,8}|[a-z]{4,5})[\])>]?[\s:|,-]{0,4}){0,6}")
# A value that says its own unit of light, whatever stands before it: "Level: 1240 lx".
_LIT = re.compile(r"[\d.,' ]{1,12}\s?(?:lx|lux)", re.IGNORECASE)
_KELVIN = re.compile(r"[\d.,' ]{1,8}\s?°?\s?[Kk]")
_WARMTH = re.compile(r"temp|colou?r|farb|coul|barw|kleur|warm|white|teplot|hőmérs|lämpö|色", re.IGNORECASE)
_SHARE = re.compile(r"\d{1,3}(?:[.,]\d)?\s?%")
_HOW_MUCH = re.compile(
    r"\b(?:stufe|stand|niveau|nivel|livello|poziom|niva|level|dim\w*|gedimmt|output|power|intens\w*|bright\w*|hellig\w*"
    r"|leistung|puissance|potencia|potenza)\b|調光"
)
_SHADE = re.compile(r"[-+−]?\s?\d{1,2}(?:[.,]\d{1,2})?\s?(?:cc|[gm]|green|magenta)?", re.IGNORECASE)
_GREEN = re.compile(
    r"(?:green|grun|vert|verde|groen)(?:\s?[/-]\s?mag\w*)?|g\s?/\s?m|\+/-\s?green|green\s?\+/-"
)
_BULLET = re.compile(r"^[-*•·‣◦▪●○►–—]\s+")
_STROKE = re.compile(r"\s/\s")
_NUMBERED = re.compile(r"(?:\(?\d{1,3}[.)]|#\d{1,3}[.:)]?)\s+(?=[^\W\d_])")
_DIMMED = re.compile(r"[\d.,]{1,9}\s?(?:%|percent)|(?:at )?full", re.IGNORECASE)


@dataclass(frozen=True)
class NameAndValue:
    """A heading and its value, on one line of the text."""

    heading: str
    value: str
    line: int


@dataclass
class Block:
    """The pairs of one reading, on lines `first` to `last`; `title` is a line above them without a value."""

    title: str = ""
    pairs: list[NameAndValue] = field(default_factory=list)
    measured: bool = False
    first: int = 0
    last: int = 0

    @property
    def lines(self) -> list[str]:
        """What it holds, in words, for the case that it is no reading."""
        return [self.title] * bool(self.title) + [f"{p.heading}: {p.value}" for p in self.pairs]

    def repeats(self, pairs: list[tuple[str, str]]) -> bool:
        """Whether one of the headings stands in it already."""
        return bool({p.heading for p in self.pairs} & {heading for heading, _ in pairs})

    @property
    def lacks_colour(self) -> bool:
        """Whether it names a source or half of its colour, and the rest may stand behind a blank line."""
        fields = {k.field for p in self.pairs if (k := understand(p.heading)) is not None}
        return bool(fields & {Field.NAME, Field.CCT, Field.X}) and not any(fields >= way for way in _WAYS)

    def goes_on_with(self, lines: list[str]) -> bool:
        """Whether the first line that is not blank gives something measured that it does not have yet."""
        following = next((line for line in lines[:_MOST_BLANK] if line.strip()), "")
        pairs = pairs_in(following)
        known = [understand(heading) for heading, _ in pairs]
        return bool(pairs) and not self.repeats(pairs) and all(k and k.field in MEASURED for k in known)

    def add(self, pairs: list[tuple[str, str]], at: int) -> None:
        """Take in the pairs of line `at`."""
        pairs = [(_by_unit(heading, value), value) for heading, value in pairs]
        self.first = self.first or at
        self.last = at
        self.pairs += [NameAndValue(heading, value, at) for heading, value in pairs]
        known = [understand(heading) for heading, _ in pairs]
        self.measured = self.measured or any(k is not None and k.field in MEASURED for k in known)


def find_blocks(lines: list[str]) -> tuple[list[Block], list[str]]:
    """Return the readings of a text, and the lines that belong to none.

    A blank line, a title or a repeated heading begins the next reading. No readings if no line names a
    measurement.
    """
    blocks: list[Block] = []
    stray: list[str] = []
    block = Block()
    for at, line in enumerate([*lines, ""], start=1):
        if block.pairs and line.lstrip().startswith("# "):
            continue  # a remark between the pairs of one reading
        pairs = pairs_in(line)
        if not line.strip() and block.lacks_colour and block.goes_on_with(lines[at:]):
            continue
        if not line.strip() or (block.measured and (not pairs or block.repeats(pairs))):
            if block.measured:
                blocks.append(block)
            else:
                stray += block.lines
            block = Block()
        if pairs:
            block.add(pairs, at)
        elif re.search(r"[^\W\d_]", line) and not block.pairs:
            stray += block.lines
            block = Block(title=_title(line), first=at, last=at)
        elif line.strip():
            stray.append(line.strip())
    return blocks, stray


def _title(line: str) -> str:
    """Return a line as a title: without its colon, or the brackets around all of it."""
    title = _NUMBERED.sub("", _BULLET.sub("", line.strip()), count=1).rstrip(":").strip()
    return title[1:-1].strip() if re.fullmatch(r"\[[^\[\]]+\]", title) else title


def pairs_in(line: str) -> list[tuple[str, str]]:
    """Return the pairs on a line; none if it holds none."""
    if len(line) > _LONGEST_LINE or not line.strip():
        return []
    if not _SIGNS.search(line) and not mentions(line):
        return []
    if logged := _logged(line):
        return logged
    for mark in (Separator.TAB, Separator.SEMICOLON, Separator.PIPE, Separator.SPACES, Separator.COMMA):
        parts = [p for p in cells_in(line, mark) if p]
        pairs = [pair for p in parts if (pair := _signed(p))]
        if len(parts) > 1 and len(pairs) == len(parts):
            return pairs
    parts = [part.strip() for part in _STROKE.split(line)]
    pairs = [pair for part in parts if (pair := _signed(part))]
    if len(parts) > 1 and len(pairs) == len(parts):
        return pairs
    one = _signed(line) or _unsigned(line)
    return [one] if one else []


def _logged(line: str) -> list[tuple[str, str]]:
    """Return the pairs of a line of a log: a stamp, a level, ``src=key cct=5480``; [] where it is none."""
    before, *parts = _KEYS.split(line[:_LONGEST_LOGGED])
    if len(parts) < 2 or line.count("=") != len(parts) or not _LOGGED.fullmatch(before.strip()):
        return []
    pairs = [
        (key, value.strip().strip("|;,").strip().strip('"'))
        for key, _, value in (part.partition("=") for part in parts)
    ]
    fields = {k.field for key, _ in pairs if (k := understand(key)) is not None}
    if not fields & MEASURED or not (before.strip() or Field.NAME in fields):
        return []
    stamp = _CLOCK.search(before)
    return [*pairs, ("time", stamp[0])] if stamp and Field.TIME not in fields else pairs


def _by_unit(heading: str, value: str) -> str:
    """Return the heading of a value, which its unit may tell better: "Level: 1240 lx", "Temp: 5480 K"."""
    if _LIT.fullmatch(value):
        return "lux"
    if _SHARE.fullmatch(value) and _HOW_MUCH.search(folded(heading)) and understand(heading) is None:
        return "dim level"
    if _SHADE.fullmatch(value) and _GREEN.fullmatch(folded(heading)):
        return "CC"
    return (
        "CCT"
        if _KELVIN.fullmatch(value) and understand(heading) is None and _WARMTH.search(heading)
        else heading
    )


def _signed(part: str) -> tuple[str, str] | None:
    """Split at the first colon or equals sign; a title such as "Key light:" has no value."""
    sign = _SIGNS.search(part, 0, _LONGEST_KEY + 1)
    if sign is None:
        return None
    heading, value = part[: sign.start()].strip().strip('"'), part[sign.end() :].strip()
    if _ANOTHER.search(value[:200]) and understand(heading) is not None:
        return None
    if not heading or (not value and understand(heading) is None):
        return None
    return heading, value


def _unsigned(line: str) -> tuple[str, str] | None:
    """Split a line such as ``CCT 5600 K`` or a row of two cells, whose beginning is a known heading."""
    for mark in ("\t", ";", ",", "  "):
        heading, found, value = line.strip().partition(mark)
        if found and understand(heading.strip().strip('"')) is not None:
            return heading.strip().strip('"'), value.strip().strip('"')
    words = line.split(maxsplit=4)
    for cut in range(min(4, len(words) - 1), 0, -1):
        heading, value = " ".join(words[:cut]), line.split(maxsplit=cut)[cut].strip()
        known = understand(heading)
        if known is not None and _begins(known.field, value):
            return heading, value
    return None


def _begins(known: Field, value: str) -> bool:
    """Whether a value may follow its heading without a sign between: "Level 3" may be a storey."""
    if known is Field.LEVEL:
        return bool(_DIMMED.fullmatch(value))
    return known in NUMBERS and value[:1] in "0123456789.,-+−–" and not _ANOTHER.search(value)
