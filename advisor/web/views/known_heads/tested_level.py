"""A row of a test sheet: one level of a head as it was set up, in words; and a level that is asked for."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....advice.known_heads.figures import figures_of
from ....advice.known_heads.levels import HeadWhite, LevelLine
from ....advice.known_heads.light import stops_below
from ....advice.known_heads.sentences import drift_said
from ....advice.overview.f_number import f_stop
from ....advice.readings.chromaticity import WhitePoint, measure
from ....advice.wording.ladder import Ladder
from ....advice.wording.words import against_loci
from ....model import Exposure, Gel, HeadReading, HeadSetup, KnownHead, Locus, Refused
from ....model.basis.quantities import tidy
from ....model.sets.known_head import HeadStep
from ....model.sets.phrases import measured, percent
from ...wording.short import short
from ...wording.values import lux, white_said
from .hang import BySetup, Hung, hung_said

_NBSP = "\N{NO-BREAK SPACE}"
_FIGURES = (("ra", "Ra"), ("r9", "R9"), ("rf", "Rf"), ("rg", "Rg"), ("ssi", "SSI"))


@dataclass(frozen=True)
class TestedLevel:
    """A level as the head was set up: what was read, what that means, and what to hang for each locus.

    `step` is that of the test, from 0, and `step_words` what it is called.
    """

    step: int
    step_words: str
    level: str
    white: str
    planckian: str
    daylight: str
    hang_planckian: str
    hang_daylight: str
    drift: str
    lux: str
    stops: str
    f_stop: str
    figures: str


@dataclass(frozen=True)
class SheetTerms:
    """What every row of a sheet is worked out by: sizes of gels, the camera, and what to hang.

    `factor` is the light where the sheet is for, as a share of that where it was read. `steps` are those of
    the test, from 0, by what they ask for. `gels` are those that were up as a modifier, in words, by setup.
    """

    ladder: Ladder
    exposure: Exposure
    factor: float
    hung: Hung
    steps: Mapping[HeadStep, int]
    gels: Mapping[HeadSetup, str]


def tested_level(
    reading: HeadReading,
    likely: WhitePoint,
    setup: HeadSetup,
    full: WhitePoint,
    brightest: float | None,
    terms: SheetTerms,
) -> TestedLevel:
    """Return a row for a reading beside `full`; `brightest` is the illuminance of the highest level [lx].

    `likely` is what the head likely gives where the meter read that.
    """
    hung = terms.hung.words.get((setup, reading.level), {})
    ladder = terms.ladder
    white = measure(reading)
    loci = against_loci(likely, ladder)
    there = None if reading.lux is None else reading.lux * terms.factor
    below = "" if reading.lux is None or brightest is None else _below(reading.lux, brightest)
    step = HeadStep(setup, reading.level)
    return TestedLevel(
        step=terms.steps[step],
        step_words=step.words,
        level=percent(reading.level),
        white=white_said(white.cct, white.duv),
        planckian=short(loci.get(Locus.PLANCKIAN, "")),
        daylight=short(loci.get(Locus.DAYLIGHT, "")),
        hang_planckian=hung.get(Locus.PLANCKIAN, ""),
        hang_daylight=hung.get(Locus.DAYLIGHT, ""),
        drift=short(drift_said(likely, full, ladder)),
        lux=lux(there),
        stops=below,
        f_stop=f_stop(there, terms.exposure).words if there else "",
        figures=" · ".join(_figures(reading, white)),
    )


def _below(own: float, full: float) -> str:
    stops = stops_below(own, full)
    if abs(stops) < _SAME:
        return ""
    return f"{measured(abs(stops), 'stop')} {'down' if stops > 0 else 'up'}"


_SAME = 0.05
"""Less than this is the same light: it would be written as 0.0 stop."""


def _figures(reading: HeadReading, white: WhitePoint) -> list[str]:
    """Say what the meter printed of it; what it did not print is worked out where it read a spectrum."""
    own = figures_of(reading.spectrum, white) if reading.spectrum else None
    said = []
    for name, label in _FIGURES:
        value = getattr(reading, name)
        if value is None and own is not None:
            value = float(round(getattr(own, name)))
        if value is not None:
            said.append(f"{label}{_NBSP}{tidy(value)}")
    if reference := reading.ssi_reference or (own.ssi_reference if own else ""):
        said[-1] += f"{_NBSP}({reference})"
    return [*said, f"{tidy(reading.watts)}{_NBSP}W"] if reading.watts else said


_LOCI = {Locus.PLANCKIAN: "Planckian", Locus.DAYLIGHT: "Daylight"}
_AS_SURE = 50.0
"""To so much a white between two readings is told. [K]"""


def asked_level(
    head: KnownHead,
    read: Mapping[HeadSetup, Sequence[HeadReading]],
    lines: Mapping[HeadSetup, LevelLine],
    level: float | None,
    gels: Sequence[Gel],
    elsewhere: BySetup,
) -> tuple[str, ...]:
    """Say what a head reads at a `level` [%], and what to hang there: a line for each setup.

    `gels` are those of the table in force; without any nothing is told to hang. `elsewhere` is what other
    tests of the day read. Raises Refused where nothing can be said of the level.
    """
    if level is None:
        return ()
    found: dict[HeadSetup, HeadWhite] = {}
    refused: list[Refused] = []
    for setup, line in lines.items():
        try:
            found[setup] = line.at(level)
        except Refused as no:
            refused.append(no)
    if refused and not found:
        raise refused[0]
    rows = {setup: list(some) for setup, some in read.items()}
    for setup, there in found.items():
        if there.about:
            rows[setup].append(_as_read(setup, level, there))
    words = hung_said(head, rows, gels, elsewhere).words if gels else {}
    return tuple(
        f"{percent(level)}, {setup.words}: {_white(white)}{_hang(words.get((setup, level), {}))}"
        for setup, white in found.items()
    )


def _as_read(setup: HeadSetup, level: float, there: HeadWhite) -> HeadReading:
    """Return a white that was worked out as a reading, to be held against the loci as one."""
    colour = {"cct": there.white.cct, "duv": there.white.duv}
    return HeadReading(**colour, level=level, modifier=setup.modifier, dial=setup.dial)


def _white(there: HeadWhite) -> str:
    about = "about " if there.about else ""
    cct = round(there.white.cct / _AS_SURE) * _AS_SURE if there.about else there.white.cct
    return f"{about}{white_said(cct, there.white.duv)}"


def _hang(words: Mapping[Locus, str]) -> str:
    said = [f" {_LOCI[locus]}: {told}." for locus, told in words.items() if told]
    return "".join([".", *said]) if said else ""
