"""The pull list of one set or several: its heading, its gels, and how it can be counted again."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ....advice.pull_list.cutting import SEAM_OVERLAP
from ....advice.pull_list.lines import PullList
from ....advice.pull_list.pulled import progress
from ....model.gels.formats import Format
from ....model.sets.phrases import counted, listed
from ....store import StoredSet
from ....store.tables.records import SetSummary
from ...access.preferences import preferences
from ...wording.values import area, gel, plain, roll, whole_extent
from ..choices import OfferedChoice
from ..heads import gels_said
from .lines import PullLine, Takers, pull_line
from .sides import sides

_SAID_SHORT = 3
"""So many gels that are short are named in the heading."""


@dataclass(frozen=True)
class PullPage:
    """The pull list on its page.

    `progress` counts what is pulled. `spare` and `unsized` are empty where there is no gel on it, or none
    without a size; `unsized_sources` are the numbers and names of those without. The lists of names
    say which sources are not on it, or are to be looked at first. `area` is how much gel that is in all.
    """

    heading: str
    progress: str
    unsized_sources: tuple[tuple[int, str], ...]
    sets: str
    spare: str
    unsized: str
    without: str
    off: tuple[str, ...]
    outdated: str
    out: str
    lines: tuple[PullLine, ...]
    area: str
    overlap: str
    sizes: tuple[OfferedChoice, ...]
    others: tuple[OfferedChoice, ...]
    spare_percent: str


def view_of(
    sets: Sequence[StoredSet],
    pulls: PullList,
    sizes: Sequence[Format],
    cut_from: Format | None,
    every: Iterable[SetSummary],
) -> PullPage:
    """Return the list of some sets, the page's own first.

    `sizes` are those that gel can be cut from, `cut_from` the one that is chosen, `every` all the sets.
    """
    takers, spare = Takers(sets), plain(sets[0].spare_percent)
    ids = [one.id for one in sets]
    return PullPage(
        heading="Wrapped: nothing goes up" if all(one.wrapped for one in sets) else _heading(pulls),
        progress=_progress(pulls, sets[0].pulled),
        unsized_sources=tuple((takers.source(one).id, takers.names([one])) for one in pulls.unsized),
        sets=", ".join(one.name for one in sets),
        spare=f"With {spare} % spare." if pulls.gels else "",
        unsized=_unsized(pulls),
        without=_without(pulls, takers),
        off=tuple(f"Comes off {takers.names([one])}: {gels_said(one.gels)}." for one in pulls.off),
        outdated=takers.names(pulls.outdated),
        out=takers.names(pulls.out),
        lines=tuple(
            pull_line(line, takers, sets[0].pulled) for line in pulls.still + pulls.again + pulls.hanging
        ),
        area=_area(pulls),
        overlap=_overlap() if pulls.gels else "",
        sizes=_sizes(sizes, cut_from),
        others=tuple(
            OfferedChoice(str(one.id), one.name, one.id in ids) for one in every if one.id != ids[0]
        ),
        spare_percent=spare,
    )


def _overlap() -> str:
    """Say how far panels overlap: in centimetres, as whoever tapes them would, or in inches."""
    if preferences().length != "m":
        return whole_extent(SEAM_OVERLAP)
    return f"{plain(100 * SEAM_OVERLAP)}\N{NO-BREAK SPACE}cm"


def _heading(pulls: PullList) -> str:
    if pulls.still:
        again = f", use {len(pulls.again)} again" if pulls.again else ""
        return f"Pull {_amount(pulls)} of {counted(pulls.kinds, 'gel')}{again}{_short(pulls)}"
    if pulls.again:
        return "Pull nothing new: what comes down is used again"
    if pulls.off:
        return "Nothing to pull: something comes off"
    if pulls.gels:
        return "Nothing left to pull: it all hangs"
    return f"Nothing to pull{' yet' if pulls.without else ': all stays bare'}"


def _progress(pulls: PullList, pulled: Sequence[str]) -> str:
    """Say how many lines are pulled: “7 of 10 pulled”; empty where there is none to pull."""
    now = progress(pulls, pulled)
    return f"{now.done} of {now.of} pulled" if now.of else ""


def _amount(pulls: PullList) -> str:
    parts = [counted(pulls.sheets, "sheet")] if pulls.sheets else []
    parts += [counted(pulls.pieces, "scrim")] if pulls.pieces else []
    parts += [f"{counted(pulls.rolls, 'roll')}, for {roll(pulls.roll)},"] if pulls.roll else []
    return listed(parts)


def _short(pulls: PullList) -> str:
    """Say which gels the truck has too little of, to end the heading."""
    said = shortages(pulls)
    return f", {said}" if said else ""


def shortages(pulls: PullList) -> str:
    """Say which gels the truck has too little of: “½ CTO is 4 short”; empty where there is none."""
    parts = [f"{gel(line.name)} is {line.short} short" for line in pulls.short[:_SAID_SHORT]]
    more = len(pulls.short) - _SAID_SHORT
    parts += [f"{more} more gels short"] if more > 0 else []
    return ", ".join(parts)


def _unsized(pulls: PullList) -> str:
    if not pulls.unsized:
        return ""
    sources = counted(len(pulls.unsized), "source")
    return f"Sizes missing for {sources}: each cut counts as one sheet."


def _without(pulls: PullList, takers: Takers) -> str:
    if not pulls.without:
        return ""
    begin = "Not on the list, without a plan:" if pulls.gels else "No plan yet for"
    return f"{begin} {takers.names(pulls.without)}."


def _area(pulls: PullList) -> str:
    if pulls.unsized or not pulls.still:
        return ""
    return f"{area(pulls.area)} of gel for {area(pulls.covered)} to cover."


def _sizes(sizes: Sequence[Format], cut_from: Format | None) -> tuple[OfferedChoice, ...]:
    return (
        OfferedChoice("", "what leaves the fewest seams", chosen=False),
        *(
            OfferedChoice(
                size.name,
                f"{size.name}, {sides(size.width, size.length)}",
                cut_from is not None and cut_from.name == size.name,
            )
            for size in sizes
        ),
    )
