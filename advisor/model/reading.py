"""A source of light on set, and what a meter said about it."""

import re
from enum import StrEnum
from typing import Annotated, Self

from pydantic import AfterValidator, BeforeValidator, Field, model_validator

from .base import Model, Name, Note
from .curve import Spectrum
from .problems import wrong
from .quantities import CCT, R9, SSI, ChromaticityX, ChromaticityY, Duv, Lux, Ra, Rf, Rg, WantedMired


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


def _known_kind(value: object) -> object:
    if isinstance(value, Kind) or (isinstance(value, str) and value in set(Kind)):
        return value
    raise wrong(f"kind {str(value)[:40]!r} is not known", ", ".join(Kind))


KindField = Annotated[Kind, BeforeValidator(_known_kind)]


def _reference(value: str) -> str:
    named = re.fullmatch(r"\s*([PpDd])\s*(\d{4,5})\s*[Kk]?\s*", value)
    lowest = 4000 if named and named[1] in "Dd" else 1000
    if not named or not lowest <= int(named[2]) <= 25000:
        raise wrong(
            f"SSI reference {value[:20]!r} is not known", "P or D with kelvins, such as P3200 or D5600"
        )
    return named[1].upper() + named[2]


class Reading(Model):
    """One measurement of a source: CCT with Duv, or x, y, or a spectrum; illuminance if it was read.

    Beside a spectrum, `cct` and `duv` are what the meter itself made of it; the spectrum is what counts.
    `ra`, `r9`, `rf`, `rg` and `ssi` (against `ssi_reference`) are further figures that a meter printed.
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

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        ways = [self.cct is not None or self.duv is not None, self.xy is not None, self.spectrum is not None]
        if sum(ways) != 1 and ways != [True, False, True]:
            said = "nothing about colour" if not any(ways) else "its colour in more than one way"
            raise wrong(f"the reading gives {said}", "one of: cct with duv; xy; spectrum")
        if ways[0] and self.cct is None:
            raise wrong("CCT is missing", "1 000 to 25 000 K")
        if ways[0] and self.duv is None:
            raise wrong("Duv is missing", "−0.05 to 0.05; 0 if the meter gives none")
        if (self.ssi is None) != (self.ssi_reference is None):
            raise wrong(
                "SSI needs the name of its reference, and the reference its SSI", "both, such as 84 and P3200"
            )
        return self


class Aim(Model):
    """What is wanted of a source: to match the target, to be left as it is, or to sit off it on purpose.

    `mired` warms and `duv` turns green, from the target. `leave` means that it is not to be touched.
    """

    leave: bool = False
    mired: WantedMired = 0.0
    duv: Duv = 0.0

    @property
    def plain(self) -> bool:
        """Whether it is simply to match."""
        return not (self.leave or self.mired or self.duv)


class Source(Model):
    """A source with its reading. `keep` names gels that hang on it in any case (diffusion, ND)."""

    name: Name
    kind: KindField = Kind.UNKNOWN
    reading: Reading
    note: Note = ""
    keep: list[str] = Field(default_factory=list, max_length=4)
    aim: Aim = Aim()
