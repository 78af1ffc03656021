"""Headings in two lines: groups over some columns, such as “Bare” and “With gel”, and units beneath them."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..text.lines import Separator, cells_in
from .head_lines import HeadLine, is_number

_LONGEST = 40


def with_groups(texts: Sequence[str], head: HeadLine) -> HeadLine:
    """Say after headings that stand several times what the line above them says of their columns.

    The headings as they are, where no line above groups them.
    """
    head = _filled(texts, head)
    names = [h.casefold() for h in head.headings]
    twice = {i for i, name in enumerate(names) if name and names.count(name) > 1}
    first = next((at for at, name in enumerate(names) if name), 0)
    if not twice or first in twice or head.mark in (Separator.SPACES, Separator.SPACE):
        return head
    above = next((texts[at] for at in range(head.at - 1, max(head.at - 4, -1), -1) if texts[at].strip()), "")
    groups = _spread(cells_in(above, head.mark) if len(above) < 5000 else [], len(names))
    if len({group for group in groups if group}) < 2:
        return head
    headings = [f"{h} {groups[i]}" if i in twice and groups[i] else h for i, h in enumerate(head.headings)]
    return replace(head, headings=headings)


def _filled(texts: Sequence[str], head: HeadLine) -> HeadLine:
    """Fill headings that stand empty with what the line above says over them, as merged cells do."""
    if all(head.headings) or head.headings[:1] != [""] or head.mark in (Separator.SPACES, Separator.SPACE):
        return head
    above = next((texts[at] for at in range(head.at - 1, max(head.at - 4, -1), -1) if texts[at].strip()), "")
    cells = cells_in(above, head.mark) if len(above) < 5000 else []
    if not 1 < len(cells) <= len(head.headings) or any(map(is_number, cells)):
        return head
    filled = [h or (cells[at] if at < len(cells) else "") for at, h in enumerate(head.headings)]
    return replace(head, headings=filled)


def _spread(cells: Sequence[str], count: int) -> list[str]:
    """Spread each group over the blanks behind it; nothing where the line holds no groups."""
    if not 1 < len(cells) <= count or any(len(cell) > _LONGEST or is_number(cell) for cell in cells):
        return [""] * count
    groups: list[str] = []
    for at in range(count):
        cell = cells[at] if at < len(cells) else ""
        groups.append(cell or (groups[-1] if groups else ""))
    return groups


def under_headings(heading_line: str, headings: Sequence[str], text: str) -> list[str]:
    """Return the cells of a line of fixed width, each in the column whose heading it stands under."""
    starts, at = [], 0
    for heading in headings:
        at = heading_line.find(heading, at)
        starts.append((at, at + len(heading)))
        at += len(heading)
    out = [""] * len(headings)
    for found in re.finditer(r"\S+(?:\s\S+)*", text):
        middle = (found.start() + found.end()) / 2
        nearest = min(range(len(starts)), key=lambda i: _off(starts[i], found.start(), found.end(), middle))
        out[nearest] = f"{out[nearest]} {found[0]}".strip()
    return out


def _off(span: tuple[int, int], start: int, end: int, middle: float) -> tuple[bool, float]:
    """Say how far a cell is from a heading: first whether they do not overlap."""
    return (end <= span[0] or start >= span[1], abs(middle - (span[0] + span[1]) / 2))
