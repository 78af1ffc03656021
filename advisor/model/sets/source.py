"""A source of light on set: its readings, what is wanted of it, and what it can do."""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import Annotated, Any, Self

from pydantic import Field, ValidationError, model_validator

from ..basis.base import Model, Name, Note, OneOf
from ..basis.problems import wrong
from ..basis.quantities import (
    Count,
    DialCCT,
    DialCCTStep,
    DialGreen,
    DialGreenStep,
    DimLevel,
    Duv,
    MaxLayers,
    OverKey,
    Side,
    TestDistance,
    ToleranceSteps,
    WantedMired,
    Watts,
    tidy,
)
from .reading import (
    FARTHEST,
    MAX_HUNG,
    NEAREST,
    UNREAD,
    AsFar,
    Kind,
    KindField,
    Modifier,
    Reading,
    without_gels,
)
from .work import Lamp, StandMove, Work

MAX_READINGS = 2000
"""The most readings of a source beside the one that counts."""


class WantedOffset(Model):
    """What is wanted of a source: to match the target, to be off it on purpose, or to be left as it is.

    Positive `mired` is warmer than the target, positive `duv` greener. What is warmer than a daylight target
    loses the green of daylight on the way, and has none at 3 200 K. `leave` means that nobody touches it.
    """

    leave: bool = False
    mired: WantedMired = 0.0
    duv: Duv = 0.0

    @property
    def plain(self) -> bool:
        """Whether it is simply to match."""
        return not (self.leave or self.mired or self.duv)


class Role(StrEnum):
    """What a source does in the shot."""

    KEY = "key"
    FILL = "fill"
    BACK = "back"
    PRACTICAL = "practical"
    OTHER = "other"


class NoGel(StrEnum):
    """Why nothing may be added to a source."""

    HEAT = "heat"
    REACH = "reach"
    OTHER = "other"

    @property
    def words(self) -> str:
        """The reason alone, as it is chosen from; empty if nobody gave one."""
        return {NoGel.HEAT: "too hot", NoGel.REACH: "out of reach"}.get(self, "")

    @property
    def said(self) -> str:
        """That it takes no gel, and why, to follow the source: “takes no gel (too hot)”."""
        return f"takes no gel ({self.words})" if self.words else "takes no gel"


class Reach(Model):
    """What the dials of an adjustable head can do, in the head's own numbers.

    A head without a green dial has `green_from` and `green_to` at 0.
    """

    cct_from: DialCCT
    cct_to: DialCCT
    cct_step: DialCCTStep = 50.0
    green_from: DialGreen = 0.0
    green_to: DialGreen = 0.0
    green_step: DialGreenStep = 1.0

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        for name, unit, low, high in (
            ("CCT", " K", self.cct_from, self.cct_to),
            ("green", "", self.green_from, self.green_to),
        ):
            if low > high:
                says = f"the reach of {name} begins at {tidy(low)}{unit} and ends at {tidy(high)}{unit}"
                raise wrong(says, "the lower number first")
        return self


class Opening(Model):
    """What gel has to cover: `count` openings of `width` × `height` [m]."""

    width: Side
    height: Side
    count: Count = 1


def pieces_over(openings: Sequence[Opening]) -> int:
    """Return how many pieces of gel a layer over openings is; one where nobody gave any."""
    return sum(one.count for one in openings) or 1


class AsTested(Model):
    """Which `head` a source is, as it was tested, and how far its light may be off its test by now.

    `doubt_steps` [step] holds nine cases in ten, as long as nobody meters it. It rests on what the `tests` of
    the head differed by; of a head with one test, on what heads usually do. `distance` [m] is from
    where its light was read.
    """

    head: Name
    doubt_steps: float = Field(ge=0, le=100)
    tests: int = Field(default=1, ge=1)
    distance: TestDistance | None = None


class Source(Model):
    """A source with the reading that counts, the newest bare one; `UNREAD` where it has none.

    It has none if all were struck out, or if it was only ever read behind gels.

    If the readings have times, these put them in order, and the newest bare one counts.

    `keep` names gels that always hang on it (diffusion, ND). `readings` are its other readings, oldest first,
    bare or not. `level` and `modifier` are those in use; None means those of `reading`. A source with a
    `reach` is an adjustable head. `on_subject` says whether its light falls on the subject, None that its
    role tells (`lights_subject`); `over_key` how many stops it may be over the key.

    `as_far` is how many times as far it stands as where it was first read. `stand` is where its stand is to
    go from there, or went, until it is read there. `test` says of a head that was put on the set as it was
    tested how sure that is.

    With a `lamp` that is out nobody touches it; readings of a lamp that was changed since count for nothing.

    `hung` names the gels that hang now, if there is no `work` to say so.

    Its own limits, if given, replace the set's: `tolerance_steps`, `max_layers`, and `only_gels`, the gels
    that are cut for it. With `no_gel`, which says why, nothing is added to what it keeps.
    """

    name: Name
    kind: KindField = Kind.UNKNOWN
    reading: Reading
    note: Note = ""
    keep: list[str] = Field(default_factory=list, max_length=4)
    aim: WantedOffset = WantedOffset()
    readings: list[Reading] = Field(default_factory=list, max_length=MAX_READINGS)
    level: DimLevel | None = None
    modifier: Modifier | None = None
    reach: Reach | None = None
    tolerance_steps: ToleranceSteps | None = None
    max_layers: MaxLayers | None = None
    no_gel: Annotated[NoGel, OneOf(NoGel, "no_gel")] | None = None
    only_gels: list[Name] | None = Field(default=None, max_length=2000)
    role: Annotated[Role, OneOf(Role, "role")] = Role.OTHER
    on_subject: bool | None = None
    over_key: OverKey | None = None
    watts: Watts | None = None
    openings: list[Opening] = Field(default_factory=list, max_length=20)
    as_far: AsFar = 1.0
    stand: StandMove | None = None
    lamp: Lamp | None = None
    work: Work | None = None
    test: AsTested | None = None
    hung: list[Name] | None = Field(default=None, max_length=MAX_HUNG)

    @model_validator(mode="before")
    @classmethod
    def _read_behind_gels_only(cls, value: Any) -> Any:
        if isinstance(value, dict) and value.get("reading") is None and _some_behind(value.get("readings")):
            return {**value, "reading": UNREAD}
        return value

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if any(r.taken_at for r in (*self.readings, self.reading)):
            counts, others = _by_time([*self.readings, self.reading], self.lamp_since)
            self.__dict__.update(reading=counts, readings=others)
        if self.reading.gels:
            raise wrong("the reading that counts was taken behind gels", "a reading of the bare source")
        return self

    @property
    def bare_readings(self) -> list[Reading]:
        """Its readings without gels; the one that counts comes last, after the others, oldest first."""
        return without_gels([*self.readings, self.reading])

    @property
    def lamp_out(self) -> bool:
        """Whether its lamp is out, so that it gives no light."""
        return self.lamp is not None and self.lamp.out is not None

    @property
    def lamp_since(self) -> str:
        """When the lamp that is in it came, or the last one went out; empty where none was changed."""
        return (self.lamp.since or "") if self.lamp else ""

    @property
    def hanging(self) -> list[str] | None:
        """The gels that hang on it, with what is kept; None where nobody said."""
        if self.hung is not None or self.work is None or not self.work.hangs:
            return self.hung
        return self.work.gels

    @property
    def stands_as_far(self) -> float:
        """How many times as far it stands by now as where it was first read, its last move counted."""
        if self.stand is None or not self.stand.done:
            return self.as_far
        return min(max(self.as_far * self.stand.times, NEAREST), FARTHEST)

    @property
    def lights_subject(self) -> bool:
        """Whether it lights the subject; by its role where nobody said (common practice, no source)."""
        by_role = self.role not in (Role.BACK, Role.PRACTICAL)
        return by_role if self.on_subject is None else self.on_subject

    @property
    def modifier_in_use(self) -> str:
        """The modifier that it is used with; empty where there is none."""
        return self.reading.modifier if self.modifier is None else self.modifier


def places_of(sources: Sequence[Source]) -> list[float]:
    """Return how many times as far each source stands as at first, as `Source.stands_as_far` says."""
    return [source.stands_as_far for source in sources]


def hanging_on(sources: Sequence[Source]) -> list[list[str] | None]:
    """Return the gels that hang on each source, as `Source.hanging` says."""
    return [source.hanging for source in sources]


def sources_of(each: Sequence[Mapping[str, object]]) -> list[Source | ValidationError]:
    """Make a source of each of several sets of fields; where one cannot be made, the error that says why."""
    made: list[Source | ValidationError] = []
    for fields in each:
        try:
            made.append(Source.model_validate(fields))
        except ValidationError as error:
            made.append(error)
    return made


def _some_behind(readings: object) -> bool:
    """Whether a list that is not checked yet holds a reading behind gels."""
    listed = readings if isinstance(readings, list) else []
    return any(r.get("gels") if isinstance(r, dict) else getattr(r, "gels", None) for r in listed)


def _by_time(readings: Sequence[Reading], since: str) -> tuple[Reading, list[Reading]]:
    """Return the newest bare reading, by time, and the others in order of time, but those of another lamp."""
    if not all(r.taken_at for r in readings):
        raise wrong("some readings say when they were taken, and others do not", "taken_at in all, or none")
    ordered = sorted((r for r in readings if (r.taken_at or "") >= since), key=lambda r: r.taken_at or "")
    plain = [r.model_copy(update={"taken_at": None}) for r in ordered]
    bare = [k for k, r in enumerate(plain) if not r.gels]
    if not bare and since:
        return UNREAD, plain
    if not bare:
        raise wrong("every reading was taken behind gels", "a reading of the bare source")
    return plain.pop(bare[-1]), plain
