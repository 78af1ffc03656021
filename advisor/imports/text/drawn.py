"""Tables that are drawn with other signs than usual: quoted with ">", parted by " / " or " - "."""

import re
from collections.abc import Callable, Sequence

_QUOTED = re.compile(r"^\s{0,3}(?:>\s?)+")
_MARKS = (" / ", " // ", " - ", " – ", " — ", " • ", " · ", " :: ", " ~ ", " > ", " → ", " -> ")
_FEWEST_CELLS = 3
_FEWEST_LINES = 2
_NUMBERS = re.compile(r"(\S.*?(?:\D|\d/\d))((?:\s+[+−–-]?\d[\d.,]*%?){1,6})")
_LONGEST = 200
_LEADERS = re.compile(r"(?<=\S) ?(?:\.{3,}|…{2,}|_{3,}|(?:\. ){3,}|\.{2}(?=\s)) ?(?=\S)")
_PARTED = re.compile(r"[\t;|]")
_CELLS = re.compile(r"[\t;|]|\S\s{2,}\S|(?: (?:/|-|–|—|•|·) .*){2}")
_COMMAS = re.compile(r",.*,|[\t;|]|\S\s{2,}\S")


def without_quotes(lines: Sequence[str], *, commas: bool = False) -> list[str]:
    """Take the marks of a quoted message off lines that hold a table; leave all others as they are.

    With `commas` these part cells too.
    """
    told = _COMMAS if commas else _CELLS
    quoted = [bare for line in lines if (bare := _QUOTED.sub("", line)) != line and re.search(r"\w", bare)]
    cells = sum(told.search(line) is not None for line in quoted)
    if cells < _FEWEST_LINES or 2 * cells < len(quoted):
        return list(lines)
    return [_QUOTED.sub("", line) for line in lines]


def without_leaders(lines: Sequence[str]) -> list[str]:
    """Write spaces for the rows of points that lead from a name to its figures: "1/2 CTO ..... +81"."""
    led = [_LEADERS.search(line[:_LONGEST]) is not None for line in lines]
    if sum(led) < _FEWEST_LINES:
        return list(lines)
    return [_LEADERS.sub("   ", line) if own else line for line, own in zip(lines, led, strict=True)]


def with_corners(lines: Sequence[str]) -> list[str]:
    """Write a second pipe in front of lines whose first cell is empty, where other lines have none in front.

    A pipe in front is the frame of a table, and parts nothing.
    """
    inner = {line.count("|") for line in lines if "|" in line and not line.lstrip().startswith("|")}
    return [
        f"|{line}" if line.lstrip().startswith("|") and _is_open(line) and line.count("|") in inner else line
        for line in lines
    ]


def _is_open(line: str) -> bool:
    return not line.rstrip().endswith("|") and re.search(r"\w", line) is not None


def with_tabs(lines: Sequence[str]) -> list[str] | None:
    """Write tabs before the numbers behind names, "full CTO +160 0.9"; None where a line differs."""
    found = [_NUMBERS.fullmatch(line.strip()[:_LONGEST]) for line in lines if line.strip()]
    parts = [[each[1].strip(), *each[2].split()] for each in found if each]
    if len(parts) < max(len(found), _FEWEST_LINES) or len({len(each) for each in parts}) > 1:
        return None
    rows = iter(parts)
    return ["\t".join(next(rows)) if line.strip() else line for line in lines]


def with_pipes(lines: Sequence[str], are_headings: Callable[[Sequence[str]], bool]) -> list[str]:
    """Write pipes between the cells of a table that another sign parts, beneath a line of headings."""
    out = list(lines)
    for mark in _MARKS:
        at = next((i for i, line in enumerate(out) if _is_head(line, mark, are_headings)), None)
        if at is None:
            continue
        wanted = len(_cells(out[at], mark))
        rows = [i for i in range(at + 1, len(out)) if len(_cells(out[i], mark)) == wanted]
        if len(rows) >= _FEWEST_LINES:
            for i in (at, *rows):
                out[i] = " | ".join(_cells(out[i], mark))
            return out
    return out


def _is_head(line: str, mark: str, are_headings: Callable[[Sequence[str]], bool]) -> bool:
    cells = _cells(line, mark)
    return len(cells) >= _FEWEST_CELLS and are_headings(cells)


def _cells(line: str, mark: str) -> list[str]:
    return [] if mark not in line or _PARTED.search(line) else [c.strip() for c in f" {line} ".split(mark)]
