"""The end of a day: what comes down, head by head, and what of it is down."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.plan.head import PlannedSource
from ....advice.pull_list.lines import LooseCut
from ....advice.wording.cautions import Caution, cautions
from ....model import Stage, Work
from ....model.sets.phrases import counted, grouped, listed
from ....store import StoredSet, StoredSource
from ...wording.values import capitalize_first, gel
from ..heads import gels_said


@dataclass(frozen=True)
class HeadToStrip:
    """A head of a wrapped set: its source's id, number and name, the gels that hung, and if they are down."""

    id: int
    number: int
    name: str
    gels: str
    down: bool


@dataclass(frozen=True)
class WrapPage:
    """What comes down: `heading` counts the heads, `sheets` says what goes back to the truck in all.

    `loose` says which of these came down before the wrap, and off what; empty where none did.
    """

    heading: str
    sheets: str
    loose: str
    rows: tuple[HeadToStrip, ...]
    cautions: tuple[Caution, ...]


def wrap_page(now: StoredSet, at_hand: Sequence[LooseCut]) -> WrapPage:
    """Return what comes down on a wrapped set, in the order of the walk; `at_hand` are cuts down before."""
    stored = [now.sources[index] for index in now.walked if now.sources[index].source.hanging]
    rows = tuple(
        HeadToStrip(
            one.id,
            one.number,
            one.source.name,
            capitalize_first(listed(grouped([gel(name) for name in one.source.hanging or []]))),
            one.number in now.down,
        )
        for one in stored
    )
    left = sum(not row.down for row in rows)
    sheets = Counter(gel(name) for one in stored for name in one.source.hanging or [])
    sheets.update(gel(cut.gel) for cut in at_hand)
    return WrapPage(
        heading=f"Wrap: {counted(left, 'head')} to strip" if left else "Wrapped: all is down",
        sheets=f"{capitalize_first(listed(grouped(list(sheets.elements()))))}." if sheets else "",
        loose=_loose(at_hand),
        rows=rows,
        cautions=tuple(cautions([one.source for one in stored], now.hidden_cautions)),
    )


def _loose(at_hand: Sequence[LooseCut]) -> str:
    """Say which cuts came down before, and off what: “½ CTB off Mast”."""
    off: dict[str, list[str]] = {}
    for cut in at_hand:
        off.setdefault(cut.source, []).append(gel(cut.gel))
    return listed([f"{listed(grouped(names))} off {source}" for source, names in off.items()])


@dataclass(frozen=True)
class HeadAtWrap:
    """How a head of a wrapped set ended: what came down of it, or comes down, in large words.

    How well it matched is told where it was `metered` behind what hung; else nobody knows.
    """

    said: str
    metered: bool


def head_at_wrap(now: StoredSet, stored: StoredSource, head: PlannedSource) -> HeadAtWrap:
    """Return how a head of a wrapped set ended."""
    if not (hung := stored.source.hanging):
        return HeadAtWrap("No gel hung", metered=head.check is not None)
    return HeadAtWrap(taken_down(hung, down=stored.number in now.down), metered=head.check is not None)


def taken_down(hung: Sequence[str], *, down: bool) -> str:
    """Say what came down of a head, or comes down: “½ CTO came down”, “Take down ½ CTO”."""
    return f"{capitalize_first(gels_said(hung))} came down" if down else f"Take down {gels_said(hung)}"


def to_hang_again(work: Work) -> Work:
    """Return the work on a head whose gel came down at the wrap: it is planned, as it hung."""
    kept: dict[str, object] = {
        "stage": Stage.PLANNED,
        "instead": None,
        "read_behind": None,
        "read_elsewhere": [],
    }
    return work.model_copy(update={**kept, "reused": []})
