"""What a page says of a gel that is taught: how sure the result is, what it holds on, what is asked first."""

from collections.abc import Sequence

from ...advice.teaching.teach import Lesson, Question, ReadingPair
from ...model import Gel, Kind
from ...model.sets.phrases import listed, percent
from .values import cc, lower_first, mired

_TEACH_ALL = (Kind.TUNGSTEN, Kind.DAYLIGHT, Kind.LED_WHITE)
"""Lamps whose spectrum their kind and a reading tell well enough to teach shift and green."""
_LITTLE = 0.85
"""A fit that leaves more than this share of the doubt has told little."""


def sure(lesson: Lesson, pairs: int) -> str:
    """Say what was fitted, how surely, and from how much: “+43 mired, 0.0 CC, within 6 %, from 2 pairs”.

    The doubt is that of the row that is kept, said as the table says it.
    """
    assert lesson.fit is not None, "a curve has no doubt of its own"
    off = f"within {percent(lesson.new.off_percent or 0.0)}"
    return f"{mired(lesson.new.mired)}, {cc(lesson.new.cc)}, {off}, from {pairs_said(pairs)}"


def pairs_said(pairs: int) -> str:
    """Say how many pairs of readings there are."""
    return "a pair of readings" if pairs == 1 else f"{pairs} pairs of readings"


def holds(lesson: Lesson, before: Gel, pairs: Sequence[ReadingPair]) -> str:
    """Say on what kinds of lamp a fitted row was read, and what would teach it better."""
    assert lesson.fit is not None, "a curve holds on all lamps"
    heads = [pair.head for pair in pairs]
    if all(head.reading.spectrum is None and head.kind not in _TEACH_ALL for head in heads):
        lamps = listed([kind.words for kind in Kind if kind in {head.kind for head in heads}])
        return f"{lamps}: the spectrum is a guess. Tungsten, daylight or white LED teaches more."
    was = before.off_percent
    if was is not None and lesson.fit.percent > _LITTLE * was:
        return "Hardly surer than before. Meter another pair."
    kinds = {head.kind for head in heads}
    said = [_in_a_sentence(kind) for kind in Kind if kind in kinds]
    read = f"Read on {listed(said)}."
    return read if len(kinds - {Kind.UNKNOWN}) > 1 else f"{read} A pair on another kind of lamp tells more."


def _in_a_sentence(kind: Kind) -> str:
    return "a lamp of no known kind" if kind is Kind.UNKNOWN else lower_first(kind.words)


def asked(lesson: Lesson, alone: Gel | None) -> str:
    """Say what has to be decided before the row is changed; `alone` is what the readings alone say."""
    assert lesson.fit is not None, "nothing is asked of a curve"
    known = f"within {percent(lesson.old.off_percent)}" if lesson.old.off_percent is not None else "as typed"
    match lesson.question:
        case Question.CURVE:
            return f"This row is a measured curve, {known}. Readings would take its place."
        case Question.CONTRADICTS:
            assert alone is not None, "the readings were fitted alone"
            says = f"{mired(lesson.old.mired)}, {cc(lesson.old.cc)}"
            reads = f"{mired(alone.mired)}, {cc(alone.cc)}"
            return f"The row says {says}. Your meter says {reads}. Both cannot be right."
        case Question.BETTER:
            return f"The row is surer than these readings: {known} against {_readings(lesson)}."
        case None:
            return ""


def _readings(lesson: Lesson) -> str:
    assert lesson.fit is not None, "nothing is asked of a curve"
    off = max(lesson.fit.alone_percent, lesson.fit.percent)
    return "100 % or more" if off >= 100 else percent(float(f"{off:.0f}"))


def kept_as(pairs: int, *, measured: bool) -> str:
    """Say what a row was fitted to, for the table's history."""
    return "its transmittance" if measured else pairs_said(pairs)
