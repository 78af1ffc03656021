"""What is doubtful of whole columns: scales, exposure values, positions, primes, what contradicts another."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ..grids.contents import NO_HEADING
from ..grids.table import Table
from ..text.cells import plain_numbers
from ..vocabulary.headings import Field, is_exposure
from ..vocabulary.hung import GEL
from ..vocabulary.languages import folded
from ..vocabulary.qualifiers import is_ten, qualified
from . import scales
from .answers import column_keys
from .columns import Columns
from .result import Answers, PasteQuestion, Reply, Sure

_MOST_EV = 20.0
_LOWEST_VPRIME = 0.42
"""Whites have v of 0.29 to 0.37 in 1960, and half as much again as v′ in 1976."""
_POSITION = re.compile(
    r"(?:pos(?:ition)?\.?\s*)?[xyz]\s*[(\[/,]?\s*(?:m|cm|mm|ft|feet|metres?|meters?|in)\s*[)\]]?"
)
_PLAIN_CCT = re.compile(r"\s*(?:[1-9]\d{3}|1\d{4}|2[0-4]\d{3})(?:\s?K)?\s*|")
_YES = "yes"


@dataclass
class _Table:
    """A table with what its columns were taken for so far."""

    table: Table
    columns: Columns
    mark: str | None
    answers: Answers
    keys: list[str]
    """Of the columns, by which answers go."""

    def values(self, field: Field, *, bare_only: bool = False) -> list[float | None]:
        """Return a column's numbers as written; None for what is none or, with `bare_only`, brings a unit."""
        return self.values_of([field], bare_only=bare_only)[0]

    def values_of(self, fields: Sequence[Field], *, bare_only: bool = False) -> list[list[float | None]]:
        """Return the numbers of several columns, as `values` does."""
        return self.values_at([self.columns.used[field][0] for field in fields], bare_only=bare_only)

    def values_at(self, indexes: Sequence[int], *, bare_only: bool = False) -> list[list[float | None]]:
        """Return the numbers of the columns at some indexes, as `values` does."""
        cells = [cell for at in indexes for cell in self.table.cells[at]]
        read = iter(plain_numbers(cells, self.mark, bare_only=bare_only))
        return [[next(read) for _ in self.table.rows] for _ in indexes]

    def heading(self, field: Field) -> str:
        return self.table.headings[self.columns.used[field][0]].strip()

    def key(self, field: Field) -> str:
        return self.keys[self.columns.used[field][0]]

    def has(self, *fields: Field) -> bool:
        return all(field in self.columns.used for field in fields)

    def with_used(
        self, used: dict[Field, tuple[int, float]], *asked: PasteQuestion, stops: bool = False
    ) -> None:
        stopping = self.columns.stopping | ({q.key for q in asked} if stops else set())
        self.columns = replace(
            self.columns, used=used, asked=[*self.columns.asked, *asked], stopping=frozenset(stopping)
        )


def doubts_of(table: Table, columns: Columns, mark: str | None, answers: Answers, first: int) -> Columns:
    """Return the columns with what is to be asked about them, and as the answers make them."""
    work = _Table(table, columns, mark, answers, column_keys(first, len(table.headings)))
    for doubt in (
        _unknown,
        _unread_shift,
        _exposure,
        _tints,
        _swapped,
        _scales,
        _levels,
        _positions,
        _ten_degrees,
        _primes,
    ):
        doubt(work)
    return work.columns


def _said(values: Sequence[float | None]) -> list[float]:
    return [value for value in values if value is not None]


def _unknown(work: _Table) -> None:
    """Ask of a heading that nobody knows whether it is the colour that its numbers look like."""
    for column in [*work.columns.taken]:
        likely = column.sure is Sure.LIKELY and column.field in ("cct", "duv")
        if not likely or (work.keys.index(column.key), 1.0) not in work.columns.used.values():
            continue
        if NO_HEADING.fullmatch(column.heading) or qualified(column.heading) is not None:
            continue
        work.with_used(work.columns.used, scales.looks_like(column, column.meaning, column.field))


def _unread_shift(work: _Table) -> None:
    """Ask about a column that says Duv or green in words nobody here knows, before its rows go without it."""
    if work.has(Field.DUV) or work.has(Field.CC) or not work.has(Field.CCT):
        return
    for column in work.columns.unused:
        if not scales.says_shift(column, work.table.headings) or qualified(column.heading) is not None:
            continue
        [values] = work.values_at([work.keys.index(column.key)])
        question = scales.looks_like_shift(column, _said(values))
        if question is not None:
            work.with_used(work.columns.used, question, stops=True)
            return


def _exposure(work: _Table) -> None:
    """Ask about a column headed Ev with numbers up to 20: exposure values, or very little light."""
    given = [c.heading for c in work.columns.unused if is_exposure(c.heading) and not c.answer]
    if given:
        work.with_used(
            work.columns.used,
            _is_asked(work, "exposure", given, "exposure values, which are no lux", "left out"),
        )
    if not work.has(Field.LUX) or re.sub(r"\W", "", folded(work.heading(Field.LUX))) != "ev":
        return
    values = _said(work.values(Field.LUX))
    if not values or max(values) > _MOST_EV or _is_chosen(work, Field.LUX):
        return
    question = scales.lux_or_exposure(work.key(Field.LUX), work.heading(Field.LUX), values[0])
    work.with_used({f: c for f, c in work.columns.used.items() if f is not Field.LUX}, question)


def _tints(work: _Table) -> None:
    """Ask about a column of green and magenta that says gels: “⅛ plus green” is no figure of a reading."""
    for field in (Field.CC, Field.DUV):
        if not work.has(field) or _is_chosen(work, field):
            continue
        at, _ = work.columns.used[field]
        cells = [row.cells[at] for row in work.table.rows if at < len(row.cells)]
        named = next((cell for cell in cells if GEL.search(cell[:60])), None)
        if named is None:
            continue
        question = scales.tint_or_gel(work.key(field), work.heading(field), named)
        work.with_used({f: c for f, c in work.columns.used.items() if f is not field}, question)


def _is_chosen(work: _Table, field: Field) -> bool:
    return work.key(field) in work.answers


def _swapped(work: _Table) -> None:
    """Ask of two columns that each hold what the other is headed."""
    if not work.has(Field.CCT) or _is_chosen(work, Field.CCT):
        return
    at, _ = work.columns.used[Field.CCT]
    if all(_PLAIN_CCT.fullmatch(row.cells[at]) for row in work.table.rows if at < len(row.cells)):
        return
    others = [other for other in (Field.LUX, Field.DUV) if work.has(other) and not _is_chosen(work, other)]
    ccts, *columns = map(_said, work.values_of([Field.CCT, *others], bare_only=True))
    for other, values in zip(others, columns, strict=True):
        question = scales.swapped(
            other, (work.heading(Field.CCT), work.heading(other)), ccts, values, work.answers
        )
        if question is not None:
            used = dict(work.columns.used)
            if question.answer != scales.NOT_SWAPPED:
                used[Field.CCT], used[other] = used[other], used[Field.CCT]
            work.with_used(used, question, stops=True)
            return


def _scales(work: _Table) -> None:
    """Numbers of a column whose scale is open: out of range in the same way, or a tint without its unit."""
    asked = [
        field
        for field in _SCALED
        if work.has(field) and work.columns.used[field][1] == 1.0 and not _is_chosen(work, field)
    ]
    for field, values in zip(asked, work.values_of(asked, bare_only=True) if asked else [], strict=True):
        heading, tint = work.heading(field), field is Field.CC
        if tint and not (scales.says_tint(heading) and _said(values) == _said(work.values(field))):
            continue
        choices = _SCALED[field](_said(values))
        if choices:
            says = f"The numbers under {heading!r} {'have no unit' if tint else _NONE.format(field)}"
            key, likely = work.key(field), choices[0].value
            question = PasteQuestion(key=key, says=says, choices=choices, likely=likely, lasting=True)
            work.with_used(work.columns.used, question, stops=tint)


_NONE = "cannot be {} as written"
_SCALED = {Field.CCT: scales.of_cct, Field.DUV: scales.of_duv, Field.CC: scales.of_tint}


def _levels(work: _Table) -> None:
    """Ask about dim levels that are hardly per cent; they are read as is likely until then."""
    if not work.has(Field.LEVEL) or _is_chosen(work, Field.LEVEL):
        return
    at, factor = work.columns.used[Field.LEVEL]
    heading = work.heading(Field.LEVEL)
    cells = [row.cells[at] for row in work.table.rows if at < len(row.cells)]
    if any(re.search(r"%|[^\W\d_]{3}", cell) for cell in cells):
        return  # one that says "60 %" or "full" tells the scale of all
    choices = scales.of_level(_said(work.values(Field.LEVEL, bare_only=True)))
    if not choices or (factor != 1.0 and scales.CHANNELS not in folded(heading)):
        return
    used = {f: c for f, c in work.columns.used.items() if f is not Field.LEVEL}
    field, by = scales.READ_AS[choices[0].value]
    question = PasteQuestion(
        key=work.key(Field.LEVEL),
        says=f"{heading!r} is a dim level in which scale?",
        choices=choices,
        likely=choices[0].value,
        blocks=False,
        lasting=True,
    )
    work.with_used(used | {field: (at, by)}, question)


def _unused(work: _Table, pattern: re.Pattern[str]) -> list[str]:
    return [c.heading for c in work.columns.unused if pattern.fullmatch(folded(c.heading))]


def _positions(work: _Table) -> None:
    """X and y in metres are places on the floor; so are x and y that no light can have."""
    metres, key = _unused(work, _POSITION), "positions"
    if metres:
        work.with_used(work.columns.used, _is_asked(work, key, metres, "positions", "left out"))
        return
    if not work.has(Field.X, Field.Y) or not _both(work, Field.CCT, Field.DUV):
        return
    pairs = [
        (x, y)
        for x, y in zip(work.values(Field.X), work.values(Field.Y), strict=True)
        if x is not None and y is not None
    ]
    if pairs and not any(0.15 < x < 0.7 and 0.15 < y < 0.6 for x, y in pairs):
        used = dict(work.columns.used)
        del used[Field.X], used[Field.Y]
        work.with_used(
            used,
            _is_asked(work, key, [work.heading(Field.X), work.heading(Field.Y)], "positions", "left out"),
        )


def _is_asked(work: _Table, key: str, headings: Sequence[str], what: str, done: str) -> PasteQuestion:
    named = " and ".join(repr(heading) for heading in headings[:4])
    return PasteQuestion(
        key=key,
        says=f"{named}: {what}? They are {done}",
        choices=[Reply(value=_YES, words=what.capitalize())],
        likely=_YES,
        answer=_YES if work.answers.get(key) == _YES else "",
        blocks=False,
        lasting=True,
    )


def _both(work: _Table, *fields: Field) -> bool:
    others = {Field.CCT: Field.MIRED, Field.DUV: Field.CC}
    return all(work.has(field) or work.has(others[field]) for field in fields)


def _ten_degrees(work: _Table) -> None:
    """Chromaticities for the observer of 10° are no others for 2°; nothing here is made for them."""
    found = [c.heading for c in work.columns.unused if is_ten(c.heading)]
    if found:
        what = "chromaticities for the 10° observer"
        work.with_used(work.columns.used, _is_asked(work, "ten-degrees", found, what, "left out"))


def _primes(work: _Table) -> None:
    """U and v whose numbers are those of u′ and v′, or the other way round."""
    for mine, others in (
        ((Field.U60, Field.V60), (Field.U76, Field.V76)),
        ((Field.U76, Field.V76), (Field.U60, Field.V60)),
    ):
        if not work.has(*mine) or _both(work, Field.CCT, Field.DUV) or work.has(Field.X, Field.Y):
            continue
        firsts, values = _said(work.values(mine[0])), _said(work.values(mine[1]))
        white = bool(values) and all(0.15 < value < 0.45 for value in firsts)
        high = white and all(_LOWEST_VPRIME < value < 0.58 for value in values)
        low = white and all(0.25 < value < 0.4 for value in values)
        if not (high if mine[1] is Field.V60 else low):
            continue
        shown = [f"{others[0]} and {others[1]}", f"{mine[0]} and {mine[1]}"]
        says = f"{work.heading(mine[0])!r} and {work.heading(mine[1])!r} hold numbers of {shown[0]}"
        choices = {_YES: shown[0], "no": shown[1]}
        question = PasteQuestion.of("primes", says, choices, work.answers, likely=_YES, lasting=True)
        used = dict(work.columns.used)
        if question.answer == _YES:
            for old, new in zip(mine, others, strict=True):
                used[new] = used.pop(old)
        work.with_used(used, question, stops=True)
        return
