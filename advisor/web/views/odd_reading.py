"""What may be wrong with an odd reading, each with one tap, and what it counts for until somebody says."""

from collections.abc import Iterator
from dataclasses import dataclass

from ...advice.after_hanging.check import Check
from ...advice.after_hanging.slip import Slips
from ...advice.after_hanging.wrong_gel import Mistake
from ...advice.plan.head import PlannedSource
from ...model import Reading, Work
from ..wording.gels import sheets
from ..wording.values import duv, gel, kelvin, lower_first, plain
from ..wording.work import LEFT_OUT, read_as_typed, slip_said

NOT_UP = "none"
"""What is sent of a gel that does not hang at all."""


@dataclass(frozen=True)
class Tap:
    """A button that says what was wrong (`about`): the gel, the reading behind it, the one before or bare."""

    about: str
    words: str
    fields: tuple[tuple[str, str], ...]
    main: bool = False


def ways_wrong(check: Check, work: Work | None) -> Iterator[Tap]:
    """Yield what may have been wrong with an odd reading, the likeliest first.

    That it is right as it was read goes before all, for a tap that changes what is right does harm.
    """
    slip, hung = check.slip, work.gels if work else []
    if check.other_sign:
        yield from _signs(check.reading, check.other_sign)
        return
    if check.burnt and hung:
        yield Tap("sheets", "Gel burnt: new sheets", (), main=check.bare_agrees)
        yield Tap("gel", "The gel is fine", _said(hung[0], hung[0]))
        return
    if slip and slip.what is Slips.BARE:
        if hung:
            yield Tap("gel", "The gel is on", _said(hung[0], hung[0]))
        yield Tap("reading", "It was read bare", (("behind", "bare"),))
        return
    typed = list(_typed(check))
    gels = list(_sheets_hung(check))
    if check.mistake:
        yield _as_said(check.mistake)
    elif hung and not check.reading.gels_checked:
        yield Tap("gel", f"{read_as_typed(check)} is right", _said(hung[0], hung[0]))
    slip_first = check.slip_first or (check.far_off and not check.far_off.gel_first)
    yield from [*typed, *gels] if slip_first else [*gels, *typed]


BURNT = "Behind gel that burnt: it counts for nothing."
"""Said of a reading that was taken behind sheets that had burnt or faded."""


def _signs(last: Reading, before: Reading) -> Iterator[Tap]:
    for about, words, read in (("reading", "The last", last), ("earlier", "The one before", before)):
        right = -(read.duv or 0.0)
        yield Tap(about, f"{words} was Duv {duv(right)}", (("duv", plain(right)),))


def waits(check: Check) -> str:
    """Say that an odd reading counts for nothing until somebody checked it; empty where it counts."""
    if check.lamp_first:
        return "Left out until it is metered bare."
    if check.gel_doubted:
        return "Left out until the gel is checked."
    return LEFT_OUT if check.waits else ""


BARE_OR_NOT = (
    Tap("bare-on", "The gel was on", ()),
    Tap("bare-on", "It was bare", (("behind", "bare"),)),
)
"""What is answered to `gel_on_said`."""


def gel_on_said(head: PlannedSource) -> str:
    """Ask whether a bare reading was taken behind gel, where it reads so; empty where it does not."""
    if head.gel_on is None:
        return ""
    return f"Was the gel on? It reads like behind {sheets(head.gel_on.gels)}, not bare."


def strikes_out(head: PlannedSource) -> str:
    """Say on its button which reading of a head it strikes out; empty where none is asked about."""
    if head.gel_on and head.source.reading.cct:
        return f"Strike out {kelvin(head.source.reading.cct)}"
    return _strikes(head.check) if head.check else ""


def _strikes(check: Check) -> str:
    return f"Strike out {'the last' if check.other_sign else kelvin(check.white.cct)}"


def _typed(check: Check) -> Iterator[Tap]:
    if meant := check.slip or (check.far_off.meant if check.far_off else None):
        fields = ("cct", plain(meant.cct)) if meant.in_cct else ("duv", plain(meant.duv))
        about, words = "bare" if meant.of_bare else "reading", f"It was {slip_said(meant)}"
        said = f"Bare {lower_first(words)}" if meant.of_bare else words
        yield Tap(about, said, (fields,))


def _as_said(other: Mistake) -> Tap:
    """Return the tap that says that the gel is what it was said to be."""
    return Tap("gel", f"It is {gel(other.of)}" if other.instead else "All are up", _said(other.of, other.of))


def _sheets_hung(check: Check) -> Iterator[Tap]:
    if other := check.far_off.mistake if check.far_off else None:
        yield Tap("gel", f"It was {gel(other.instead)}", _said(other.of, other.instead))
    if check.mistake:
        of, instead = check.mistake.of, check.mistake.instead
        said = f"It was {gel(instead)}" if instead else f"{gel(of)} was not up"
        yield Tap("gel", said, _said(of, instead or NOT_UP))


def _said(of: str, instead: str) -> tuple[tuple[str, str], ...]:
    return ("of", of), ("instead", instead)
