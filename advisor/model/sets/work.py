"""What was decided for a source: planned, hung, confirmed, and what was read behind it."""

from enum import StrEnum
from typing import Self

from pydantic import ConfigDict, Field, model_validator

from ..basis.base import Model, Time
from ..basis.problems import wrong
from ..basis.quantities import CCT, Duv, Lux, TestDistance, ToleranceSteps
from .reading import MAX_HUNG, AsFar, Reading, Setting

MAX_EARLIER = 20
"""The most readings behind one stack that are kept besides the newest. A record with more cannot be read."""


class Predicted(Model):
    """What was predicted when a stack was hung, to be compared with what is then read.

    `within` is the chance of landing within `tolerance_steps`, as it was stated then; None in old records.
    `as_far` is where its lux is predicted for, as in a reading.
    """

    cct: CCT
    duv: Duv
    lux: Lux | None = None
    as_far: AsFar = 1.0
    uncertainty_steps: float = Field(ge=0)
    within: float | None = Field(default=None, ge=0, le=1)
    tolerance_steps: ToleranceSteps | None = None


class Stage(StrEnum):
    """How far the work on a source has come. A source that nobody has decided on has no stage."""

    PLANNED = "planned"
    HUNG = "hung"
    CONFIRMED = "confirmed"


def _nothing(value: object) -> bool:
    return value is None


class Work(Model):
    """What was decided for a source: `gels` (all that hangs, with what is kept) and `dial`, and its stage.

    `predicted` is what was predicted when it was hung, from the bare reading `read_bare`. `read_behind` is
    the newest reading behind it; `read_elsewhere` are earlier ones, at other levels or with other modifiers,
    oldest first. `steps_off` [step] is its miss when somebody decided on it: as predicted when it was hung,
    or as read when somebody confirmed it. None if nobody knows. `read_day_before` was read behind the same
    stack the day before, when the bare source read as `read_bare`. `instead` is what somebody plans to hang
    in its place; until that hangs, this does. `reused` are gels for which nothing was cut when it was hung:
    cuts that had come down elsewhere served. `read_turned` was read since at other dials than it is set to.

    Records hold the shorter keys that 0.1.0 wrote; here they are aliases.
    """

    model_config = ConfigDict(validate_by_name=True, validate_by_alias=True, serialize_by_alias=True)

    stage: Stage = Stage.PLANNED
    gels: list[str] = Field(default_factory=list, max_length=MAX_HUNG)
    dial: Setting | None = None
    predicted: Predicted | None = None
    read_bare: Reading | None = Field(default=None, alias="bare")
    read_behind: Reading | None = Field(default=None, alias="found")
    read_elsewhere: list[Reading] = Field(default_factory=list, max_length=MAX_EARLIER, alias="earlier")
    steps_off: float | None = Field(default=None, ge=0, alias="left")
    read_day_before: Reading | None = Field(default=None, alias="before")
    instead: "Work | None" = None
    reused: list[str] = Field(default_factory=list, max_length=MAX_HUNG)
    read_turned: Reading | None = Field(default=None, exclude_if=_nothing)

    @property
    def hangs(self) -> bool:
        """Whether it hangs: what is only planned does not yet."""
        return self.stage is not Stage.PLANNED

    @model_validator(mode="after")
    def _planned_instead(self) -> Self:
        other = self.instead
        if other and (not self.hangs or other.hangs or other.instead):
            raise wrong("instead has to be a plan, beside something that hangs", "a plan, beside what hangs")
        return self


_unsaid = frozenset({False}).__contains__


class StandMove(Model):
    """To how many `times` its distance a head goes, or went, and to what `distance` [m] where that is known.

    It is `done` once it stands there; from then on its light is to be metered. With `by_light` nobody said
    so: it was read there, by its light.
    """

    times: float = Field(ge=0.1, le=10, allow_inf_nan=False)
    distance: TestDistance | None = None
    done: bool = False
    by_light: bool = Field(default=False, exclude_if=_unsaid)


class Lamp(Model):
    """What became of the lamp in a head: since when it is `out`, None while it burns.

    Readings that were taken before `since` are another lamp's, and count for nothing. `before` is what
    `since` was for the lamp before, in case it is the same one after all.
    """

    out: Time | None = None
    since: Time | None = None
    before: Time | None = None

    def back(self) -> "Lamp":
        """Return it with another lamp that burns: what was read since it went out is of that one."""
        return Lamp(since=self.out or self.since, before=self.since if self.out else self.before)

    def same(self) -> "Lamp | None":
        """Return it with the lamp that it had before it went out; None where none was ever changed."""
        return Lamp(since=self.before) if self.before else None
