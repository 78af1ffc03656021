"""The lines of a text as one talk: whose reading a line tells that names none, and what it corrects."""

import re
from collections.abc import Sequence

from ..sentences.spoken import APART, Spoken
from ..vocabulary.headings import Field
from ..vocabulary.kinds import kind_of
from ..vocabulary.spoken import CLAUSES, FILLERS, ROLES
from .lines import Said

_TITLE = re.compile(r"[^\W_][^?!…<>@]{1,39}")
_CHANGES = re.compile(r"(?:['’]s|\s(?:is|are|keeps?|has|have))\s")
"""What a title goes on with: "Sky's changing quick" """
# "Dim curve for the ceiling tile like you asked", above its readings at levels.
_HEADED = re.compile(
    r"[^\d?!]{1,40}\s(?:for|of|on)\s(?:the|my|our)\s(?P<name>[^\W\d_]+(?:\s[^\W\d_]+){0,2}?)"
    r"(?:,?\s(?:like|as|again|please|from|at)\b[^\d?!]{0,40})?\s?[.:]?",
    re.IGNORECASE,
)
_MOST_WORDS = 5


def threaded(said: Sequence[Said]) -> None:
    """Give each reading without a name that of the source it goes on with, or of the title above it.

    A level without a unit ("ditto at 20") is one only where the source was read at a level before.
    """
    titles = _titles(said)
    last: Spoken | None = None
    for at, line in enumerate(said):
        title = titles.get(at)
        last = Spoken(name=line.about) if line.about else last
        asked = at > 0 and said[at - 1].about and line.line == said[at - 1].line + 1
        for spoken in line.spoken if line.corrects is None else []:
            if not spoken.name and title:
                spoken.name = title
            elif not spoken.name and (spoken.goes_on or asked) and last is not None:
                spoken.name = last.name
            before = last is not None and last.name == spoken.name and Field.LEVEL in last.cells
            if not spoken.level_said and not before:
                level = spoken.cells[Field.LEVEL].removesuffix(" %")
                spoken.bad = spoken.bad or f"it is not clear what {level!r} is"
            if not spoken.name and any(other.name for other in line.spoken):
                spoken.bad = spoken.bad or APART  # numbers without a name may go with any
            if spoken.name and spoken.coloured:
                last = spoken


def _titles(said: Sequence[Said]) -> dict[int, str]:
    """Return the titles of the lines that have one above them, by their indices.

    One that names neither a place nor a kind of source must not stand alone: it may be talk.
    """
    found: dict[int, str] = {}
    title, beneath, times = "", 0, 0
    for at, line in enumerate(said):
        nameless = bool(line.spoken) and not any(each.name or each.bad for each in line.spoken)
        if nameless and title and line.line == beneath + 1:
            found[at] = title
            beneath = line.line
            times += at > 0 and not said[at - 1].spoken
            times += any(each.gels or Field.LEVEL in each.cells for each in line.spoken)
        elif not line.spoken and is_title(line):
            title = _CHANGES.split(line.message.text.strip().rstrip(":"))[0].strip()
            beneath = line.line
        elif not line.spoken and line.corrects is None and (headed := _HEADED.fullmatch(line.message.text)):
            follows = said[at + 1] if at + 1 < len(said) else line
            levels = bool(follows.spoken) and all(Field.LEVEL in each.cells for each in follows.spoken)
            title = headed["name"] if levels and _names_light(headed["name"]) else ""
            beneath = line.line
        else:
            title = ""
    return {at: name for at, name in found.items() if times > 1 or _names_light(name)}


def is_title(line: Said) -> bool:
    """Whether a line may stand above readings as their title: a few words that tell nothing themselves."""
    text = line.message.text.strip()
    words = text.casefold().split()
    if not _TITLE.fullmatch(text) or len(words) > _MOST_WORDS or words[0].strip(",.:") in CLAUSES | FILLERS:
        return False
    return not re.search(r"\d{3}|\d[.:]\d", text) and line.corrects is None and text[-1:] not in ".,;"


def _names_light(title: str) -> bool:
    return bool(ROLES & set(title.casefold().split())) or kind_of(title) is not None


def corrected_by(line: Said, readings: Sequence[Spoken]) -> Spoken | None:
    """Return which of the readings before a line it corrects: by name, by a number, or the last."""
    assert line.corrects is not None, "the line corrects something"
    name = (line.spoken[0].name if line.spoken else line.corrects.name).casefold()
    before = list(readings)
    if name:
        before = [each for each in before if each.name.casefold() == name]
    if line.corrects.instead:
        before = [each for each in before if _holds(each, line.corrects.instead)] or before * bool(name)
    return before[-1] if before else None


def _holds(spoken: Spoken, number: str) -> bool:
    wanted = re.sub(r"[',\s]", "", number).lstrip("0.")
    return any(
        re.sub(r"[',\s]", "", text).lstrip("+-0.").startswith(wanted) for text in spoken.cells.values()
    )


def as_corrected(spoken: Spoken, by: Spoken) -> dict[Field, str]:
    """Return the cells of a reading with what was said anew; mired take the place of kelvin."""
    cells = dict(spoken.cells)
    for field, text in by.cells.items():
        for pair in ({Field.DUV, Field.CC}, {Field.CCT, Field.MIRED}):
            if field in pair:
                cells = {f: t for f, t in cells.items() if f not in pair}
        cells[field] = text
    return cells


def says(spoken: Spoken) -> str:
    """Say the numbers of a reading in a few words."""
    return ", ".join(f"{field.value} {text}" for field, text in spoken.cells.items())
