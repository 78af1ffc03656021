"""The test sheet of a head: what to say of it, its readings by modifier and level, its light, its drift."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....advice.known_heads.levels import LevelLine, line_through
from ....advice.known_heads.light import DimmerLaw, at_distance, dimmer_law, stops_below
from ....advice.known_heads.sentences import drift_said, of_locus, sentences
from ....advice.overview.f_number import exposure_time, f_stop, time_said
from ....advice.readings.chromaticity import WhitePoint, measure
from ....advice.wording.ladder import Ladder
from ....model import Exposure, HeadReading, HeadSetup, Locus, Refused
from ....model.basis.quantities import tidy
from ....model.sets.phrases import counted, measured, percent
from ....store.known_heads.known import StoredHead, StoredTest
from ...pictures.head_drift import HeadDrift, head_drift
from ...wording.values import capitalize_first, extent, lux, white_said

_LAWS = {
    DimmerLaw.LINEAR: "The light follows the dimmer's number: half is one stop down.",
    DimmerLaw.SQUARE: "The light follows the square of the dimmer's number: half is two stops down.",
    DimmerLaw.OWN: "The light follows a curve of its own: go by the table.",
}
_FIGURES = (("ra", "Ra"), ("r9", "R9"), ("rf", "Rf"), ("rg", "Rg"), ("ssi", "SSI"))


@dataclass(frozen=True)
class TestedLevel:
    """A level with one modifier: what was read, and what that means."""

    level: str
    white: str
    planckian: str
    daylight: str
    drift: str
    lux: str
    stops: str
    f_stop: str
    figures: str


@dataclass(frozen=True)
class SheetPart:
    """What was read with the head set up in one way, from full down, and how its light follows the dimmer."""

    setup: str
    rows: tuple[TestedLevel, ...]
    law: str


@dataclass(frozen=True)
class TestSheet:
    """A head's test sheet; `at` answers what was asked of a level, a line a modifier."""

    __test__ = False

    said: tuple[str, ...]
    how: str
    camera: str
    parts: tuple[SheetPart, ...]
    drift: HeadDrift | None
    caution: str
    left: int
    at: tuple[str, ...]


def readings_by_setup(test: StoredTest) -> dict[HeadSetup, list[HeadReading]]:
    """Return what was read by how the head was set up, in the order of the test, from full down."""
    found: dict[HeadSetup, list[HeadReading]] = {}
    for step in sorted(test.readings):
        found.setdefault(test.test.steps[step].setup, []).append(test.readings[step].reading)
    return {setup: sorted(some, key=lambda r: -r.level) for setup, some in found.items()}


def sheet_view(
    head: StoredHead,
    test: StoredTest,
    ladder: Ladder,
    exposure: Exposure,
    distance: float | None = None,
    level: float | None = None,
) -> TestSheet:
    """Return the sheet of a test of which something was read, with its light at `distance` [m].

    `level` [%] is one that somebody asks for. Raises Refused for a level about which nothing can be said.
    """
    by_setup = readings_by_setup(test)
    lines = {setup.words: line_through(some) for setup, some in by_setup.items()}
    read_at = test.test.distance
    scaled = distance is not None and read_at is not None and distance != read_at
    factor = at_distance(1.0, read_at, distance) if scaled and read_at and distance else 1.0
    return TestSheet(
        said=sentences(by_setup, ladder),
        how=_how(head, test),
        camera=_camera(exposure, distance if scaled else read_at),
        parts=tuple(
            _part(setup, some, measure(_full(by_setup, setup)), ladder, exposure, factor)
            for setup, some in by_setup.items()
        ),
        drift=head_drift(lines),
        caution=_CAUTION if scaled else "",
        left=len(test.unread),
        at=_asked(lines, level),
    )


_CAUTION = "Scaled by the inverse square. It fails close to a large source: meter it there."


def _full(readings: Mapping[HeadSetup, Sequence[HeadReading]], setup: HeadSetup) -> HeadReading:
    """Return what a reading is held against: the first with the same dials."""
    return next(some[0] for other, some in readings.items() if other.dial == setup.dial)


def _part(
    setup: HeadSetup,
    readings: Sequence[HeadReading],
    full: WhitePoint,
    ladder: Ladder,
    exposure: Exposure,
    factor: float,
) -> SheetPart:
    light = {r.level: r.lux for r in readings if r.lux is not None}
    law = dimmer_law(light)
    rows = tuple(_row(r, full, light, ladder, exposure, factor) for r in readings)
    return SheetPart(capitalize_first(setup.words), rows, _LAWS[law] if law else "")


def _row(
    reading: HeadReading,
    full: WhitePoint,
    light: Mapping[float, float],
    ladder: Ladder,
    exposure: Exposure,
    factor: float,
) -> TestedLevel:
    white = measure(reading)
    loci = of_locus(white, ladder)
    there = None if reading.lux is None else reading.lux * factor
    below = "" if reading.lux is None else _below(reading.lux, light[max(light)])
    return TestedLevel(
        level=percent(reading.level),
        white=white_said(white.cct, white.duv),
        planckian=_short(loci.get(Locus.PLANCKIAN, "")),
        daylight=_short(loci.get(Locus.DAYLIGHT, "")),
        drift="" if white is full else drift_said(white, full, ladder),
        lux=lux(there),
        stops=below,
        f_stop=f_stop(there, exposure).words if there else "",
        figures=" · ".join(_figures(reading)),
    )


def _below(own: float, full: float) -> str:
    stops = stops_below(own, full)
    if abs(stops) < _SAME:
        return ""
    return f"{measured(abs(stops), 'stop')} {'down' if stops > 0 else 'up'}"


_SAME = 0.05
"""Less than this is the same light: it would be written as 0.0 stop."""


def _figures(reading: HeadReading) -> list[str]:
    said = [
        f"{label} {tidy(value)}" for name, label in _FIGURES if (value := getattr(reading, name)) is not None
    ]
    if reading.ssi is not None:
        said[-1] += f" ({reading.ssi_reference})"
    return [*said, f"{tidy(reading.watts)} W"] if reading.watts else said


def _short(words: str) -> str:
    """Leave out which locus it is, where the column says it."""
    for locus in ("the Planckian locus", "the daylight locus"):
        words = words.removesuffix(f" against {locus}").replace(locus, "it")
    return words


def _how(head: StoredHead, test: StoredTest) -> str:
    asked = test.test
    parts = [
        f"at {extent(asked.distance)}" if asked.distance else "",
        f"on for {counted(asked.minutes_on, 'minute')}" if asked.minutes_on is not None else "",
        f"meter: {asked.meter}" if asked.meter else "",
    ]
    said = [part for part in parts if part]
    return f"{head.head.kind.words}{', ' if said else ''}{', '.join(said)}."


def _camera(exposure: Exposure, distance: float | None) -> str:
    there = f", {extent(distance)} away" if distance else ""
    return f"ISO {tidy(exposure.iso)}, {time_said(exposure_time(exposure))}{there}"


def _asked(lines: Mapping[str, LevelLine], level: float | None) -> tuple[str, ...]:
    if level is None:
        return ()
    said: list[str] = []
    refused: list[Refused] = []
    for setup, line in lines.items():
        try:
            found = line.at(level)
        except Refused as no:
            refused.append(no)
            continue
        about = "about " if found.about else ""
        cct = round(found.white.cct / 50.0) * 50.0 if found.about else found.white.cct
        said.append(f"{percent(level)}, {setup}: {about}{white_said(cct, found.white.duv)}")
    if refused and not said:
        raise refused[0]
    return tuple(said)
