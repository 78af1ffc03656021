"""A head that a crew owns or hires again and again, and its test: read once, at levels and with modifiers."""

import itertools
from typing import Annotated, Self

from pydantic import Field, field_validator, model_validator

from ..basis.base import Model, Name, Note, name_key, refuse_twice, text
from ..basis.problems import wrong
from ..basis.quantities import DimLevel, MinutesOn, TestDistance, Watts
from .phrases import percent
from .reading import Kind, KindField, Modifier, Reading, Setting
from .source import Reach

MOST_LEVELS, MOST_MODIFIERS = 12, 8
"""The most levels and modifiers of one test: 96 readings are a long morning."""

Group = Annotated[str, text("Group", 40)]


class KnownHead(Model):
    """One unit, named as the crew names it: its own number, or the label on its yoke.

    `group` is what the crew calls several alike (“the six panels”), empty for none; `reach` is what its
    dials can do, None without dials.
    """

    name: Name
    kind: KindField = Kind.UNKNOWN
    group: Group = ""
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


class HeadTest(Model):
    """What is to be read of a head at one go, and how it stood.

    `levels` [%] are read from the first to the last with each of the `modifiers`; the empty one is none.
    `dial` is how the dials of an adjustable head stood, None without dials. `distance` [m] is from the head
    to the meter, `minutes_on` how long it had been on [min], and `meter` the meter's name in the crew's own
    words.
    """

    levels: list[DimLevel] = Field(min_length=1, max_length=MOST_LEVELS)
    modifiers: list[Modifier] = Field(default=[""], min_length=1, max_length=MOST_MODIFIERS)
    dial: Setting | None = None
    distance: TestDistance | None = None
    minutes_on: MinutesOn | None = None
    meter: Annotated[str, text("Meter", 60)] = ""

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

    @property
    def steps(self) -> list[tuple[str, float]]:
        """Modifier and level of each reading, in the order that saves walking: the modifier outermost."""
        return list(itertools.product(self.modifiers, self.levels))

    def step_of(self, reading: HeadReading) -> int | None:
        """Return which of the steps a reading is, from 0; None where it is none of them."""
        keys = [(name_key(m), level) for m, level in self.steps]
        own = name_key(reading.modifier), reading.level
        return keys.index(own) if own in keys else None
