"""One reading of a test, on a screen of its own: what to set up, and what the reading before it means."""

from dataclasses import dataclass
from typing import NamedTuple

from ....advice.known_heads.doubts import HeadDoubt
from ....advice.known_heads.sentences import step_said
from ....advice.readings.chromaticity import WhitePoint, measure
from ....advice.readings.filament import likely_of
from ....advice.wording.ladder import Ladder
from ....model import HeadReading, HeadSetup, Kind
from ....model.sets.phrases import dial_said
from ....store.known_heads.known import StoredTest
from ...forms.form import Form
from ...forms.head_step import SET_AS, SPECTRUM, fields_of_doubted, fields_of_setup
from ...wording.values import white_said

_BESIDE = (
    "cct",
    "duv",
    "lux",
    "watts",
    "x",
    "y",
    "ra",
    "r9",
    "rf",
    "rg",
    "ssi",
    "ssi_reference",
    SPECTRUM,
    *SET_AS,
)


Typed = tuple[tuple[str, str], ...]
"""Fields with what was typed in them."""


class Doubted(NamedTuple):
    """A reading that does not fit, and why not."""

    reading: HeadReading
    doubt: HeadDoubt


@dataclass(frozen=True)
class AskedDoubt:
    """What does not fit: what keeps the reading as `typed`, or with the `likely` value in its field.

    `again` is what the form carries of it, to know it when it is read again. `beside` is the step, from 0,
    that it was held against, `beside_words` what that is called; None where there is no such.
    """

    words: str
    typed: Typed
    likely: str
    mended: Typed
    again: Typed
    beside: int | None
    beside_words: str


@dataclass(frozen=True)
class StepView:
    """A step of a test, from 0: `what` is to be set up, in words.

    `before` and `after` are the steps beside it, None at the ends; `change` says what to hang first.
    `said` is what the reading just taken means, `doubt` asks about the one that was typed. `dials` says
    whether the head has any, and `other` whether the form asks, or says, that it was set otherwise.
    """

    step: int
    count: int
    what: str
    change: str
    left: int
    before: int | None
    after: int | None
    read: str
    said: str
    elsewhere: tuple[object, ...]
    doubt: AskedDoubt | None
    dials: bool
    other: bool

    @property
    def go(self) -> str:
        """What its button says: what is kept with it is the last reading, or another one comes."""
        return "Done" if self.after is None else "Next"


def step_view(
    test: StoredTest,
    step: int,
    said: int | None,
    form: Form,
    ladder: Ladder,
    doubted: Doubted | None = None,
    kind: Kind = Kind.UNKNOWN,
) -> StepView:
    """Return the screen of a step; `said` is the one that was read just before."""
    steps = test.test.steps
    before = steps[step - 1].setup if step else None
    count = last_step(test, step) + 1
    there = test.readings.get(step)
    return StepView(
        step=step,
        count=count,
        what=steps[step].words,
        change=_change(steps[step].setup, before),
        left=len(test.unread),
        before=step - 1 if step else None,
        after=next_step(test, step),
        read=_read(test, step) if there else "",
        said=_said(test, said, kind, ladder),
        elsewhere=tuple(form.elsewhere(_BESIDE)),
        doubt=_asked(doubted, test, form) if doubted else None,
        dials=steps[step].setup.dial is not None,
        other=bool(doubted) or any(form.value(k) != v for k, v in fields_of_setup(steps[step]).items()),
    )


def last_step(test: StoredTest, step: int) -> int:
    """Return the last step of those that a step goes with: what the test needs, or all that it may read."""
    needed = test.test.needed
    return (needed if step < needed else len(test.test.steps)) - 1


def next_step(test: StoredTest, step: int, said: int | None = None) -> int | None:
    """Return which step comes after one; None where the sheet does. `said` is what was read just now.

    After a reading that is new, what was read already is passed over: it would be overwritten by mistake.
    """
    later = range(step + 1, last_step(test, step) + 1)
    if step in test.readings:
        return next(iter(later), None)
    return next((k for k in later if k not in test.readings and k != said), None)


def _asked(doubted: Doubted, test: StoredTest, form: Form) -> AskedDoubt:
    doubt, beside = doubted.doubt, doubted.doubt.beside
    # An empty modifier says bare, where the step has one.
    typed = tuple((k, text) for k in _BESIDE if (text := form.value(k)) or (k in SET_AS and k in form.values))
    by_spectrum = form.value(SPECTRUM) and doubt.field in ("cct", "duv")  # it tells its colour, and no field
    likely = "" if by_spectrum else doubt.likely
    at = test.test.steps.index(beside) if beside else None
    return AskedDoubt(
        words=doubt.words,
        typed=typed,
        likely=likely,
        mended=tuple((name, likely if likely and name == doubt.field else text) for name, text in typed),
        again=tuple(fields_of_doubted(doubted.reading).items()),
        beside=at if at in test.readings else None,
        beside_words=beside.words if beside else "",
    )


def _change(setup: HeadSetup, before: HeadSetup | None) -> str:
    """Say what to do to a head that was set up as `before`; empty where nothing."""
    parts = []
    if before is None or before.modifier != setup.modifier:
        parts.append(f"Put {setup.modifier} on." if setup.modifier else "Nothing on it.")
    if setup.dial and (before is None or before.dial != setup.dial):
        parts.append(f"Set its dials to {dial_said(setup.dial)}.")
    return " ".join(parts)


def _read(test: StoredTest, step: int) -> str:
    white = measure(test.readings[step].reading)
    return white_said(white.cct, white.duv)


def _said(test: StoredTest, step: int | None, kind: Kind, ladder: Ladder) -> str:
    if step is None or step not in test.readings:
        return ""
    steps = test.test.steps
    first = next(k for k, other in enumerate(steps) if other.setup.dial == steps[step].setup.dial)
    full = _white(test, first, kind) if first in test.readings and first != step else None
    meaning = step_said(_white(test, step, kind), ladder, full)
    return f"{steps[step].words}: {meaning}"


def _white(test: StoredTest, step: int, kind: Kind) -> WhitePoint:
    """Return what a head likely gives at a step that was read."""
    [likely] = likely_of(kind, [test.readings[step].reading])
    return measure(likely)
