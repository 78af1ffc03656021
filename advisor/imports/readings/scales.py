"""What numbers may mean: thousands, mired, thousandths; levels not in per cent; two CCTs in one cell."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ...model.basis.quantities import tidy
from ..grids.table import Table
from ..text.lines import Record
from ..vocabulary.headings import Field
from ..vocabulary.languages import folded
from ..vocabulary.noted import EIGHT_BITS, MOST_STOPS, SHARE
from ..vocabulary.words import words
from .columns import Columns
from .result import Answers, PasteQuestion, Reply, Understood

CHANNELS = "dmx"
"""A heading with this word may be one of addresses."""
READ_AS = {
    "level-1": (Field.LEVEL, SHARE),
    "level-255": (Field.LEVEL, EIGHT_BITS),
    "stops-down": (Field.STOPS_DOWN, 1.0),
    "level": (Field.LEVEL, 1.0),
}
"""What a column is read as until it is answered."""
_TWO = "two-ccts"
_LUX = "lux-thousands"
_TWO_CCTS = re.compile(
    r"\s*(\d{4,5})\s?(?:°?\s?K)?\s?(?:/|\||or|oder|ou|o)\s?(\d{4,5})\s?(?:°?\s?K)?\s*", re.I
)
_THREE_PLACES = re.compile(r"\s*[1-9]\d{0,2}([.,])\d{3}\s*(?:lx|lux)?\s*", re.I)
_SAYS_DUV = re.compile(r"(?<![^\W_])(?:d|δ|delta)[ _-]?uv(?![^\W_])")
_SAYS_GREEN = re.compile(
    r"(?<![^\W_])(?:green|grn|gr[uo]n|vert|verde|groen|ziel\w{2,4}|magenta|cc|緑)(?![^\W_])(?!.*(?:dial|set))"
    r"|^\s?(?:\+\s?/\s?[-−]|±)\s?$"
)
_SAYS_RED = re.compile(
    r"(?<![^\W_])(?:red|rot|rouge|rojo|rosso|vermelho|rood|blue|blau|bleu|azul|blu|blauw)(?![^\W_])"
)
_MOST_DUV = 0.05
_MOST_TINT = 10.0
"""Whites are hardly more CC off; the tints of cameras run further. Our own judgement."""
_TINTS = words(
    "tint tints tinte teinte tonung farbstich tinta tonalidad tono tonalita tinting odcien ティント"
)
_FINER, _HARDLY, _LARGEST, _FINEST = 5.0, 25.0, 50.0, 500.0
"""A Duv × 1 000 is hardly over 25; whole numbers over 5 may be × 10 000. Our own judgement."""
_KELVIN = (1000, 25000)
_LIKE_CCT = (1500, 15000)
"""What numbers of CCTs mostly are, where others may be lux. [K]"""
NOT_SWAPPED = "no"
"""Answer that two columns hold what their headings say."""


def of_level(values: Sequence[float]) -> list[Reply]:
    """Return what numbers under a plain heading of dim levels may mean, where they are hardly per cent."""
    if not values:
        return []
    if max(values) <= 1 and any(0 < value < 1 for value in values):
        shown = next(value for value in values if 0 < value < 1)
        return [
            Reply(value="level-1", words=f"share of 1: {tidy(shown * SHARE, 0)} %"),
            Reply(value="level", words=f"per cent: {tidy(shown)} %"),
        ]
    whole = all(value == int(value) for value in values)
    if whole and 100 < max(values) <= 255 and min(values) >= 0:
        return [
            Reply(value="level-255", words=f"of 255: {tidy(values[0] * EIGHT_BITS, 0)} %"),
            Reply(value="-", words="Leave it out"),
        ]
    if -MOST_STOPS <= min(values) < 0 and max(values) <= 0:
        return [
            Reply(value="stops-down", words=f"stops: {tidy(2.0 ** min(values) * SHARE, 0)} %"),
            Reply(value="-", words="Leave it out"),
        ]
    return []


def of_cct(values: Sequence[float]) -> list[Reply]:
    """Return what numbers under a heading of CCTs may mean, where they are none as they stand."""
    if values and all(1 <= value <= 25 for value in values):
        return [Reply(value="cct-k", words=f"× 1 000: {tidy(values[0] * 1000, 0)} K")]
    if values and all(40 <= value < 1000 for value in values):
        return [Reply(value="mired", words=f"mired: {tidy(1e6 / values[0], 0)} K")]
    return []


def of_duv(values: Sequence[float]) -> list[Reply]:
    """Return what numbers under a heading of Duv may mean, where they are none as they stand."""
    far = [value for value in values if abs(value) > _MOST_DUV]
    if not far or any(0 < abs(value) < _MOST_DUV for value in values):
        return []
    most = max(map(abs, far))
    thousandths = Reply(value="duv-m", words=f"÷ 1 000: {tidy(far[0] / 1000, 4)}")
    finer = Reply(value="duv-10m", words=f"÷ 10 000: {tidy(far[0] / 10_000, 4)}")
    whole = most > _FINER and all(value == int(value) for value in values)
    ways = [*([thousandths] if most <= _LARGEST else []), *([finer] if whole and most <= _FINEST else [])]
    ways = ways[::-1] if most > _HARDLY else ways
    return [*ways, Reply(value="-", words="Leave it out")] if ways else []


def of_tint(values: Sequence[float]) -> list[Reply]:
    """Return what numbers under a bare "Tint" may mean: a meter's CC, or the scale of some camera or head."""
    if not values:
        return []
    most = max(map(abs, values))
    ways = [
        Reply(value="cc", words=f"CC: Duv {tidy(values[0] / 1000, 4)}"),
        Reply(value="-", words="A camera's own scale: leave it out"),
    ]
    return ways if most <= _MOST_TINT else ways[::-1]


def says_tint(heading: str) -> bool:
    """Whether a heading says tint and nothing of its unit."""
    return re.sub(r"[^\w]", "", folded(heading)) in _TINTS


def looks_like(column: Understood, meaning: str, field: str) -> PasteQuestion:
    """Ask whether a column is what its numbers look like."""
    return PasteQuestion(
        key=column.key,
        says=f"{column.heading[:40]!r} looks like {meaning}. Is it?",
        choices=[Reply(value=field, words=f"It is {meaning}"), Reply(value="-", words="Leave it out")],
        likely=field,
        blocks=False,
        lasting=True,
    )


def lux_or_exposure(key: str, heading: str, value: float) -> PasteQuestion:
    """Ask about a column headed Ev whose numbers are small."""
    return PasteQuestion(
        key=key,
        says=f"{heading!r} holds {tidy(value)}: lux, or exposure values?",
        choices=[Reply(value="-", words="Exposure values"), Reply(value="lux", words="Illuminance, lx")],
        likely="-",
        lasting=True,
    )


def tint_or_gel(key: str, heading: str, cell: str) -> PasteQuestion:
    """Ask about a column of green and magenta that says a gel."""
    return PasteQuestion(
        key=key,
        says=f"{heading!r} says {cell[:30]!r}, which is not a number",
        choices=[
            Reply(value="-", words="Leave it out"),
            Reply(value="gel", words="It is the gel that hung"),
        ],
        likely="-",
        blocks=False,
        lasting=True,
    )


def says_shift(column: Understood, headings: Sequence[str]) -> bool:
    """Whether a column left out, without a reason or an answer, says Duv, or green and magenta.

    Beside red or blue, green is one of the emitters of a head.
    """
    if column.answer or column.why:
        return False
    said = folded(column.heading)
    if _SAYS_DUV.search(said):
        return True
    green = says_tint(said) or _SAYS_GREEN.search(said) is not None
    return green and not any(_SAYS_RED.search(folded(each)) for each in headings)


def looks_like_shift(column: Understood, values: Sequence[float]) -> PasteQuestion | None:
    """Ask about a column that says Duv or green, where its numbers can be some."""
    if not values:
        return None
    question = looks_like(column, "Duv", "duv")
    most = max(map(abs, values))
    if most <= _MOST_DUV:
        return question
    if _SAYS_DUV.search(folded(column.heading)):
        choices = of_duv(values)
    else:
        choices = of_tint(values) if most <= _LARGEST else []
        question = question.model_copy(
            update={"says": f"The numbers under {column.heading[:40]!r} have no unit"}
        )
    return (
        question.model_copy(update={"choices": choices, "likely": choices[0].value, "blocks": True})
        if choices
        else None
    )


def swapped(
    other: Field, heads: tuple[str, str], ccts: Sequence[float], others: Sequence[float], answers: Answers
) -> PasteQuestion | None:
    """Ask whether a column of CCTs and another, so headed, are swapped; None where their numbers fit."""
    low, high = _LIKE_CCT if other is Field.LUX else _KELVIN
    wrong = [cct for cct in ccts if not _KELVIN[0] <= cct <= _KELVIN[1]]
    if not wrong or not others or not all(low <= value <= high for value in others):
        return None
    return PasteQuestion.of(
        "swapped",
        f"{heads[0]!r} holds {tidy(wrong[0])}, and {heads[1]!r} {tidy(others[0])}: swapped?",
        {"yes": f"Swap them: {tidy(others[0], 0)} K", NOT_SWAPPED: "As they are headed"},
        answers,
        likely="yes",
        lasting=True,
    )


def settled_cells(table: Table, columns: Columns, answers: Answers) -> tuple[Table, list[PasteQuestion]]:
    """Return the table with such cells as was answered, and what is to be asked of them."""
    asked: list[PasteQuestion] = []
    at, factor = columns.used.get(Field.CCT, (-1, 0.0))
    if factor == 1.0:
        table, questions = _two_ccts(table, at, answers)
        asked += questions
    at, factor = columns.used.get(Field.LUX, (-1, 0.0))
    duv, _ = columns.used.get(Field.DUV, (-1, 0.0))
    if factor == 1.0 and duv >= 0:
        decimals = {mark for cell in table.cells[duv] for mark in re.findall("[.,]", cell)}
        table, questions = _lux(table, at, decimals, answers)
        asked += questions
    return table, asked


def _two_ccts(table: Table, at: int, answers: Answers) -> tuple[Table, list[PasteQuestion]]:
    found = {n: two for n, cell in enumerate(table.cells[at]) if (two := _two(cell)) is not None}
    if not found:
        return table, []
    shown = next(iter(found.values()))
    answer = answers.get(_TWO, "")
    answer = answer if answer in ("-", "first", "second") else ""
    question = PasteQuestion(
        key=_TWO,
        says=f"A cell holds two CCTs, {shown[0]} and {shown[1]}: which was read?",
        choices=[
            Reply(value="-", words="Neither"),
            Reply(value="first", words=f"{shown[0]} K"),
            Reply(value="second", words=f"{shown[1]} K"),
        ],
        answer=answer,
        blocks=False,
    )
    if not answer:
        return table, [question]
    said = {n: {"-": "", "first": two[0], "second": two[1]}[answer] for n, two in found.items()}
    rows = [_with(row, at, said[n]) if n in said else row for n, row in enumerate(table.rows)]
    return replace(table, rows=rows), [question]


def _two(cell: str) -> tuple[str, str] | None:
    found = _TWO_CCTS.fullmatch(cell[:40])
    if found is None or not all(_KELVIN[0] <= int(cct) <= _KELVIN[1] for cct in found.groups()):
        return None
    return found[1], found[2]


def _lux(table: Table, at: int, decimals: set[str], answers: Answers) -> tuple[Table, list[PasteQuestion]]:
    """Ask of lux with three places behind the mark that is a decimal mark elsewhere in the table."""
    cells = [cell for cell in table.cells[at] if cell]
    marks = {found[1] if (found := _THREE_PLACES.fullmatch(cell)) else "" for cell in cells}
    if len(cells) < 2 or len(marks) != 1 or (mark := marks.pop()) not in decimals:
        return table, []
    whole = re.sub(r"\D", "", cells[0])
    question = PasteQuestion.of(
        _LUX,
        f"{cells[0]!r} of light may be thousands or decimals",
        {"thousands": f"{whole[:-3]} {whole[-3:]} lx", "decimals": f"{whole[:-3]}.{whole[-3:]} lx"},
        answers,
        likely="thousands",
        lasting=True,
    )
    if not question.answer:
        return table, [question]
    rows = []
    for row in table.rows:
        cell = row.cell(at)
        if question.answer == "thousands":
            said = cell.replace(mark, "", 1)
        else:  # four places leave no doubt about the mark
            said = re.sub(r"[.,](\d{3})(?!\d)", r".\g<1>0", cell, count=1)
        rows.append(_with(row, at, said) if cell else row)
    return replace(table, rows=rows), [question]


def _with(row: Record, at: int, cell: str) -> Record:
    return replace(row, cells=[*row.cells[:at], cell, *row.cells[at + 1 :]])
