"""The page of one head: what to do in large words, how that stands, and what may be done next."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ...advice.after_hanging.check import Check
from ...advice.after_hanging.next_move import Swap
from ...advice.dials.wording import unread_dials
from ...advice.learned.light_here import by_distance
from ...advice.plan.head import PlannedSource
from ...advice.wording.ladder import Ladder
from ...advice.wording.outlook import LIKELIER
from ...model import Gel, KindQuestion, Setting, Source, StackAdvice, Stage, Work
from ...model.gels.gel import family_of
from ...model.sets.phrases import listed, signed
from ..plans.since import Since
from ..wording.otherwise import dials_apart
from ..wording.stacks import closest, done, share_said
from ..wording.values import breakable, capitalize_first, gel, kelvin, lower_first
from ..wording.work import changed_done, check_first, counted_up, doing, hung_now, swap, up_still
from .heads import GelInWords, Light, gel_in_words, light_predicted, predicted_said, reads_said
from .odd_reading import BARE_OR_NOT, NOT_UP, Tap, gel_on_said, strikes_out, waits, ways_wrong
from .standing import FoundView, StateView, found_view, state_view


@dataclass(frozen=True)
class Order:
    """What to do, read at arm's length: a verb, then gels or the figures of a dial, a line each."""

    verb: str
    sheets: tuple[GelInWords, ...] = ()
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Action:
    """A button for what was done or is decided: its `name` for the form, and the stack that it is about."""

    name: str
    words: str
    stack: StackAdvice | None = None
    main: bool = False


@dataclass(frozen=True)
class OtherGel:
    """What else may have hung: the sheets that are `said` to, the likeliest first, and all gels.

    Each is a value with its words.
    """

    said: tuple[tuple[str, str], ...]
    gels: tuple[tuple[str, str], ...]


@dataclass(frozen=True, eq=False)
class HeadView:
    """What the page of one head says before its figures.

    `doubts_bare` tells that it is the bare reading that may have been taken behind gel.
    `question` asks for the kind before anything is hung, `answer` says what comes first where dials are to
    be noted, and `fold` is under what the stack waits then; all are empty where the stack stands in sight.
    `main_action` is the one button along the thumb; `due` and `next_steps` are without it.
    `first` is what to check before anything is changed, `if_right` what to do if that is right, and
    `taps` what may have been wrong, each with one tap, `strikes` the words that strike the reading out;
    `waits` says that the reading is left out meanwhile. `other_gel` is what else may hang where a reading
    is odd. Else `orders` say what to do. `hangs_wrong` tells that what hangs is not what is wanted now,
    and `lead` what hangs where it is to be changed for another reason. `after` is what was predicted of
    its light before it was read, `about` stands before its light where that was read before its stand was
    moved. `then` is what hangs once it is changed, whose light is told too: whoever swaps it meters that.
    `unread` says that its dials are to be set where nobody read them.
    """

    question: KindQuestion | None
    answer: str
    fold: str
    first: str
    if_right: str
    doubts_bare: bool
    taps: tuple[Tap, ...]
    strikes: str
    waits: str
    other_gel: OtherGel | None
    orders: tuple[Order, ...]
    hangs_wrong: bool
    lead: str
    closest: str
    found: FoundView | None
    state: StateView
    main_action: Action | None
    due: tuple[Action, ...]
    next_steps: tuple[Action, ...]
    after: Light | None
    after_said: str
    then: StackAdvice | None
    about: str
    reads: str
    instead: Action | None
    share: str
    unread: str

    @property
    def due_first(self) -> tuple[Action, ...]:
        """Those of `due` that come first. What is less work comes below the words that say what it is."""
        return self.due[:1] if self.found and self.found.smaller else self.due

    @property
    def changes(self) -> bool:
        """Whether how good it will be follows how good it is now, and nothing is to be checked first."""
        then = self.found.then if self.found else self.state.then
        return bool(then) and not self.first and not (self.found and self.found.stuck)


def head_view(
    head: PlannedSource,
    source: Source,
    ladder: Ladder,
    tolerance: float,
    *,
    why: Since | None,
    beyond_why: str,
    drifted: bool,
    bare_since: bool,
    lamp_helps: bool,
    gels: Sequence[Gel] = (),
) -> HeadView:
    """Decide what the page of a head says; `source` is as it is stored, not as it is used.

    `why` is what changed since it was decided, `beyond_why` which limit keeps gel from bringing it in, and
    `drifted` whether it is not the lamp any more that was read bare; `bare_since` tells that it was read so
    after it was read behind what hangs. `lamp_helps` tells that a lamp on sale does better. `tolerance` is
    the head's [step], and `gels` are the table's.
    """
    question, due = head.asks, None if head.gel_on else head.due
    if head.check and head.check.burnt and bare_since:
        head = replace(head, check=replace(head.check, bare_agrees=True))
    first = check_first(head.check) if head.check and not head.turned else ""
    first = gel_on_said(head) or first
    dials_first = head.dials_unknown and not question
    near = closest(head)
    changes, steps = _due(head, first), _next(head, source.work)
    asked = question or head.gel_on
    main = None if asked else next((action for action in [*changes, *steps] if action.main), None)
    return HeadView(
        question=question,
        answer=doing(head) if dials_first else "",
        fold="Nobody knows: show it anyway" if question else "Gel alone" if dials_first else "",
        first=first,
        if_right=lower_first(swap(due)) if due else "",
        doubts_bare=head.gel_on is not None,
        taps=_taps(head, source.work) if first else (),
        strikes=strikes_out(head),
        waits=waits(head.check) if head.check and not head.gel_on else "",
        other_gel=_other_gel(head.check, source.work, gels) if head.check else None,
        orders=tuple(_to_change(due) if due else _to_hang(head)),
        hangs_wrong=due is not None and why is not None,
        lead=_lead(source.work, due) if due and source.work and not first else "",
        closest=f"{near} {beyond_why}".rstrip() if near not in ("", LIKELIER) else near,
        found=found_view(
            head, first, beyond_why, drifted=drifted, bare_since=bare_since, lamp_helps=lamp_helps
        ),
        state=state_view(head, source, tolerance),
        main_action=main,
        due=tuple(action for action in changes if action is not main),
        next_steps=tuple(action for action in steps if action is not main),
        after=None if question else light_predicted(head),
        after_said=predicted_said(head),
        then=head.due.result if head.due else None,
        about="about " if by_distance(head.source) else "",
        reads=reads_said(head, source, ladder),
        instead=_instead(source.work),
        unread="" if head.check or not head.best else unread_dials(head.source, head.best.dial),
        share="" if source.work else share_said(head.advice),
    )


def _taps(head: PlannedSource, work: Work | None) -> tuple[Tap, ...]:
    if head.gel_on:
        return BARE_OR_NOT
    return tuple(ways_wrong(head.check, work)) if head.check else ()


def _lead(work: Work, due: Swap) -> str:
    """Say what hangs where it is to be changed, and what of it stays: “⅛ plus green stays up”."""
    return f"{hung_now(work)}. {capitalize_first(up_still(due))}" if up_still(due) else hung_now(work)


def _other_gel(check: Check, work: Work | None, gels: Sequence[Gel]) -> OtherGel | None:
    """Return what else may hang, where what was read is not what was predicted; None where it is."""
    explained = check.as_predicted and not check.lit_anew  # a light that changed may be a gel that did
    if work is None or not work.gels or check.settled or explained:
        return None
    likely = check.mistake.of if check.mistake else work.gels[0]
    said = [likely, *(name for name in dict.fromkeys(work.gels) if name != likely)]
    # Of the same family first: that is how one is mistaken for another.
    order = sorted(gels, key=lambda one: one.family != family_of(likely))
    others = [one.name for one in order]  # also what hangs already: two of one sheet are easily taken
    return OtherGel(tuple(_named(said)), (("", "choose"), (NOT_UP, "Nothing, it is not up"), *_named(others)))


def _named(names: Sequence[str]) -> Iterator[tuple[str, str]]:
    return ((name, gel(name)) for name in names)


def _to_change(change: Swap) -> list[Order]:
    orders = [Order("Take off", _sheets(change.off))] if change.off else []
    orders += [Order("Set", lines=_dial(change.dial))] if change.dial else []
    hang = "Add" if change.adds_to else "Hang"
    added = tuple(_which(which, name) for which, name in counted_up(change))
    return orders + ([Order(hang, added)] if added else [])


def _which(which: str, name: str) -> GelInWords:
    """Write a gel in large words; where one of its name stays up, which one it is: “second ⅛ minus green”."""
    return GelInWords(which, breakable(gel(name)), fraction=False) if which else gel_in_words(name)


def _to_hang(head: PlannedSource) -> list[Order]:
    stack = head.best
    if stack is None:
        return []
    if head.other_day and not head.hangs:
        return [Order("", lines=("Meter it",))]
    dial = "Set it back to" if head.turned else "Dials at" if head.hangs else "Set"
    set_to = head.turned.set_to if head.turned else stack.dial
    orders = [Order(dial, lines=_dial(set_to, green=head.turned is not None))] if set_to else []
    orders += [Order(_verb(head), _sheets(head.to_hang))] if head.to_hang else []
    orders += [Order("Stays on", _sheets(head.fixed))] if head.fixed else []
    return orders or [Order("", lines=("Stays bare",))]


def _verb(head: PlannedSource) -> str:
    """Return what is to be done with the gels of a head, or was."""
    return "Hung" if head.hangs else "Hang"


def _sheets(names: Sequence[str]) -> tuple[GelInWords, ...]:
    return tuple(gel_in_words(name) for name in names)


def _dial(dial: Setting, *, green: bool = False) -> tuple[str, ...]:
    said = green or dial.green
    return (kelvin(dial.cct), f"green {signed(dial.green)}") if said else (kelvin(dial.cct),)


def _due(head: PlannedSource, first: str) -> list[Action]:
    """Return the buttons for what was told to be changed, once it is: before anything else."""
    if not (change := head.due):
        return []
    smaller = head.check.smaller if head.check and not head.instead else None
    less = [Action("hung", _less_done(smaller), smaller.result)] if smaller else []
    return [Action("hung", changed_done(change), change.result, main=not first), *less]


def _less_done(change: Swap) -> str:
    """Say what was done where it was less work, and with what: a button beside it says “Swapped” alone."""
    names = listed([gel(name) for name in change.on or change.off])
    if change.on:
        return f"Less work: {lower_first(changed_done(change))} {'to ' * bool(change.off)}{names}"
    return f"Less work: {names} taken off" if names else "Less work: dials set"


def _next(head: PlannedSource, work: Work | None) -> list[Action]:
    best = head.best
    steps = [Action("plan", "Plan what is advised now", head.first)] if head.outdated else []
    if head.other_day:  # nothing is hung before it is read
        best = None
    lost = work is not None and head.chosen is None  # its gel was removed: what is advised now may be hung
    if best and (work is None or not work.hangs or lost):
        steps.append(Action("hung", done(best), best, main=True))
    if best and work is None:
        steps.append(Action("plan", "Lock this plan", best))
    if head.turned:
        steps.append(Action("set-back", "Set back", main=not head.due))
        steps.append(
            Action("as-turned", f"Keep it at {dials_apart(head.turned.read_at, head.turned.set_to)}")
        )
    elif head.instead:
        steps.append(Action("keep", "Keep what hangs"))
    elif (
        head.stage is Stage.HUNG and not head.other_day and (head.source.reading.said or head.source.readings)
    ):
        steps.append(Action("confirm", "Confirm as it is"))
    if work and not head.advised_before:
        nothing_hangs = not work.hangs or not (work.gels or work.dial)
        steps.append(Action("clear", "Back to what is advised" if nothing_hangs else "All taken off"))
    return steps


def _instead(work: Work | None) -> Action | None:
    """Return what may be done with a runner-up; None where another one is planned already."""
    if work is None:
        return Action("plan", "Plan it")
    return Action("hung", "Hung instead") if work.hangs else None
