"""What a meter said about a source of light, and how the source was set up then."""

import re
from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import Annotated, Self

from pydantic import AfterValidator, Field, model_validator

from ..basis.base import Model, OneOf, Time, TypedText
from ..basis.curve import Spectrum
from ..basis.problems import wrong
from ..basis.quantities import (
    CCT,
    R9,
    SSI,
    ChromaticityX,
    ChromaticityY,
    DialCCT,
    DialGreen,
    DimLevel,
    Duv,
    Lux,
    Ra,
    Rf,
    Rg,
)
from .target import DAYLIGHT_FROM

MAX_HUNG = 8
"""The most gels that hang on a source, with what is kept."""


class Kind(StrEnum):
    """What makes the light; it decides which spectra a bare CCT and Duv can stand for."""

    TUNGSTEN = "tungsten"
    DAYLIGHT = "daylight"
    DISCHARGE = "discharge"
    LED_WHITE = "led-white"
    LED_MIX = "led-mix"
    FLUORESCENT = "fluorescent"
    FLUORESCENT_TRIBAND = "fluorescent-triband"
    SODIUM = "sodium"
    UNKNOWN = "unknown"

    @property
    def words(self) -> str:
        """The kind as a crew says it."""
        return _KIND_WORDS[self]


LINED = (Kind.FLUORESCENT, Kind.FLUORESCENT_TRIBAND, Kind.LED_MIX, Kind.DISCHARGE, Kind.UNKNOWN)
"""The kinds that may have narrow lines, of which a gel may take less, or more, than its label says."""

_KIND_WORDS = {
    Kind.TUNGSTEN: "Tungsten",
    Kind.DAYLIGHT: "Daylight",
    Kind.DISCHARGE: "Discharge",
    Kind.LED_WHITE: "White LED",
    Kind.LED_MIX: "Colour-mixing LED",
    Kind.FLUORESCENT: "Fluorescent",
    Kind.FLUORESCENT_TRIBAND: "Tri-band fluorescent",
    Kind.SODIUM: "Sodium",
    Kind.UNKNOWN: "Not known",
}


Modifier = Annotated[str, TypedText("Modifier", 40)]

NEAREST, FARTHEST = 0.001, 1000.0
"""How many times as far as at first a head may stand."""
_Times = Annotated[float, Field(ge=NEAREST, le=FARTHEST, allow_inf_nan=False)]


_as_at_first = frozenset({None, 1.0}).__contains__

_unsaid = frozenset({False}).__contains__

# Left out of files and answers where nothing was moved: most heads never are.
AsFar = Annotated[_Times, Field(exclude_if=_as_at_first)]

KindField = Annotated[Kind, OneOf(Kind, "kind")]


def _reference(value: str) -> str:
    named = re.fullmatch(r"\s*([PpDd])\s*(\d{4,5})\s*[Kk]?\s*", value)
    lowest = DAYLIGHT_FROM if named and named[1] in "Dd" else 1000
    if not named or not lowest <= int(named[2]) <= 25000:
        raise wrong(
            f"SSI reference {value[:20]!r} is not known", "P or D with kelvins, such as P3200 or D5600"
        )
    return named[1].upper() + named[2]


class Setting(Model):
    """Where the dials of an adjustable head stand, in the head's own numbers."""

    cct: DialCCT
    green: DialGreen = 0.0


class Reading(Model):
    """One measurement of a source: CCT with Duv, or x, y, or a spectrum; illuminance if it was read.

    With a spectrum, `cct` and `duv` are what the meter itself made of it, and only the spectrum counts.
    `ra`, `r9`, `rf`, `rg` and `ssi` (against `ssi_reference`) are other figures that a meter printed.

    The tags say how the source was set up: dim `level` [%] (None if nobody said), `modifier` (empty for
    none), `dial`, and `gels`, all that hung then (empty for bare). `gels_checked` is true if somebody looked
    at what hung: then no gel is suspected, however odd the reading. `gel_burnt` is true if its gels had burnt
    or faded by then: it counts for nothing.

    `duv_assumed` is true where nobody read a Duv, and the one that is given stands in its place.

    `as_far` is how many times as far from its subject the head stood as where it was first read, and
    `lux_as_far` where the lux is told for, if it was worked out for another place than that.

    With `tested_at` it was taken in a test of the head, which began then, and not on this set.

    A program may send `taken_at` to put the readings of a source in order. A source does not keep it; the
    record keeps the time beside the reading.
    """

    cct: CCT | None = None
    duv: Duv | None = None
    xy: tuple[ChromaticityX, ChromaticityY] | None = None
    spectrum: Spectrum | None = None
    lux: Lux | None = None
    ra: Ra | None = None
    r9: R9 | None = None
    rf: Rf | None = None
    rg: Rg | None = None
    ssi: SSI | None = None
    ssi_reference: Annotated[str, AfterValidator(_reference)] | None = None
    level: DimLevel | None = None
    modifier: Modifier = ""
    dial: Setting | None = None
    gels: list[str] = Field(default_factory=list, max_length=MAX_HUNG)
    gels_checked: bool = False
    gel_burnt: Annotated[bool, Field(exclude_if=_unsaid)] = False
    duv_assumed: bool = False
    as_far: AsFar = 1.0
    lux_as_far: Annotated[_Times | None, Field(exclude_if=_as_at_first)] = None
    tested_at: Time | None = Field(default=None, description="ISO 8601 with its zone")
    taken_at: Time | None = Field(default=None, description="ISO 8601 with its zone")

    @property
    def said(self) -> bool:
        """Whether it says anything of colour: all do but `UNREAD`."""
        return not (self.cct is None and self.xy is None and self.spectrum is None)

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self is UNREAD:
            return self
        if None not in (self.cct, self.duv) and (self.xy, self.ssi, self.ssi_reference) == (None,) * 3:
            return self  # nearly all, of which a set may have a million
        ways = [self.cct is not None or self.duv is not None, self.xy is not None, self.spectrum is not None]
        if sum(ways) != 1 and ways != [True, False, True]:
            said = "nothing about colour" if not any(ways) else "its colour in more than one way"
            raise wrong(f"the reading gives {said}", "cct with duv, or xy, or a spectrum")
        if ways[0] and self.cct is None:
            raise wrong("CCT is missing", "1 000 to 25 000 K")
        if ways[0] and self.duv is None:
            raise wrong("Duv is missing", "−0.05 to 0.05, and 0 if the meter gives none")
        if (self.ssi is None) != (self.ssi_reference is None):
            raise wrong(
                "SSI needs the name of its reference, and the reference its SSI", "both, such as 84 and P3200"
            )
        return self


UNREAD = Reading.model_construct()
"""Stands in a source that has no bare reading that counts. It has no white."""


def that_say(readings_of_each: Sequence[Sequence[Reading]]) -> list[list[Reading]]:
    """Return of each source those of its readings that say something of colour, in their order."""
    return [[reading for reading in readings if reading.said] for readings in readings_of_each]


def without_gels(readings: Iterable[Reading]) -> list[Reading]:
    """Return the readings, in their order, that were taken of a bare source and say something of colour."""
    return [reading for reading in readings if reading.said and not reading.gels]
