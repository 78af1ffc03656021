"""Rows of names, CCTs and Duvs, with no heading in front: "key fill", "5480 3190", "+4 -1"."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from ..grids.source_lines import SourceLines
from ..vocabulary.headings import understand

_MARKS = (r"\t+", r"\s*;\s*", r"\s*\|\s*", r",\s+", r"\s{2,}", r"\s+")
_CCT = re.compile(r"(?:1?\d|2[0-5])'?\d{3}\s?[kK]?")
_DUV = re.compile(r"[+-]\s?\d{1,2}(?:[.,]\d)?(?:\s?cc)?|[+-]?\s?0?[.,]\d{2,5}|[+-]?0", re.IGNORECASE)
_LUX = re.compile(r"\d{1,6}\s?(?:lx|lux|fc)?", re.IGNORECASE)
_NAME = re.compile(r"[^\W\d_][^;|\t]{0,30}")
_FEWEST, _MOST = 2, 40
_LONGEST = 500


def rows_across(lines: SourceLines) -> SourceLines | None:
    """Return a text of rows of names, CCTs and Duvs with a reading a part; None of any other."""
    filled = [at for at, text in enumerate(lines.texts) if text.strip()]
    texts, made = list(lines.texts), False
    for first, at in enumerate(filled[:-2]):
        block = [lines.texts[i].strip() for i in filled[first : first + 4]]
        told = _told(block) if all(len(text) <= _LONGEST for text in block) else None
        if told is not None:
            rows, text = told
            for row in filled[first : first + rows]:
                texts[row] = ""
            texts[at] = text
            made = True
    return replace(lines, texts=texts) if made else None


def _told(block: Sequence[str]) -> tuple[int, str] | None:
    """Return how many rows tell the readings, and the message that says the same; None where none do."""
    for mark in _MARKS:
        cells = [[c.strip() for c in re.split(mark, text)] for text in block]
        count = len(cells[0])
        if not _FEWEST <= count <= _MOST or len(cells) <= 2 or any(len(own) != count for own in cells[:3]):
            continue
        if not (
            _are(cells[0], _is_name) and _are(cells[1], _CCT.fullmatch) and _are(cells[2], _DUV.fullmatch)
        ):
            continue
        rows = 4 if len(cells) > 3 and len(cells[3]) == count and _are(cells[3], _LUX.fullmatch) else 3
        return rows, "; ".join(" ".join(parts) for parts in zip(*cells[:rows], strict=True))
    return None


def _are(cells: Sequence[str], is_one: Callable[[str], object]) -> bool:
    return all(is_one(cell) for cell in cells)


def _is_name(cell: str) -> bool:
    return bool(_NAME.fullmatch(cell)) and understand(cell) is None
