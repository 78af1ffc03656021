"""Titles over lists of strengths, as "Orange" over "full" and "half": which family of gels each means."""

import re
from collections.abc import Sequence

from ...vocabulary.gel_headings import EFFECTS, squeezed, understand_gel_heading
from ...vocabulary.gel_names import CTB, CTO, fractions_of, known_family
from ...vocabulary.words import words

_ORANGE = words("orange orangen naranja arancio arancione laranja oranje pomaranczowe pomaranczowy オレンジ")
_BLUE = words("blue blau bleu azul blu blauw niebieskie niebieski bla ブルー")
_PARTS = re.compile(r"\t|;|\||,(?!\d)|\s{2,}|\s(?=[+-]?\d+(?:[.,]\d+)?(?:\s|$))|:")
_TOGETHER = re.compile(r"\s*[()\[\]/]\s*|\s[-–—]\s")
"""What stands between the names of one family: "Orange (CTO)", "CTO / arancio"."""
_BULLET = re.compile(r"^\s*[-*•·–]\s+")
_SIDES = ("G", "M")
"""Headings over how much green or magenta a gel adds."""
_LONGEST = 60
_FEWEST_HEADS = 2
_WITHIN = 3
"""How far beneath a title its first strength may stand: headings may stand between. [lines]"""


def title_family(line: str) -> str:
    """Return the family that a title names, by its name or by its colour; "" if it names none, or several."""
    title = line.strip(" \t,;|:#*=_-")
    if len(title) > _LONGEST:
        return ""
    parts = [part.strip() for part in _TOGETHER.split(title) if part.strip()]
    parts = [*parts[:1], *(part for part in parts[1:] if not _is_effect(part))]
    families = {_family(part) for part in (parts if parts else [title])}
    return families.pop() if len(families) == 1 else ""


def _is_effect(part: str) -> bool:
    """Whether a part says what is told beneath a title: "mired" in "CTO (mired)"."""
    said = understand_gel_heading(part)
    return said is not None and said.column in EFFECTS


def _family(title: str) -> str:
    if (known := known_family(title)) is not None:
        return known
    colour = squeezed(title)
    return CTO if colour in _ORANGE else CTB if colour in _BLUE else ""


def with_families(lines: Sequence[str], *, colours: bool) -> list[str] | None:
    """Write each family before the strengths beneath its title; None where there is no such title.

    With `colours`, only titles that are colours count: one that names a family by itself stays as it is.
    """
    out, family, found = list[str](), "", False
    for at, line in enumerate(lines):
        title = title_family(line)
        own = bool(title) and any(map(_is_strength, lines[at + 1 : at + 1 + _WITHIN]))
        if own and not (colours and known_family(line.strip(" \t,;|:#*=_-"))):
            family, found = title, True
            out.append("")
        elif family and _is_strength(line):
            out.append(f"{family} {_BULLET.sub('', line).lstrip()}")
        else:
            family = family if _is_between(line, lines[at + 1 : at + 2]) else ""
            out.append(line)
    return out if found else None


def with_family_heads(lines: Sequence[str]) -> list[str] | None:
    """Write each family before the strengths beneath it where it heads their column: "CTO  Mired  Sheets".

    None where fewer than two lines of headings begin so.
    """
    heads = {at: family for at, line in enumerate(lines) if (family := _headed(line))}
    if len(heads) < _FEWEST_HEADS:
        return None
    out, family = list[str](), ""
    for at, line in enumerate(lines):
        if at in heads:
            family = heads[at]
            out.append(re.sub(r"^(\s*\|?\s*)[^\t;|,]*?(?=\s{2,}|[\t;|,])", r"\1gel", line, count=1))
        elif family and _is_strength(line.lstrip(" |")):
            at_first = len(line) - len(line.lstrip(" |"))
            out.append(f"{line[:at_first]}{family} {line[at_first:]}")
        else:
            out.append(line)
    return out


def _headed(line: str) -> str:
    """Return the family that heads the first column of a line of headings; empty of other lines."""
    cells = [cell.strip() for cell in re.split(r"\t|;|\||,|\s{2,}", line.strip(" |")[:200])]
    known = known_family(cells[0].strip(" :")) if len(cells) > 1 and cells[0] else None
    told = [cell for cell in cells[1:] if cell]
    headings = told and all(cell in _SIDES or understand_gel_heading(cell) is not None for cell in told)
    return known if known and headings and not any(map(known_family, told)) else ""


def _is_strength(line: str) -> bool:
    """Whether a line begins with a strength alone, "1/2" or "half", and goes on with a figure."""
    first, *rest = _PARTS.split(_BULLET.sub("", line).strip(" \t|")[:200], maxsplit=1)
    return bool(fractions_of(first)) and bool(rest) and any(map(str.isdigit, rest[0]))


def _is_between(line: str, after: Sequence[str]) -> bool:
    """Whether a line may stand between a title and its strengths: headings, or nothing."""
    return not line.strip() or (not any(map(str.isdigit, line)) and any(map(_is_strength, after)))
