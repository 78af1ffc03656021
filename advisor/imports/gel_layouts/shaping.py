"""Rows of a gel table brought to the columns of its headings."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise

from ..text.lines import Record, Separator, trimmed
from ..vocabulary.gel_headings import GelColumn, understand_gel_heading
from ..vocabulary.gel_names import known_family, understand_name
from ..vocabulary.gel_words.sums import is_sum
from .hints.groups import with_families_headed, with_names_headed
from .hints.titles import title_family

_MOST_MERGED = 6
_TRIED = 60
_CLEAR = 3
"""How much nearer a cell must stand to its heading than to others, where it is under none. [sign]"""


def is_units(cells: Sequence[str], heads: Sequence[str]) -> bool:
    """Whether a row beneath the headings holds their units."""
    filled = [re.sub(r"[()\[\]]", "", c).strip() for c in cells if c.strip()]
    unit = re.compile(
        r"mk\s?[-−⁻^]*\s?[1¹]|mireds?|cc|stops?|%|sheets?|k|ev|f-?stops?|blenden|bogen|st(?:ü)?ck|feuilles|ミレッド|段|枚|"
        r"1 */ *mk|d|od|duv|rolls?|[mµμ]rd|shifts?|text|pcs?\.?|pieces?|qty|"
        r"hojas?|fogli|folhas?|vellen|arkusze|diaphs?|pasos?|f/?stops?|f|stuks?|[-–—]",
        re.IGNORECASE,
    )
    return bool(filled) and len(filled) < len(heads) + 1 and all(unit.fullmatch(c) for c in filled)


def is_summary(cells: Sequence[str]) -> bool:
    """Whether a row sums others up."""
    return is_sum(next((c for c in cells if c.strip()), ""))


def stacked(head: Record, below: Sequence[Record], above: Sequence[str] = ()) -> tuple[Record, list[Record]]:
    """Put tables that stand side by side one beneath the other: each has a column of names and more.

    `above` are the cells of the line over the headings, which may name a family for each.
    """
    rows = [row.cells for row in below[:_TRIED]]
    head = replace(head, cells=with_families_headed(head.cells, rows, above))
    if families := _families_across(head.cells):
        return _beside_families(head, below, families)
    head = replace(head, cells=with_names_headed(head.cells, rows))
    held = [h.column if (h := understand_gel_heading(c)) is not None else None for c in head.cells]
    lead = held[0] if held else None
    starts = [i for i, column in enumerate(held) if column is lead]
    if lead not in (GelColumn.NAME, GelColumn.FAMILY) or len(starts) < 2:
        return head, list(below)
    spans = list(zip(starts, [*starts[1:], len(held)], strict=True))
    if any(not {c for c in held[a:b] if c} - {GelColumn.NAME, GelColumn.FAMILY} for a, b in spans):
        return head, list(below)
    first, *rest = [replace(head, cells=trimmed(head.cells[a:b])) for a, b in spans]
    out: list[Record] = []
    for part, (a, b) in zip([None, *rest], spans, strict=True):
        out += [part] if part is not None else []
        cells = [trimmed(row.cells[a:b])[: len(trimmed(head.cells[a:b]))] for row in below]
        out += [replace(row, cells=own) for row, own in zip(below, cells, strict=True) if any(own)]
    return first, out


def _families_across(heads: Sequence[str]) -> list[int]:
    """Return where families head columns of strengths, each with what its gels do behind it; [] of others."""
    starts = [at for at, cell in enumerate(heads) if title_family(cell)]
    if len(starts) < 2 or starts[0] != 0:
        return []
    spans = [heads[a + 1 : b] for a, b in zip(starts, [*starts[1:], len(heads)], strict=True)]
    told = [[cell for cell in span if cell.strip()] for span in spans]
    known = all(span and all(understand_gel_heading(cell) is not None for cell in span) for span in told)
    return starts if known else []


def _beside_families(
    head: Record, below: Sequence[Record], starts: Sequence[int]
) -> tuple[Record, list[Record]]:
    """Put ladders of several families that stand side by side one beneath the other."""
    rows = list[Record]()
    heads = [["gel", *trimmed(head.cells[a + 1 : b])] for a, b in pairwise([*starts, len(head.cells)])]
    for at, (a, b) in enumerate(pairwise([*starts, len(head.cells)])):
        family = title_family(head.cells[a])
        rows += [replace(head, cells=heads[at])] if heads[at] != heads[0] else []
        for row in below:
            own = row.cells[a:b][: len(heads[at])]
            if any(own):
                rows.append(replace(row, cells=[f"{family} {own[0]}", *own[1:]] if own[0] else own))
    return replace(head, cells=heads[0]), rows


def shaped(record: Record, head: Record, mark: Separator) -> Record:
    """Bring a row to the columns of its headings: in order, or by joining what a decimal comma parted."""
    cells, wanted = plain_cells(record, mark), len(head.cells)
    if mark is not Separator.SPACE and len(cells) == wanted + 1 and cells[0] == "":
        cells = cells[1:]  # indented by a cell, beneath a title
    if record.broken or len(cells) == wanted:
        return replace(record, cells=cells)
    if mark is Separator.SPACES and "\t" not in record.text:
        placed = _placed(record.text, head.text, wanted)
        # A row with fewer cells than headings, of which nobody can tell which are lacking.
        return replace(record, cells=placed or cells, broken=not placed and 1 < len(cells) < wanted)
    if mark is Separator.SPACE and len(cells) > wanted:
        return replace(record, cells=_joined_names(cells, head.cells))
    if mark is Separator.COMMA and len(trimmed(cells)) > wanted and '"' not in record.text:
        ways = merged(trimmed(cells), wanted)
        return replace(record, cells=ways[0] if len(ways) == 1 else cells)
    return replace(record, cells=cells)


def plain_cells(record: Record, mark: Separator) -> list[str]:
    """Return the cells without the signs by which markdown makes them bold."""
    if mark is not Separator.PIPE:
        return record.cells
    return [re.sub(r"^(\*\*|__|`)([^*_`]+)\1$", r"\2", c) for c in record.cells]


def _placed(text: str, head: str, wanted: int) -> list[str]:
    """Place the cells of a row of fixed width under their headings; [] where that is in doubt."""
    heads = [(m.start(), m.end()) for m in re.finditer(r"\S+(?: \S+)*", head)]
    cells = [""] * wanted
    if len(heads) != wanted:
        return []
    for start, end in _spans(text, heads):
        overlap = [min(end, right) - max(start, left) for left, right in heads]
        at = max(range(wanted), key=lambda i: overlap[i])
        second = max((o for i, o in enumerate(overlap) if i != at), default=-_CLEAR)
        if cells[at] or (overlap[at] <= 0 and overlap[at] - second < _CLEAR):
            return []
        cells[at] = text[start:end]
    return cells


def _spans(text: str, heads: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Yield where the cells of a row stand: a number one space behind a name is a cell under its heading."""
    parts = list(re.finditer(r"\S+(?: \S+)*", text))
    for found in parts:
        start, end = found.span()
        last = re.search(r" ([+−–-]?\d[\d.,/]*)$", found[0])
        talk = len(parts) == 1 and not _names_gel(found[0][: last.start()] if last else "")
        if (
            last
            and not talk
            and any(left < end and start + last.start() < right and left > start for left, right in heads)
        ):
            yield start, start + last.start()
            start += last.start(1)
        yield start, end


def _names_gel(text: str) -> bool:
    name = understand_name(text)
    return name is not None and (bool(name.fraction) or known_family(name.family) is not None)


def _joined_names(cells: list[str], heads: Sequence[str]) -> list[str]:
    """Join the words of a name where single spaces part cells: they stand under the first heading."""
    first = understand_gel_heading(heads[0])
    surplus = len(cells) - len(heads)
    last = understand_gel_heading(heads[-1])
    if first is not None and first.column in (GelColumn.NAME, GelColumn.FAMILY):
        return [" ".join(cells[: surplus + 1]), *cells[surplus + 1 :]]
    if last is not None and last.column in (GelColumn.NAME, GelColumn.NOTE):
        return [*cells[: len(heads) - 1], " ".join(cells[len(heads) - 1 :])]
    return cells


def merged(cells: Sequence[str], wanted: int) -> list[list[str]]:
    """Return the ways to join pairs of cells by a decimal comma, so that `wanted` are left."""
    pairs = [i for i in range(len(cells) - 1) if _may_join(cells[i], cells[i + 1])]
    surplus = len(cells) - wanted
    if not 0 < surplus <= _MOST_MERGED or len(pairs) > 14:
        return []
    ways = []
    for chosen in combinations(pairs, surplus):
        if all(b - a > 1 for a, b in pairwise(chosen)):
            out, at = list[str](), 0
            while at < len(cells):
                if at in chosen:
                    out.append(f"{cells[at]},{cells[at + 1]}")
                    at += 2
                else:
                    out.append(cells[at])
                    at += 1
            ways.append(out)
    return ways


def _may_join(one: str, two: str) -> bool:
    return bool(re.fullmatch(r"[+\-−–]?\d{1,3}", one) and re.fullmatch(r"\d{1,3}(?:\s?[^\d,.]*)?", two))
