"""What a page says of a tested head on a set: of which day its test is, and how far it has moved since."""

from collections.abc import Sequence
from math import log
from typing import NamedTuple

from ...advice.known_heads.ageing import Step, step_of
from ...advice.known_heads.doubts import sign_meant
from ...advice.readings.off_test import Contradiction, contradicts, read_twice
from ...advice.readings.tested import OffTest, moved_test
from ...advice.wording.ladder import Ladder
from ...advice.wording.words import amount_of_green, seen
from ...model import Accuracy, AsTested, Seen, Source
from ...model.sets.phrases import counted, listed, measured, percent, signed
from .values import capitalize_first, extent, kelvin, when_said, whole_extent

NOT_AS_TESTED = "Not as in its test"
"""How it begins where a reading contradicts the test of a head."""
_MAY_BE = "Is it another head or lamp, or a gel off its label?"
_TELLS = "Meter it bare: that tells."
ANOTHER_LAMP = f"Another head or lamp? {_TELLS}"
"""Said first of a head that nobody read bare here: a surprise behind a gel is as likely the lamp."""
_USUAL_TOLERANCE = 3.0
"""What counts as close where a doubt is said. [step]"""
_LEAST_KELVINS, _LEAST_MIRED, _LEAST_STOPS = 10.0, 1.0, 0.1
"""Smaller shifts are not said: no eye and no meter tells them. [K; MK⁻¹; stop]"""
_LIKELY = {Seen.MATCHES: "Likely as tested", Seen.CLOSE: "Likely close to its test"}


class AnsweredTest(NamedTuple):
    """What somebody said of readings that contradict the test of their head, by keeping them to a head.

    `source` has those kept to its own head among its tests, with a `new_lamp` where it got one. `kept_to` is
    the other head to which the newest is kept, empty where it is to none.
    """

    source: Source
    new_lamp: bool
    kept_to: str


def tested_said(
    source: Source,
    ladder: Ladder,
    accuracy: Accuracy,
    *,
    answered: AnsweredTest | None = None,
    unlike: bool = False,
    apart: float = 0.0,
    settled: bool = False,
) -> str:
    """Say how a source goes by its test, or how far the newest reading moved that; empty without a test.

    `unlike` says that what was read behind its gel does not come from the light of its test, `apart` [step]
    how far that is from what the test gives. Where that is `settled`, nothing is asked for. What was
    `answered` is asked no more.
    """
    test = moved_test(source)
    if test is None:
        return ""
    day = when_said(test.tested_at).partition(", ")[2]
    if unlike:
        said = f"{_unmetered(source)} {NOT_AS_TESTED} of {day}. {_MAY_BE}"
        return said if settled else f"{said} {_TELLS}"
    if not test.shifts:
        return f"From its test of {day}. {_unmetered(source)}{_doubt(source.test, apart)}{_distance(source)}"
    step, newest = list(test.shifts.items())[-1]
    lit = _read_at(source, step)
    said = moved_said(newest, ladder, lit=lit)
    doubted = contradicts(source, test, accuracy)
    contradiction = _still(answered, accuracy) if answered and doubted else doubted
    asked = _sign_asked(source, newest, accuracy)
    if asked and not (contradiction and contradiction.level):
        return asked
    if contradiction and answered and answered.kept_to:
        return f"{capitalize_first(said)} than in its test of {day}. The plan goes by this reading."
    if contradiction:
        return f"{NOT_AS_TESTED} of {day}: {said}. {to_check(contradiction)} The plan goes by this reading."
    if not said:
        return f"Reads as in its test of {day}."
    if doubted and answered and answered.new_lamp:
        return f"New lamp since its test of {day}: {said}. The whole test moves with it."
    away = source.test.distance if source.test and lit and _stops(newest) else None
    where = f" at {whole_extent(away)}" if away else ""
    return f"{capitalize_first(said)} than in its test of {day}{where}. The whole test moves with it."


def _still(answered: AnsweredTest, accuracy: Accuracy) -> Contradiction | None:
    """Return how the newest reading contradicts the tests together with what was kept to them."""
    test = moved_test(answered.source)
    return contradicts(answered.source, test, accuracy) if test else None


def _read_at(source: Source, step: Step) -> bool:
    """Whether a step was read in the test and here: a level in between, or not noted, is a guess."""
    tested = {bool(reading.tested_at) for reading in source.bare_readings if step_of(reading) == step}
    return len(tested) == 2


def tested_briefly(sources: Sequence[Source], by_test: Sequence[str]) -> list[str]:
    """Say in short which bare sources go by their tests alone; empty of one that was metered, or has none.

    `by_test` says of each when its test began, if it does (`Plan.by_test`).
    """
    return [_briefly(source, at) if at else "" for source, at in zip(sources, by_test, strict=True)]


def _briefly(source: Source, tested_at: str) -> str:
    metered = "metered with gel only" if _behind_gels(source) else "not metered here"
    return f"Tested {when_said(tested_at).partition(', ')[2]}, {metered}"


def _unmetered(source: Source) -> str:
    if count := _behind_gels(source):
        return f"Metered here with its gel on ({counted(count, 'reading')}), never bare."
    if any(not reading.tested_at for reading in source.bare_readings):
        return "Metered here, set otherwise than in its test."
    return "Not metered on this set."


def _behind_gels(source: Source) -> int:
    """Return how many readings of a source were taken on the set behind gels."""
    return sum(1 for reading in source.readings if reading.gels and not reading.tested_at)


def moved_said(shift: OffTest, ladder: Ladder, *, lit: bool) -> str:
    """Say how far a reading is off the test: “40 K lower, a touch greener”; empty where it is not.

    Where it is `lit` alike, at the same level and modifier, its light is said too.
    """
    parts = []
    kelvins = round(abs(shift.kelvins), -1)
    if kelvins >= _LEAST_KELVINS and abs(shift.mired) >= _LEAST_MIRED:
        parts.append(f"{kelvin(kelvins)} {'higher' if shift.kelvins > 0 else 'lower'}")
    green = amount_of_green(shift.duv, ladder)
    if green.rung >= 2:
        parts.append(f"{green.text} {'greener' if shift.duv > 0 else 'more magenta'}")
    if lit and (stops := _stops(shift)):
        parts.append(f"{measured(abs(stops), 'stop')} {'brighter' if stops > 0 else 'darker'}")
    return listed(parts)


def _stops(shift: OffTest) -> float:
    """Return how many stops brighter a reading is; 0 for less than is said, and without its light."""
    stops = shift.light / log(2.0)
    return stops if abs(stops) >= _LEAST_STOPS else 0.0


def to_check(contradiction: Contradiction) -> str:
    """Say what to check first where a bare reading contradicts the test of its head."""
    if contradiction.level is not None:
        return f"It reads as its test at {percent(contradiction.level)}: check the level."
    return "Check the head’s number, its lamp and its level."


def _sign_asked(source: Source, newest: OffTest, accuracy: Accuracy) -> str:
    """Ask about a Duv that was read once and fits the test with the other sign only; empty of any other."""
    duv = source.reading.duv
    if duv is None or source.reading.tested_at or read_twice(source, accuracy):
        return ""
    tested = duv - newest.duv
    meant = sign_meant(duv, tested)
    if meant is None:
        return ""
    said = f"Duv {signed(duv, 4)} was read, {signed(tested, 4)} in its test"
    return f"{said}. Was {signed(meant, 4)} meant?"


def _doubt(test: AsTested | None, apart: float) -> str:
    if test is None or apart > _USUAL_TOLERANCE:
        return ""  # within what gel and meter may be off, and nobody would call that likely as tested
    likely = _LIKELY.get(seen(test.doubt_steps, _USUAL_TOLERANCE), "It may show beside its test")
    why = f"by how it held over {counted(test.tests, 'test')}" if test.tests > 1 else "by its age"
    return f" {likely}, {why}."


def _distance(source: Source) -> str:
    lit = any(reading.lux for reading in source.bare_readings)
    if not (lit and source.test and source.test.distance):
        return ""
    return f" Its lux holds at {extent(source.test.distance)}."
