"""A head that a crew owns or hires again and again, and its test: read once, at levels and with modifiers."""

from collections.abc import Callable, Sequence
from math import log
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
MOST_OTHERS = 24
"""The most readings of a test at what it does not ask for: more of them are a test of their own."""

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


class OtherStep(Model):
    """What a test read beside what it asks for: a level [%], a modifier, empty for none, and its dials."""

    level: DimLevel
    modifier: Modifier = ""
    dial: Setting | None = None


class HeadTest(Model):
    """What is to be read of a head at one go, and how it stood.

    `levels` [%] are read from the first to the last with each of the `modifiers`, where the empty one is
    none, and at each setting of the `dials`, of which only an adjustable head has any. `distance` [m] is from
    the head to the meter, `minutes_on` how long it had been on [min], and `meter` the meter's name in the
    crew's own words. `on_set` names the set on which the readings were taken and kept, empty for a test of
    its own, with a `new_lamp` where somebody said that the head had got one. A `short` test needs the ends
    and the middle alone: see `short_steps`. `others` were read where the head was set otherwise than the test
    asked.
    """

    levels: list[DimLevel] = Field(min_length=1, max_length=MOST_LEVELS)
    modifiers: list[Modifier] = Field(default=[""], min_length=1, max_length=MOST_MODIFIERS)
    dials: list[Setting] = Field(default_factory=list, max_length=MOST_DIALS)
    distance: TestDistance | None = None
    minutes_on: MinutesOn | None = None
    meter: Annotated[str, TypedText("Meter", 60)] = ""
    on_set: Annotated[str, TypedText("Set", NAME_LENGTH)] = ""
    new_lamp: bool = False
    short: bool = False
    others: list[OtherStep] = Field(default_factory=list, max_length=MOST_OTHERS)

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
        if self.needed > MOST_STEPS:
            raise wrong(f"the test asks for {self.needed} readings", f"at most {MOST_STEPS} in one test")
        return self

    @property
    def needed(self) -> int:
        """How many of its steps, the first ones, it takes to have read the test."""
        return len(self.short_steps) if self.short else len(self.whole_steps)

    @property
    def whole_steps(self) -> list[HeadStep]:
        """All levels with all modifiers at all dials, in the order that saves walking."""
        dials = self.dials or (None,)
        return [HeadStep(HeadSetup(m, d), k) for m in self.modifiers for d in dials for k in self.levels]

    @property
    def short_steps(self) -> list[HeadStep]:
        """The least from which the rest can be worked out: the ends and the middle of each thing.

        With each modifier all the dials of a short test are read at the highest level: what the dials do is
        learnt for each modifier alone. At the middle dials come the lowest level, and with the first modifier
        the middle one too.
        """
        dials, base = _short_dials(self.dials)
        full, low = max(self.levels), min(self.levels)
        found = []
        for modifier in self.modifiers:
            every = modifier == self.modifiers[0]
            levels = (
                _ends_and_middle(self.levels, log) if every else [k for k in self.levels if k in (low, full)]
            )
            for dial in dials or (None,):
                at = levels if dial == base else [full]
                found += [HeadStep(HeadSetup(modifier, dial), level) for level in at]
        return found

    @property
    def planned(self) -> Self:
        """The test as it was begun: the same on all laptops, whatever was read beside it on one."""
        return type(self)(**{**dict(self), "others": []})

    @property
    def steps(self) -> list[HeadStep]:
        """What may be read: what is needed, what a short test leaves out, what was read beside it."""
        asked = self.short_steps if self.short else []
        whole = self.whole_steps
        if not asked or len(whole) <= MOST_STEPS:
            asked = [*asked, *(step for step in whole if step not in asked)]
        return [*asked, *(HeadStep(HeadSetup(o.modifier, o.dial), o.level) for o in self.others)]

    def asking_for(self, reading: HeadReading) -> Self:
        """Return the test with what was read among its steps; raises ValidationError for too many others."""
        if self.step_of(reading) is not None:
            return self
        other = OtherStep(level=reading.level, modifier=reading.modifier, dial=reading.dial)
        return type(self)(**{**dict(self), "others": [*self.others, other]})

    def step_of(self, reading: HeadReading) -> int | None:
        """Return which of the steps a reading is, from 0; None where it is none of them."""
        return self.steps_of([reading])[0]

    def steps_of(self, readings: Sequence[HeadReading]) -> list[int | None]:
        """Return of each reading which of the steps it is, as `step_of`."""

        def key(modifier: str, dial: Setting | None, level: float) -> tuple[object, ...]:
            return name_key(modifier), dial and (dial.cct, dial.green), level

        indices = {key(setup.modifier, setup.dial, level): k for k, (setup, level) in enumerate(self.steps)}
        return [indices.get(key(r.modifier, r.dial, r.level)) for r in readings]


def _ends_and_middle(values: Sequence[float], scale: Callable[[float], float]) -> list[float]:
    """Return the ends of values, and the one nearest to the middle on a scale, in their order."""
    low, high = min(values), max(values)
    middle = _middle(values, scale)
    return [value for value in values if value in (low, middle, high)]


def _middle(values: Sequence[float], scale: Callable[[float], float]) -> float:
    halfway = (scale(min(values)) + scale(max(values))) / 2.0
    return min(values, key=lambda value: abs(scale(value) - halfway))


def _short_dials(dials: Sequence[Setting]) -> tuple[list[Setting], Setting | None]:
    """Return the dials of a short test, and those at which all else is read; none without dials.

    Green is turned at the middle CCT alone; elsewhere it is as near to none as it was asked for.
    """
    if not dials:
        return [], None
    ccts = list(dict.fromkeys(dial.cct for dial in dials))
    plain = {cct: min((d for d in dials if d.cct == cct), key=lambda d: abs(d.green)) for cct in ccts}
    base = plain[_middle(ccts, _mired)]
    turned = [dial.green for dial in dials if dial.cct == base.cct]
    kept = [plain[cct] for cct in _ends_and_middle(ccts, _mired)]
    kept += [d for d in dials if d.cct == base.cct and d.green in (min(turned), max(turned))]
    return [dial for dial in dials if dial in kept], base


def _mired(cct: float) -> float:
    return 1e6 / cct
