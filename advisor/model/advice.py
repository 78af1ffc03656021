"""What is asked of the advisor, and what it answers: the shapes of ``/api/v1``."""

from enum import StrEnum
from typing import Self

from pydantic import Field, model_validator

from .basis.base import Model, name_key
from .basis.problems import wrong
from .basis.quantities import ToleranceSteps
from .gels.gel import Gel
from .sets.lightset import EXACT, Limits, RequestAccuracy
from .sets.reading import MAX_HUNG, Kind, Setting
from .sets.source import Source
from .sets.target import Target

MAX_ASKED = 100
"""The most sources in one request: each takes some hundredths of a second."""


class AdviceRequest(Limits):
    """Sources to bring to a target with the gels given, or (null) with the table in force."""

    target: Target
    accuracy: RequestAccuracy = EXACT
    sources: list[Source] = Field(min_length=1, max_length=MAX_ASKED)
    gels: list[Gel] | None = Field(default=None, max_length=2000)

    @model_validator(mode="after")
    def _one_target(self) -> Self:
        named = self.target.source
        if named and sum(name_key(s.name) == name_key(named) for s in self.sources) > 1:
            raise wrong(f"two sources are called {named!r}, and one is the target", "names that differ")
        return self

    @property
    def limits(self) -> Limits:
        """The limits alone: what a ranking rests on beside source, target and gels."""
        return Limits.model_construct(**{name: getattr(self, name) for name in Limits.model_fields})


class PredictionRequest(Model):
    """One source and the stack that somebody means to hang on it; an empty stack is the bare source."""

    source: Source
    target: Target
    tolerance_steps: ToleranceSteps = 3.0
    accuracy: RequestAccuracy = EXACT
    stack: list[str] = Field(default_factory=list, max_length=MAX_HUNG)
    gels: list[Gel] | None = Field(default=None, max_length=2000)

    @property
    def limits(self) -> Limits:
        """What a prediction is judged by."""
        return Limits(tolerance_steps=self.tolerance_steps, accuracy=self.accuracy)


class Shift(Model):
    """What would carry one white into another: positive mired warms, positive Duv and CC turn green."""

    mired: float | None = Field(description="how much warmer it has to turn [MK⁻¹]")
    duv: float | None
    cc: float | None = Field(description="how much greener it has to turn [CC = 1000 × Duv: our definition]")
    words: str


class Seen(StrEnum):
    """What the eye makes of two lights side by side, by the tolerance that was asked for."""

    MATCHES = "matches"
    CLOSE = "close"
    SHOWS = "a bit off"
    OBVIOUS = "obvious"


class Miss(Model):
    """What is left after a stack: the shift still needed, and the distance from the target."""

    mired: float | None = Field(description="how much warmer it still has to turn [MK⁻¹]")
    duv: float | None = Field(description="how much greener it still has to turn, as Duv")
    du_v: float = Field(description="the same as `delta_uv_prime`, by the name that it had first")
    delta_uv_prime: float = Field(description="how far off the light is, Δu′v′ (CIE 1976)")
    steps: float = Field(
        description="how far off the light is [step = 0.0011 Δu′v′; CIE TN 001:2014, from memory]"
    )
    expected_steps: float = Field(description="the mean over the spectra that the source may have [step]")
    seen: Seen = Field(
        description="expected to match within 1 step, likely close within the tolerance, else by steps: to 7"
    )
    words: str


class White(Model):
    """A white as CCT and Duv; null where a colour is too far from white to have them."""

    cct: float | None = Field(description="the correlated colour temperature [K]")
    duv: float | None


class After(White):
    """The light behind a stack; a colour too far from white to have a CCT still has `x` and `y`."""

    x: float = Field(description="CIE 1931 x, 2° observer")
    y: float = Field(description="CIE 1931 y")
    lux: float | None = Field(description="the illuminance [lx]; null where the reading has none")


class ReadBehind(White):
    """What was read behind a stack, the mean where it was read more than once."""

    lux: float | None
    steps: float = Field(description="how far off the target it was read [step]")


class Moves(Model):
    """What leads from what hangs on a source to a stack."""

    take_off: list[str]
    hang: list[str]


class StackAdvice(Model):
    """One way to gel a source, and what comes of it; on an adjustable head also how to set its dials."""

    gels: list[str]
    dial: Setting | None = Field(default=None, exclude_if=lambda dial: dial is None)
    layers: int
    stops: float = Field(description="the light lost [stop]")
    after: After
    miss: Miss
    cost: float = Field(description="what orders the list: expected loss, light and layers [step]")
    within: float = Field(ge=0, le=1, description="probability that it lands within the tolerance")
    same_as: int | None = Field(
        default=None,
        description="place in the list, from 0, of a better stack that looks the same; else null",
    )
    uncertainty_steps: float = Field(description="90 % of outcomes lie this near [step]")
    nominal: White
    read: ReadBehind | None = Field(
        default=None,
        description="what was read behind it; then all else goes by that, too; else null",
    )
    moves: Moves | None = Field(
        default=None,
        exclude_if=lambda moves: moves is None,
        description="from what hangs (`hung`) to it; left out where nobody said what hangs",
    )


class Prediction(StackAdvice):
    """What one stack, built by hand, will do to a source, and what is to be said of its readings."""

    notes: list[str] = Field(
        default_factory=list, exclude_if=lambda notes: not notes, description="as those of a source"
    )


class Allocated(Model):
    """What a source gets if all draw from one stock, and why."""

    stack: StackAdvice
    words: str


class KindQuestion(Model):
    """What to ask about a source whose kind is not known, and the kinds that may be the answer."""

    words: str
    kinds: list[Kind]


class SourceAdvice(Model):
    """A source, the shift that it needs, and its stacks in rising order of `cost`.

    `stacks` are ranked as if the source were alone. `allocated` is what it gets if all share one stock, else
    null. `least_stops` is the light that it has to lose to keep within its limit over the key; left out if it
    has none. `glass_steps` is what each layer beyond the first costs more on glass; left out on a head.
    Pages hang `stacks[first]`.
    `asks` is a question for a person before anything is hung: some lamps that need opposite gels read alike.
    It is left out if there is nothing to ask. `reached` is false where no stack is likely to
    bring the source within its tolerance; `beyond` then says so as a page does, and is left out else.
    """

    name: str
    needed: Shift
    stacks: list[StackAdvice]
    allocated: Allocated | None = None
    reached: bool = Field(
        default=True, description="whether some stack likely brings it within the tolerance"
    )
    beyond: str = Field(
        default="", exclude_if=lambda said: not said, description="says that none does; else left out"
    )
    held_back: int = Field(
        default=0, ge=0, description="how many more stacks the limits allow at most; the list beats them all"
    )
    first: int = Field(
        default=0,
        ge=0,
        exclude_if=lambda place: place == 0,
        description="place in `stacks`, from 0, of the one that a gaffer would hang; left out if it is 0",
    )
    least_stops: float = Field(default=0.0, exclude_if=lambda stops: stops == 0.0)
    glass_steps: float = Field(default=0.0, exclude_if=lambda steps: steps == 0.0)
    asks: KindQuestion | None = Field(default=None, exclude_if=lambda asks: asks is None)
    notes: list[str] = Field(
        default_factory=list,
        exclude_if=lambda notes: not notes,
        description="what a person has to know of its readings: that the light changed; left out if empty",
    )


class Advice(Model):
    """The answer for every source of the request, in its order."""

    sources: list[SourceAdvice]
    gel_table: str = Field(default="", description="the revision of the gel table that it goes by")
    target: Target | None = Field(
        default=None,
        description="the target that was taken; where the request names no locus it is that of daylight, and "
        "the Planckian below 4 000 K",
    )
