"""A set: sources, and the white that they are to match."""

from collections.abc import Sequence
from typing import Annotated, Any, Self

from pydantic import Field, model_validator

from ..basis.base import Model, Name, Note, TypedText
from ..basis.quantities import (
    GelPercent,
    MaxLayers,
    MaxStops,
    MeterDuv,
    MeterPercent,
    SparePercent,
    ToleranceSteps,
)
from .exposure import Exposure
from .source import Source
from .target import Target

MAX_SOURCES = 500
"""The most sources in a set."""
MAX_NUMBER = 1_000_000
"""The highest number that a head of a set can bear."""


class Accuracy(Model):
    """How far the meter may be off, nine times in ten; 0 by default. For gels, their rows say it."""

    meter_cct_percent: MeterPercent = 0.0
    meter_duv: MeterDuv = 0.0

    @property
    def unsaid_percent(self) -> float:
        """How far a gel's shift may be off whose row does not say, nine sheets in ten. [% of its shift]"""
        return _UNSAID

    @model_validator(mode="before")
    @classmethod
    def _without_gels(cls, value: Any) -> Any:
        # Sets of 0.1.0, also in exported files, said one figure for all gels.
        if isinstance(value, dict) and "gel_percent" not in cls.model_fields:
            return {name: part for name, part in value.items() if name != "gel_percent"}
        return value


class RequestAccuracy(Accuracy):
    """Accuracy in a request. It also says how far a gel may be off if its row does not say."""

    gel_percent: GelPercent = 0.0

    @property
    def unsaid_percent(self) -> float:
        """How far a gel's shift may be off whose row does not say, nine sheets in ten. [% of its shift]"""
        return self.gel_percent


_UNSAID = 5.0
"""A gel's doubt on a set if its row does not say: as for one typed from a swatch book. [%] From memory."""
EXACT = RequestAccuracy()
"""Readings and labels count as exact."""
ON_SET = Accuracy(meter_cct_percent=2.0, meter_duv=0.001)
"""What a set starts with: a handheld meter's usual tolerance (from memory)."""
AS_ON_SET = RequestAccuracy(**dict(ON_SET), gel_percent=_UNSAID)
"""The same in a request: what the API assumes, so that a program states the doubt that a page states."""


class Limits(Model):
    """How good is good enough, what a stack may cost, and how far readings are to be trusted.

    No gel of `exclude_families` is added. With `only_gels`, no other gel is added. With `share_stock`, all
    sources draw from one stock.
    """

    tolerance_steps: ToleranceSteps = 3.0
    max_layers: MaxLayers = 3
    max_stops: MaxStops | None = None
    accuracy: Accuracy = ON_SET
    exclude_families: list[Name] = Field(default_factory=list, max_length=100)
    only_gels: list[Name] | None = Field(default=None, max_length=2000)
    share_stock: bool = False

    def for_source(self, source: Source) -> Self:
        """Return the limits that hold for one source: its own in place of the set's."""
        own: dict[str, object] = {}
        if source.tolerance_steps is not None:
            own["tolerance_steps"] = source.tolerance_steps
        if source.max_layers is not None:
            own["max_layers"] = source.max_layers
        if source.no_gel is not None:
            own["max_layers"] = 0
        if source.only_gels is not None:
            own["only_gels"] = source.only_gels
        return self.model_copy(update=own) if own else self

    def for_each(self, sources: Sequence[Source]) -> list[Self]:
        """Return the limits that hold for each source, as `for_source` does."""
        return [self.for_source(source) for source in sources]

    def tolerances_of(self, sources: Sequence[Source]) -> list[float]:
        """Return the tolerance that holds for each source. [step]"""
        return [self.tolerance_of(source) for source in sources]

    def tolerance_of(self, source: Source) -> float:
        """Return the tolerance that holds for a source: its own before the set's. [step]"""
        return self.tolerance_steps if source.tolerance_steps is None else source.tolerance_steps


class LightSet(Model):
    """A named set with its sources. A target that matches a source names it.

    `spare_percent` is what the pull list adds to what is needed. `hidden_cautions` names cautions that the
    crew has read and hidden, and `pulled` what is off the truck (`advice.pull_list.pulled`). `walk` are the
    numbers of its heads in the order in which the crew goes to them; those that it leaves out come last. Once
    it is `wrapped`, all comes down: `down` are the numbers of the heads that are bare by then. `stays_as` is
    the mark of what moved that the crew leaves as it is; empty where nobody said so. If it is another day of
    a set, `copied_from` is the number (`uid`) of that set.
    """

    name: Name
    note: Note = ""
    target: Target
    limits: Limits = Limits()
    sources: list[Source] = Field(default_factory=list, max_length=MAX_SOURCES)
    exposure: Exposure = Exposure()
    spare_percent: SparePercent = 10.0
    hidden_cautions: list[Name] = Field(default_factory=list, max_length=50)
    pulled: list[Annotated[str, TypedText("pulled", 200, shortest=1)]] = Field(
        default_factory=list, max_length=2000
    )
    walk: list[Annotated[int, Field(ge=1, le=MAX_NUMBER)]] = Field(
        default_factory=list, max_length=MAX_SOURCES
    )
    wrapped: bool = False
    down: list[Annotated[int, Field(ge=1, le=MAX_NUMBER)]] = Field(
        default_factory=list, max_length=MAX_SOURCES
    )
    stays_as: Annotated[str, TypedText("stays_as", 64)] = ""
    copied_from: Annotated[str, TypedText("copied_from", 64)] = ""
