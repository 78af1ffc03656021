"""A head that a crew owns or hires again and again, and its test: read once, at levels and with modifiers."""

from collections.abc import Sequence
from typing import Annotated, Any, NamedTuple, Self

from pydantic import Field, field_validator, model_validator

from ..basis.base import NAME_LENGTH, Model, Name, Note, TypedText, name_key, refuse_twice
from ..basis.problems import wrong
from ..basis.quantities import CCT, DimLevel, MinutesOn, TestDistance, Watts
from .phrases import dial_said, percent
from .reading import Kind, KindField, Modifier, Reading, Setting
from .source import Reach

MOST_LEVELS, MOST_MODIFIERS, MOST_DIALS = 12, 8, 12
"""The most levels, modifiers and dial settings of one test."""
MOST_STEPS = 96
"""The most readings of one test: they are a long morning."""

Group = Annotated[str, TypedText("Group", 40)]


class KnownHead(Model):
    """One unit, named as the crew names it: its own number, or the label on its yoke.

    `group` is what the crew calls several alike (“the six panels”), empty for none; `nominal` is the CCT [K]
    that it is sold as, None where nobody said; `reach` is what its dials can do, None without dials.
    """

    name: Name
    kind: KindField = Kind.UNKNOWN
    group: Group = ""
    nominal: CCT | None = None
    reach: Reach | None = None
    note: Note = ""


class HeadReading(Reading):
    """A reading of a head in its test, bare, at a `level` [%]; `watts` is what it drew from the mains [W]."""

    level: DimLevel
    watts: Watts | None = None

    @model_validator(mode="after")
    def _bare(self) -> Self:
        if self.gels:
            raise wrong("the reading was taken behind gels", "a reading of the head without gels")
        return self

    @property
    def on_set(self) -> Reading:
        """The same as a reading of a source, which has no power."""
        return Reading.model_validate(self.model_dump(exclude={"watts"}))


class HeadSetup(NamedTuple):
    """How a head is set up while its levels are read: the modifier, empty for none, and its dials, if any."""

    modifier: str
    dial: Setting | None = None

    @property
    def words(self) -> str:
        """As it is called: “bare”, “dish, dials at 3 200 K”."""
        return (self.modifier or "bare") + (f", dials at {self.dial_words}" if self.dial else "")

    @property
    def dial_words(self) -> str:
        """How its dials stand, in the head's own numbers; empty without dials."""
        return dial_said(self.dial) if self.dial else ""


class HeadStep(NamedTuple):
    """One reading that a test asks for: a level [%], and how the head is set up."""

    setup: HeadSetup
    level: float

    @property
    def words(self) -> str:
        """As it is called: “50 %, dish”."""
        return f"{percent(self.level)}, {self.setup.words}"


class HeadTest(Model):
    """What is to be read of a head at one go, and how it stood.

    `levels` [%] are read from the first to the last with each of the `modifiers`, the empty one being none,
    and at each of the `dials`, settings of an adjustable head; there are none without dials. `distance` [m]
    is from the head to the meter, `minutes_on` how long it had been on [min], and `meter` the meter's name in
    the crew's own words. `on_set` names the set on which the readings were taken and kept, empty for a test
    of its own.
    """

    levels: list[DimLevel] = Field(min_length=1, max_length=MOST_LEVELS)
    modifiers: list[Modifier] = Field(default=[""], min_length=1, max_length=MOST_MODIFIERS)
    dials: list[Setting] = Field(default_factory=list, max_length=MOST_DIALS)
    distance: TestDistance | None = None
    minutes_on: MinutesOn | None = None
    meter: Annotated[str, TypedText("Meter", 60)] = ""
    on_set: Annotated[str, TypedText("Set", NAME_LENGTH)] = ""

    @field_validator("levels")
    @classmethod
    def _levels_once(cls, levels: list[float]) -> list[float]:
        refuse_twice((percent(k) for k in levels), "is given twice", "each level once")
        return levels

    @field_validator("modifiers")
    @classmethod
    def _modifiers_once(cls, modifiers: list[str]) -> list[str]:
        refuse_twice((m or "Bare" for m in modifiers), "is given twice", "each modifier once")
        return modifiers

    @field_validator("dials")
    @classmethod
    def _dials_once(cls, dials: list[Setting]) -> list[Setting]:
        refuse_twice((dial_said(d) for d in dials), "is given twice", "each setting once")
        return dials

    @model_validator(mode="before")
    @classmethod
    def _one_dial(cls, value: Any) -> Any:
        """Read a test that knew a single setting as one of one setting."""
        if not isinstance(value, dict) or "dial" not in value:
            return value
        rest = {k: v for k, v in value.items() if k != "dial"}
        return {**rest, "dials": [value["dial"]]} if value["dial"] else rest

    @model_validator(mode="after")
    def _not_too_long(self) -> Self:
        if len(self.steps) > MOST_STEPS:
            raise wrong(f"the test asks for {len(self.steps)} readings", f"at most {MOST_STEPS} in one test")
        return self

    @property
    def steps(self) -> list[HeadStep]:
        """What is read, in the order that saves walking: the modifier outermost, then the dials."""
        dials = self.dials or (None,)
        return [HeadStep(HeadSetup(m, d), k) for m in self.modifiers for d in dials for k in self.levels]

    def step_of(self, reading: HeadReading) -> int | None:
        """Return which of the steps a reading is, from 0; None where it is none of them."""
        return self.steps_of([reading])[0]

    def steps_of(self, readings: Sequence[HeadReading]) -> list[int | None]:
        """Return of each reading which of the steps it is, as `step_of`."""

        def key(modifier: str, dial: Setting | None, level: float) -> tuple[object, ...]:
            return name_key(modifier), dial and (dial.cct, dial.green), level

        indices = {key(setup.modifier, setup.dial, level): k for k, (setup, level) in enumerate(self.steps)}
        return [indices.get(key(r.modifier, r.dial, r.level)) for r in readings]
