"""The test sheet of a head: what to say of it, its readings by modifier and level, its light, its drift."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from ....advice.known_heads.ageing import A_DAY
from ....advice.known_heads.doubts import same_level
from ....advice.known_heads.levels import line_through
from ....advice.known_heads.light import DimmerLaw, at_distance, dimmer_law, stops_below
from ....advice.known_heads.sentences import main_setup, sentences
from ....advice.overview.f_number import exposure_time, f_stop, time_said
from ....advice.readings.chromaticity import measure
from ....advice.readings.filament import likely_of
from ....advice.stacks.gel_arrays import revision_of
from ....advice.wording.ladder import ladder_of
from ....model import Exposure, Gel, HeadReading, HeadSetup, KnownHead, Spectrum
from ....model.basis.quantities import tidy
from ....model.sets.known_head import HeadStep
from ....model.sets.phrases import counted, measured, percent
from ....store.known_heads.known import StoredHead, StoredTest
from ...gels.as_modifier import gel_as_modifier
from ...pictures.dimming_curve import head_drift
from ...pictures.head_spectra import HeadSpectra, head_spectra
from ...pictures.strips import Strips
from ...plans.aside import worked_aside
from ...wording.values import capitalize_first, extent, kelvin, lux, whole_extent
from .hang import BySetup, Carry, Hung, carry_said, greens_of, hung_said, same_gels
from .tested_level import SheetTerms, TestedLevel, asked_level, tested_level

_LAWS = {
    DimmerLaw.LINEAR: ("The light follows the dimmer's number", "about one stop down"),
    DimmerLaw.SQUARE: ("The light follows the square of the dimmer's number", "about two stops down"),
    DimmerLaw.OWN: ("The light follows a curve of its own", ""),
}
"""How the light follows, and what half is where nobody read that."""


@dataclass(frozen=True)
class SheetPart:
    """What was read with the head set up in one way, from full down, and how its light follows the dimmer.

    `gel` says that a gel was up as the modifier, empty where none was: nothing is hung over it then.
    """

    setup: str
    rows: tuple[TestedLevel, ...]
    law: str
    hang_for: str
    gel: str


@dataclass(frozen=True)
class TestSheet:
    """A head's test sheet; `at` answers what was asked of a level, a line a modifier.

    `left` counts what the test needs and that was not read; `more` what a short test leaves out, of which
    `next_of_more` is the first step.

    `dense` asks for small type on paper, so that many readings stay on one page.
    """

    __test__ = False

    said: tuple[str, ...]
    carry: tuple[Carry, ...]
    how: str
    camera: str
    parts: tuple[SheetPart, ...]
    drift: Strips | None
    spectra: HeadSpectra | None
    elsewhere: str
    caution: str
    left: int
    more: int
    next_of_more: int
    at: tuple[str, ...]
    dense: bool


def readings_by_setup(test: StoredTest) -> dict[HeadSetup, list[HeadReading]]:
    """Return what was read by how the head was set up, in the order of the test, from full down."""
    found: dict[HeadSetup, list[HeadReading]] = {}
    steps = test.test.steps
    for step in sorted(test.readings):
        found.setdefault(steps[step].setup, []).append(test.readings[step].reading)
    return {setup: sorted(some, key=lambda r: -r.level) for setup, some in found.items()}


def sheet_view(
    head: StoredHead,
    test: StoredTest,
    gels: Sequence[Gel],
    exposure: Exposure,
    distance: float | None = None,
    level: float | None = None,
    tests: Sequence[StoredTest] = (),
) -> TestSheet:
    """Return the sheet of a test of which something was read, with its light at `distance` [m].

    `tests` are all of the head: those of the same day tell, too, what its dials do. `gels` are those of the
    table in force, `level` [%] one that somebody asks for. Raises Refused for a level about which nothing can
    be said, and Working while that of very many dial settings is worked out.
    """
    by_setup, ladder = readings_by_setup(test), ladder_of(gels)
    by_line = {setup: line_through(some) for setup, some in by_setup.items()}
    lines = {setup.words: line for setup, line in by_line.items()}
    read_at = test.test.distance
    scaled = distance is not None and read_at is not None and distance != read_at
    factor = at_distance(1.0, read_at, distance) if scaled and read_at and distance else 1.0
    elsewhere = _elsewhere_read(test, tests, by_setup)
    hung = _hung(head.head, by_setup, gels, elsewhere)
    gels_up = {setup: gel_as_modifier(setup.modifier, gels) for setup in by_setup}
    terms = SheetTerms(ladder, exposure, factor, hung, _steps(test), gels_up)
    first = main_setup(by_setup)
    likely = {setup: likely_of(head.head.kind, some) for setup, some in by_setup.items()}
    spectra = {k.words: found for k, some in by_setup.items() if (found := _spectrum(some))}
    return TestSheet(
        said=(
            *sentences(likely, ladder, same_gels=same_gels(hung, first)),
            *_green_unread(head, {**elsewhere, **by_setup}, hung),
        ),
        carry=tuple(carry_said(hung)),
        how=_how(head, test),
        camera=_camera(exposure, distance if scaled else read_at),
        parts=tuple(_part(setup, some, likely, terms) for setup, some in by_setup.items()),
        drift=head_drift(lines),
        spectra=head_spectra(spectra, list(lines)),
        elsewhere="" if scaled else _elsewhere(by_setup[first][0], first, read_at, exposure),
        caution=_CAUTION if scaled else "",
        left=len(test.unread),
        more=len(test.left_out),
        next_of_more=min(test.left_out, default=0),
        at=asked_level(head.head, by_setup, by_line, level, gels if _at_once(by_setup) else (), elsewhere),
        dense=len(test.readings) > _ROOMY,
    )


def _elsewhere_read(test: StoredTest, tests: Sequence[StoredTest], own: BySetup) -> BySetup:
    """Return what other tests of the day read where the head was set up as in none of this one."""
    day = datetime.fromisoformat(test.begun_at)
    found: dict[HeadSetup, list[HeadReading]] = {}
    for other in tests:
        if other.id != test.id and abs(datetime.fromisoformat(other.begun_at) - day) <= A_DAY:
            found = {**readings_by_setup(other), **found}
    return {setup: some for setup, some in found.items() if setup not in own}


def _hung(head: KnownHead, by_setup: BySetup, gels: Sequence[Gel], elsewhere: BySetup) -> Hung:
    if _at_once(by_setup):
        return hung_said(head, by_setup, gels, elsewhere)
    read = [reading for known in (by_setup, elsewhere) for some in known.values() for reading in some]
    said = [head.model_dump_json(), revision_of(gels), *(reading.model_dump_json() for reading in read)]
    return worked_aside("The sheet", ["sheet", *said], hung_said, head, by_setup, gels, elsewhere)


def _at_once(by_setup: Mapping[HeadSetup, Sequence[HeadReading]]) -> bool:
    return sum(reading.dial is not None for some in by_setup.values() for reading in some) <= _AT_ONCE


def _green_unread(head: StoredHead, known: BySetup, hung: Hung) -> list[str]:
    """Ask for a reading at another green where green is told, and nobody read what the green dial does."""
    reach = head.head.reach
    gels = [words for some in hung.words.values() for words in some.values()]
    if reach is None or reach.green_from == reach.green_to or len(greens_of(known)) != 1:
        return []
    told = any("green" in words for words in gels)
    return ["Read it at another green too: then its green dial is sure."] if told else []


def _steps(test: StoredTest) -> dict[HeadStep, int]:
    return {step: k for k, step in enumerate(test.test.steps)}


_AT_ONCE = 24
"""Of so many readings with dials it is worked out at once, how the dials are set; more take seconds."""
_ROOMY = 18
"""So many readings stay on one page in type that is easy to read."""
_CAUTION = "By the inverse square. It fails close to a large source: meter it there."


def _spectrum(readings: Sequence[HeadReading]) -> Spectrum | None:
    """Return the spectrum at the highest level that has one."""
    return next((r.spectrum for r in readings if r.spectrum), None)


def _full(readings: Mapping[HeadSetup, Sequence[HeadReading]], setup: HeadSetup) -> HeadReading:
    """Return what a reading is held against: the first with the same dials."""
    return next(some[0] for other, some in readings.items() if other.dial == setup.dial)


def _part(setup: HeadSetup, readings: Sequence[HeadReading], likely: BySetup, terms: SheetTerms) -> SheetPart:
    full = measure(_full(likely, setup))
    light = {r.level: r.lux for r in readings if r.lux is not None}
    brightest = light[max(light)] if light else None
    rows = tuple(
        tested_level(r, measure(there), setup, full, brightest, terms)
        for r, there in zip(readings, likely[setup], strict=True)
    )
    hung_for = kelvin(terms.hung.cct[setup]) if setup in terms.hung.cct else ""
    own = f"{terms.gels[setup]} is a gel: test it without" if terms.gels[setup] else ""
    law = _level_doubted(readings) or _law_said(light)
    return SheetPart(capitalize_first(setup.words), rows, law, hung_for, own)


def _level_doubted(readings: Sequence[HeadReading]) -> str:
    """Ask about two levels that gave one light; empty where none did."""
    pairs = ((one, other) for one, other in pairwise(readings) if same_level(one, other))
    return next((_SAME_LIGHT.format(*(percent(r.level) for r in two)) for two in pairs), "")


_SAME_LIGHT = "{} and {} gave the same light: one was read at the other's level. Fix it or strike it out."


def _law_said(light: Mapping[float, float]) -> str:
    """Say how illuminances [lx] by level [%] follow the dimmer; half as it was read, where it was."""
    law = dimmer_law(light)
    if law is None:
        return ""
    said, half = _LAWS[law]
    full = max(light)
    if full / 2.0 in light:
        half = f"{measured(stops_below(light[full / 2.0], light[full]), 'stop')} down"
    return f"{said}: half is {half}." if half else f"{said}: go by the table."


def _elsewhere(reading: HeadReading, setup: HeadSetup, read_at: float | None, exposure: Exposure) -> str:
    """Say the light at other distances; empty where nobody read how much, or how far away."""
    if reading.lux is None or read_at is None:
        return ""
    there = {d: at_distance(reading.lux, read_at, d) for d in _DISTANCES if abs(d - read_at) > _SAME_PLACE}
    said = [f"{extent(d)} {lux(light)} {f_stop(light, exposure).words}" for d, light in there.items()]
    return f"{HeadStep(setup, reading.level).words}, elsewhere: {', '.join(said)}. {_CAUTION}"


_DISTANCES = (1.0, 2.0, 3.0, 5.0, 8.0)
"""Where a crew puts heads: common practice, no source. [m]"""
_SAME_PLACE = 0.05


def _how(head: StoredHead, test: StoredTest) -> str:
    asked = test.test
    parts = [
        f"read on {asked.on_set}" if asked.on_set else "",
        f"at {whole_extent(asked.distance)}" if asked.distance else "",
        f"on for {counted(asked.minutes_on, 'minute')}" if asked.minutes_on is not None else "",
        f"meter: {asked.meter}" if asked.meter else "",
    ]
    said = [part for part in parts if part]
    return f"{head.head.kind.words}{', ' if said else ''}{', '.join(said)}."


def _camera(exposure: Exposure, distance: float | None) -> str:
    there = f", {whole_extent(distance)} away" if distance else ""
    return f"ISO {tidy(exposure.iso)}, {time_said(exposure_time(exposure))}{there}"
