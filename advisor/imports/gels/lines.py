"""The lines of a text with gels: as they stand, or as JSON and the tables of a web page become lines."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from ...model.sets.phrases import counted
from ..gel_layouts.accounted import missing_numbers
from ..gel_layouts.layout import GelLayout
from ..gel_layouts.likeness import is_trade_name
from ..markup.json_text import json_lines
from ..markup.web_page import is_web_page, page_lines
from ..spectra.json_spectra import says_curve, spectral_lines
from ..text.decode import characters, decode
from ..vocabulary.gel_headings import EFFECTS, GelColumn, understand_gel_heading
from ..vocabulary.gel_names import family_within, fractions_of

_NAMED = 6
_TELLING = {*EFFECTS, GelColumn.STOCK, GelColumn.FAMILY, GelColumn.FRACTION, GelColumn.NAME}


def lines_of_gels(data: str | bytes, where: str) -> tuple[str, Sequence[int], list[tuple[int, str]]]:
    """Return a text to read gels in, and for each of its lines the line there; none where they are the same.

    Also what of the text is not in it. Raises Refused for what is no text.
    """
    text = characters(data, where=where)
    curves = spectral_lines(text)
    made = json_lines(text, _tells, says_curve if curves else None)
    if made is not None:
        below = ["", *curves.split("\n")] if curves else []
        read = "\n".join([*made.shown, *below])
        return read, [*made.numbers, *([made.numbers[0]] * len(below))], _lost(text, read)
    if is_web_page(text):
        made = page_lines(text)
        if any(re.search(r"\d", line) for line in made.texts):
            return "\n".join(made.shown), made.numbers, []
    if curves is not None:
        return curves, (), _lost(text, curves)
    return decode(data, where=where), (), []


def _lost(text: str, read: str) -> list[tuple[int, str]]:
    """Say which numbers of JSON are in nothing that is read of it."""
    missing = missing_numbers(text, read)
    some = ", ".join(missing[:_NAMED]) + (", …" if len(missing) > _NAMED else "")
    return [(1, f"{counted(len(missing), 'number')} not used: {some}")] if missing else []


def _tells(headings: Iterable[str]) -> bool:
    """Whether headings are those of one gel: what it does, or its name with its sheets or its fraction."""
    own = [h for h in headings if not is_trade_name(h) and not _holds_gel(h)]
    held = {said.column for h in own if (said := understand_gel_heading(h)) is not None} & _TELLING
    return bool(held & set(EFFECTS)) or len(held) > 1


def _holds_gel(heading: str) -> bool:
    """Whether a heading is a gel's name and what is told of it, as "1/2 CTO mired" is."""
    words = heading.split()
    begun = [" ".join(words[:at]) for at in range(1, len(words))]
    return any(family_within(part) or fractions_of(part) for part in begun)


def as_numbered(layout: GelLayout, numbers: Sequence[int]) -> GelLayout:
    """Return a table with the numbers of the lines that it was made of."""

    def at(line: int) -> int:
        return numbers[line - 1] if 0 < line <= len(numbers) else line

    return replace(
        layout,
        head=replace(layout.head, line=at(layout.head.line)),
        rows=[replace(row, line=at(row.line)) for row in layout.rows],
        left=[(at(line), why) for line, why in layout.left],
    )
