"""One reading of a test, on a screen of its own: what to set up, and what the reading before it means."""

from dataclasses import dataclass

from ....advice.known_heads.doubts import HeadDoubt
from ....advice.known_heads.sentences import step_said
from ....advice.readings.chromaticity import measure
from ....advice.wording.ladder import Ladder
from ....model import HeadSetup
from ....model.sets.phrases import dial_said
from ....store.known_heads.known import StoredTest
from ...forms.form import Form
from ...forms.head_step import SPECTRUM
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
    "step",
)


Typed = tuple[tuple[str, str], ...]
"""Fields with what was typed in them."""


@dataclass(frozen=True)
class AskedDoubt:
    """What does not fit: what keeps the reading as `typed`, or with the `likely` value in its field."""

    words: str
    typed: Typed
    likely: str
    mended: Typed


@dataclass(frozen=True)
class StepView:
    """A step of a test, from 0: `what` is to be set up, in words.

    `before` and `after` are the steps beside it, None at the ends; `change` says what to hang first.
    `said` is what the reading just taken means, `doubt` asks about the one that was typed. `steps` are all
    that the reading may be of, with their words, of which one is `chosen`.
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
    steps: tuple[tuple[str, str], ...]
    chosen: str


def step_view(
    test: StoredTest,
    step: int,
    said: int | None,
    form: Form,
    ladder: Ladder,
    doubt: HeadDoubt | None = None,
) -> StepView:
    """Return the screen of a step; `said` is the one that was read just before."""
    steps = test.test.steps
    before = steps[step - 1].setup if step else None
    there = test.readings.get(step)
    return StepView(
        step=step,
        count=len(steps),
        what=steps[step].words,
        change=_change(steps[step].setup, before),
        left=len(test.unread),
        before=step - 1 if step else None,
        after=step + 1 if step + 1 < len(steps) else None,
        read=_read(test, step) if there else "",
        said=_said(test, said, ladder),
        elsewhere=tuple(form.elsewhere(_BESIDE)),
        doubt=_asked(doubt, form) if doubt else None,
        steps=tuple((str(k), one.words) for k, one in enumerate(steps)),
        chosen=form.value("step") or str(step),
    )


def _asked(doubt: HeadDoubt, form: Form) -> AskedDoubt:
    typed = tuple((name, text) for name in _BESIDE if (text := form.value(name)))
    if form.value(SPECTRUM) and doubt.field in ("cct", "duv"):  # the spectrum tells its colour, and no field
        return AskedDoubt(doubt.words, typed, "", typed)
    mended = tuple((name, doubt.likely if name == doubt.field else text) for name, text in typed)
    return AskedDoubt(doubt.words, typed, doubt.likely, mended)


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


def _said(test: StoredTest, step: int | None, ladder: Ladder) -> str:
    if step is None or step not in test.readings:
        return ""
    steps = test.test.steps
    first = next(k for k, other in enumerate(steps) if other.setup.dial == steps[step].setup.dial)
    full = measure(test.readings[first].reading) if first in test.readings and first != step else None
    meaning = step_said(measure(test.readings[step].reading), ladder, full)
    return f"{steps[step].words}: {meaning}"
