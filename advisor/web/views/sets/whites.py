"""Which white all could go to: how far the search is, and what each white saves and costs."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.common_white import wording
from ....advice.common_white.options import Option, Part, Whites, all_nearer
from ....advice.wording.ladder import Ladder
from ....model import Problem, Target
from ....model.sets.phrases import white
from ...live.jobs import Job, JobState
from ...pictures.white_map import Map, whites_map
from ...wording.stacks import hang
from ...wording.values import capitalize_first, plain
from ..heads import Quality, stack_quality


@dataclass(frozen=True)
class HangsThen:
    """What hangs on a source at a white, and how good that is."""

    name: str
    words: str
    good: Quality


@dataclass(frozen=True)
class WhiteToAdopt:
    """A white as a form sends it back: its CCT, locus and tint."""

    cct: str
    locus: str
    tint: str


@dataclass(frozen=True)
class OfferedWhite:
    """A white: what it saves, empty where there is no present one, what it costs, what hangs then.

    `still` says who is off at the present one too. `advised` says that it is worth going to.
    """

    number: int
    name: str
    saves: str
    costs: str
    still: str
    totals: str
    caveat: str
    parts: tuple[HangsThen, ...]
    target: WhiteToAdopt
    advised: bool


@dataclass(frozen=True)
class FoundWhites:
    """What the search found; `present` is empty where that cannot be compared, as `problems` say.

    `none` says that no white is offered. `tints` says that whites which ask the camera for a tint stand among
    the others.
    """

    present: str
    problems: tuple[Problem, ...]
    unweighed: str
    tints: bool
    none: str
    options: tuple[OfferedWhite, ...]
    map: Map | None
    scope: tuple[str, ...]


@dataclass(frozen=True)
class WhitesPage:
    """The page: `running`, or `stopped` and why, or `nothing` to compare and why, or what was found."""

    heading: str
    running: bool
    percent: int
    stopped: str
    nothing: str
    found: FoundWhites | None


def view_of(job: Job[Whites], ladder: Ladder) -> WhitesPage:
    """Return how the search for whites stands, and what it found; cautions go by the `ladder` of the gels."""
    whites, running = job.result, job.state is JobState.RUNNING
    return WhitesPage(
        heading=_heading(job),
        running=running,
        percent=job.percent,
        stopped=_STOPPED.get(job.state, ""),
        nothing=_nothing(whites) if whites and not whites.best else "",
        found=_found(whites, ladder) if whites and whites.best else None,
    )


_STOPPED = {
    JobState.STOPPED: "Nothing was changed.",
    JobState.FAILED: "Fix that, then search again.",
}


def to_adopt(target: Target) -> WhiteToAdopt:
    """Return a white as its form sends it back."""
    return WhiteToAdopt(plain(target.cct), target.locus.value, plain(target.tint))


def _heading(job: Job[Whites]) -> str:
    if job.result:
        return wording.headline(job.result)
    if job.state is JobState.RUNNING:
        return "Comparing whites for all sources"
    return "The search was stopped" if job.state is JobState.STOPPED else "Whites cannot be compared yet"


def _nothing(whites: Whites) -> str:
    if whites.left_out:
        return f"No white yet for {', '.join(whites.left_out)}."
    return "Add a source that is to match."


def _found(whites: Whites, ladder: Ladder) -> FoundWhites:
    present = whites.present
    return FoundWhites(
        present=_present(present, whites.unweighed) if present else "",
        problems=() if present else whites.problems,
        unweighed=wording.unweighed(whites),
        options=tuple(
            _option(one, k, whites, ladder, advised=one is whites.advised)
            for k, one in enumerate(whites.offered, 1)
        ),
        tints=whites.tints,
        none="" if whites.offered else "No other white costs less in all.",
        map=whites_map(whites),
        scope=tuple(wording.scope(whites)),
    )


def _present(present: Option, but: Sequence[str]) -> str:
    said = [f"Now {white(present.target)}: {wording.totals(present, but)}", *wording.costs(present, None)]
    return f"{'. '.join(map(capitalize_first, said))}."


def _option(option: Option, number: int, whites: Whites, ladder: Ladder, *, advised: bool) -> OfferedWhite:
    present = whites.present
    saved = wording.saves(option, present) if present else []
    still = wording.still_off(option, present)
    none_off = not still and not (present and present.off)
    return OfferedWhite(
        number=number,
        name=white(option.target),
        saves=_saves(saved, nearer=all_nearer(option, present)) if present else "",
        costs=_costs(wording.costs(option, present), saved, none_off=none_off),
        still=f"{still}." if still else "",
        totals=f"{wording.totals(option, whites.unweighed)}.",
        caveat=wording.caveat(option.target, ladder),
        parts=tuple(_hangs_then(part) for part in option.parts),
        target=to_adopt(option.target),
        advised=advised,
    )


def _saves(saved: Sequence[str], *, nearer: bool) -> str:
    if saved:
        return f"{capitalize_first(', '.join(saved))}."
    return "Saves no gel and no light, but all come nearer." if nearer else "Saves no gel and no light."


def _costs(costs: Sequence[str], saved: Sequence[str], *, none_off: bool) -> str:
    if costs:
        said = ", ".join(costs)
        return f"But {said}." if saved else f"{capitalize_first(said)}."
    return "No source left off." if none_off else ""


def _hangs_then(part: Part) -> HangsThen:
    return HangsThen(part.name, hang(part.stack), stack_quality(part.stack))
