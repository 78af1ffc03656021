"""A gel, and the table of gels that a crew has."""

import re
import unicodedata
from collections.abc import Iterable
from enum import StrEnum
from typing import Annotated, NamedTuple, Self

from pydantic import AfterValidator, Field, model_validator

from ..basis.base import Model, Note, OneOf, TypedText, refuse_twice
from ..basis.curve import Transmittance
from ..basis.problems import wrong
from ..basis.quantities import GelCC, GelMired, GelReference, GelStops, RowPercent, Stock

_FRACTION_ALLOWED = "a fraction such as 1/8, the word full, or a density such as 0.3"


def _fraction(value: str) -> str:
    value = re.sub(r"\s*/\s*", "/", value.strip().lower())
    if value == "full":
        return value
    part = re.fullmatch(r"(\d{1,2})/(\d{1,2})", value)
    if part and 1 <= int(part[1]) <= int(part[2]):
        return value
    if re.fullmatch(r"\d(\.\d{1,3})?", value) and float(value) > 0:
        return value
    raise wrong(f"Fraction {value[:20]!r} is not one that a gel comes in", _FRACTION_ALLOWED)


def _family(value: str) -> str:
    # Some keyboards and files write an accent as a sign of its own.
    value = unicodedata.normalize("NFC", value)
    if not re.fullmatch(r"[^\W\d_][\w .&()+-]*", value):
        allowed = "a letter first, then letters, digits, spaces, . & ( ) + -"
        raise wrong(f"Family {value[:40]!r} holds a sign that a name cannot", allowed)
    return re.sub(r"\s+", " ", value)


Family = Annotated[str, TypedText("Family", 40, shortest=1), AfterValidator(_family)]
Fraction = Annotated[str, TypedText("Fraction", 20, shortest=1), AfterValidator(_fraction)]


class Known(StrEnum):
    """How it is known what a gel does: as the trade reckons, by its swatch book, or by the crew's meter."""

    GENERIC = "generic"
    SWATCH = "swatch"
    TAUGHT = "taught"
    MEASURED = "measured"

    @property
    def words(self) -> str:
        """How it is known, as a crew says it."""
        return _KNOWN_WORDS[self]


HowKnown = Annotated[Known, OneOf(Known, "How a gel is known:")]

_KNOWN_WORDS = {
    Known.GENERIC: "generic",
    Known.SWATCH: "from the swatch book",
    Known.TAUGHT: "fitted to your meter",
    Known.MEASURED: "measured curve",
}
_PERCENT = {Known.SWATCH: 5.0, Known.TAUGHT: 5.0, Known.MEASURED: 2.0}
"""How far a row may be off if it says how it is known, and no `percent`. [% of its shift] From memory."""
_GENERIC_CTO, _GENERIC_ND, _GENERIC_OTHER = 25.0, 3.0, 12.0
"""How far generic rows may be off. CTO comes in a lighter and a stronger series. [% of the shift] From
memory."""


class Gel(Model):
    """One row of the gel table: what the gel does, nominally, to its reference source.

    `mired` [MK⁻¹] and `cc` [CC] are shifts on a Planckian radiator of `reference` [K]; empty means 3 200 K
    for a row that mainly cools, else 5 600 K. `stops` is the light lost there; empty means: worked out from
    the dyes. `stock` is the number of sheets at hand; empty means plenty. `on` says whether it takes part in
    the ranking. `known` says where its figures come from. `percent` is how far its shift may be off, for nine
    sheets in ten, in per cent of the shift; empty means what `known` implies. A measured `transmittance` is
    used as it is; the three figures then only describe it.
    """

    family: Family
    fraction: Fraction
    mired: GelMired = 0.0
    cc: GelCC = 0.0
    stops: GelStops | None = None
    stock: Stock | None = None
    note: Note = ""
    on: bool = True
    reference: GelReference | None = None
    known: HowKnown | None = None
    percent: RowPercent | None = None
    transmittance: Transmittance | None = None

    @property
    def name(self) -> str:
        """``FAMILY FRACTION``, as in ``CTO 1/4``."""
        return f"{self.family} {self.fraction}"

    @property
    def neutral(self) -> bool:
        """Whether it is meant to leave colour alone, as ND and diffusion are."""
        return abs(self.mired) < 1.0 and abs(self.cc) < 0.5

    @property
    def dims(self) -> bool:
        """Whether it is hung for the light it costs: neutral, and called ND, neutral density or scrim."""
        named = re.match(r"(nd|neutral density)\b", self.family.casefold())
        return self.neutral and (bool(named) or self.scrim)

    @property
    def scrim(self) -> bool:
        """Whether it is a scrim: wire in a ring that slides in before a lens. It is pulled whole, never cut.

        A single costs half a stop and a double one stop (common practice, no source).
        """
        return self.neutral and names_scrims(self.family)

    @property
    def knowledge(self) -> Known | None:
        """How it is known what it does: what the row says, else by its curve if it has one, else None."""
        return self.known or (Known.MEASURED if self.transmittance is not None else None)

    @property
    def off_percent(self) -> float | None:
        """How far its shift may be off, nine sheets in ten; None where the row does not say. [%]"""
        if self.percent is not None:
            return self.percent
        if self.knowledge is not Known.GENERIC:
            return _PERCENT[self.knowledge] if self.knowledge else None
        if re.match(r"cto\b", self.family.casefold()):  # also with ND in the same sheet
            return _GENERIC_CTO
        return _GENERIC_ND if self.dims else _GENERIC_OTHER

    @model_validator(mode="after")
    def _does_something(self) -> Self:
        if self.mired == 0 and self.cc == 0 and self.stops is None:
            allowed = "a mired shift, a green–magenta shift, or the light it costs in stops"
            raise wrong(f"{self.name} shifts no colour and gives no stops", allowed)
        return self


class GelFacts(NamedTuple):
    """What follows from a row of the table: see the properties of `Gel`."""

    name: str
    neutral: bool
    dims: bool
    scrim: bool
    knowledge: Known | None
    off_percent: float | None


def facts_of(rows: Iterable[Gel]) -> list[GelFacts]:
    """Return what follows from each row of a table."""
    return [
        GelFacts(gel.name, gel.neutral, gel.dims, gel.scrim, gel.knowledge, gel.off_percent) for gel in rows
    ]


def family_of(name: str) -> str:
    """Return the family in a gel's name: all but its last word, which is the fraction."""
    return name.rpartition(" ")[0]


def names_scrims(family: str) -> bool:
    """Whether a family is called as scrims are: scrim, single scrim, double scrim."""
    return bool(re.fullmatch(r"((single|double|half) )?scrims?", family.casefold()))


def scrims_among(names: Iterable[str]) -> set[str]:
    """Return those names of gels that are names of scrims."""
    return {name for name in names if names_scrims(family_of(name))}


class GelTable(Model):
    """The gels that a crew has, in the order in which they are written."""

    rows: list[Gel] = Field(max_length=2000)

    @model_validator(mode="after")
    def _unique(self) -> Self:
        names = (gel.name for gel in self.rows)
        refuse_twice(names, "stands in the table twice", "each family and fraction once")
        return self

    def find(self, name: str | None) -> Gel | None:
        """Return the row of a name, as it is written; None where there is none."""
        return next((gel for gel in self.rows if gel.name == name), None)
