"""The white that everything is to match."""

from enum import StrEnum
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from ..basis.base import Model, Name, OneOf
from ..basis.problems import wrong
from ..basis.quantities import CCT, Duv, Tint, tidy

DAYLIGHT_FROM = 4000.0
"""The daylight locus begins here (CIE 15:2018, 4.1.2). [K]"""


class Locus(StrEnum):
    """The line of whites that a target's CCT lies on."""

    PLANCKIAN = "planckian"
    DAYLIGHT = "daylight"


def usual_locus(cct: float) -> Locus:
    """Return the locus that a white of a CCT [K] lies on where nobody says: daylight has an end."""
    return Locus.PLANCKIAN if cct < DAYLIGHT_FROM else Locus.DAYLIGHT


PLANCKIAN_BELOW = "under 4 000 K there is no daylight locus"
"""Why a target is on the Planckian locus that nobody put there."""


def _by_its_cct(schema: dict[str, Any]) -> None:
    """Say no default in a schema: a program that sent it would name a locus."""
    del schema["default"]


class Target(Model):
    """A white on a locus, `duv_offset` off it on purpose; or, with `source`, the white of that source.

    Where nobody says the locus it is that of daylight, and the Planckian below 4 000 K, where daylight ends.

    `tint` is the green–magenta value [CC] of the camera's white balance: at a positive one the camera takes
    green out, so that light which is so much greener looks neutral.
    """

    cct: CCT | None = None
    locus: Annotated[Locus, OneOf(Locus, "locus")] = Field(
        default=Locus.DAYLIGHT,
        json_schema_extra=_by_its_cct,
    )
    duv_offset: Duv = 0.0
    tint: Tint = 0.0
    source: Name | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if (self.cct is None) == (self.source is None):
            raise wrong("the target is not clear", "a cct with its locus, or the name of a source to match")
        if self.cct is not None and "locus" not in self.model_fields_set:
            self.__dict__.update(locus=usual_locus(self.cct))
        if self.cct is not None and self.locus is Locus.DAYLIGHT and self.cct < DAYLIGHT_FROM:
            raise wrong(
                f"the target of {tidy(self.cct)} K is no daylight: that begins at 4 000 K",
                "4 000 K or more, or Planckian, as tungsten is",
            )
        return self
