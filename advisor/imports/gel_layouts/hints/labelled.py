"""Gels whose figures bring their headings with them: "half  mired +83  T 0.71", "gel=1/2 CTO; qty=2"."""

import re
from collections.abc import Iterator, Sequence

from ...text.lines import Record
from ...vocabulary.gel_headings import EFFECTS, GelColumn, understand_gel_heading
from ...vocabulary.gel_names import fractions_of, known_family, understand_name
from ...vocabulary.gel_words.sums import is_sum
from .titles import title_family

_BULLET = re.compile(r"^\s*(?:[-*•·–—>]+\s+|\(?\d{1,2}[.)]\s+)")
_LABEL = re.compile(
    r"([^\W\d_][^\d:=;|+]{0,28}?)\s*(?:[:=]\s*|\s(?=[+−–-]?[\d.]))([+−–-]?\s?[\d.,][^:=;|]*|[^\d:=;|]{1,30})"
)
_NAMED = re.compile(r"([^:=]{2,40}?)\s*:\s+(?=\S)")
_TOLD = (*EFFECTS, GelColumn.STOCK, GelColumn.ROLLS, GelColumn.NOTE)
_FEWEST = 2
_LONGEST = 300


def with_labels(lines: Sequence[str]) -> tuple[Record, list[Record], list[tuple[int, str]]] | None:
    """Return headings, rows and what is left out of such a text; None where a line is anything else."""
    family, heads, rows = "", ["gel"], list[Record]()
    held: list[object] = [GelColumn.NAME]
    left: list[tuple[int, str]] = []
    for at, line in enumerate(lines, 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if len(line) > _LONGEST:
            return None
        if (title := title_family(_BULLET.sub("", line))) and not fractions_of(line):
            family = title
        elif is_sum(line.split("\t")[0].partition(":")[0]) or not any(map(str.isdigit, line)):
            left.append((at, f"{line.strip()[:40]}: left out"))
        elif (told := _row(line, family)) is not None:
            cells = [told[0]]
            for label, value in told[1]:
                said = understand_gel_heading(label)
                if said not in held:
                    held.append(said)
                    heads.append(label)
                column = held.index(said)
                cells += [""] * (column + 1 - len(cells))
                cells[column] = value
            rows.append(Record(at, line, cells))
        else:
            return None
    if len(rows) < _FEWEST or len(left) > len(rows):
        return None
    wide = [Record(r.line, r.text, [*r.cells, *[""] * (len(heads) - len(r.cells))]) for r in rows]
    return Record(rows[0].line, "", heads), wide, left


def _row(line: str, family: str) -> tuple[str, list[tuple[str, str]]] | None:
    """Return the name in a line and its figures by their labels; None where a part is neither."""
    name, pairs = "", list[tuple[str, str]]()
    for part in _parts(line):
        pair = _LABEL.fullmatch(part)
        said = understand_gel_heading(pair[1]) if pair else None
        if pair and said is not None and said.column in _TOLD:
            pairs.append((pair[1].strip(), pair[2].strip()))
            continue
        if pair and said is not None and said.column is GelColumn.NAME and re.search("[:=]", part):
            part = pair[2].strip()
        if name or not (part := _named(part, family)):
            return None
        name = part
    return (name, pairs) if name and pairs else None


def _named(part: str, family: str) -> str:
    """Return the gel that a part names, or whose strength it is; empty where it is neither."""
    if family and fractions_of(part, family):
        return f"{family} {part}"
    said = understand_name(part)
    return part if said is not None and known_family(said.family) is not None else ""


def _parts(line: str) -> Iterator[str]:
    text = _BULLET.sub("", line).strip(" \t|;,")
    marks = next((m for m in (r"\t", r";", r"\|", r"\s{2,}", r",\s+") if re.search(m, text)), r",\s+")
    parts = [part.strip() for part in re.split(marks, text) if part.strip()]
    first = _NAMED.match(parts[0]) if parts else None
    if first and understand_gel_heading(first[1]) is None:
        parts[:1] = [first[1], parts[0][first.end() :]]
    for part in parts:
        yield from (p.strip() for p in re.split(r",\s+", part))
