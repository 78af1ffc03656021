"""The end of a day: what comes down, head by head, and what of it is down."""

from collections.abc import Sequence
from dataclasses import dataclass

from ....advice.plan.head import PlannedSource
from ....advice.pull_list.lines import LooseCut
from ....advice.wording.cautions import Caution, cautions
from ....model import Source, Stage, Work
from ....model.sets.phrases import counted, grouped, listed
from ....model.sets.source import pieces_over
from ....store import StoredSet, StoredSource
from ...wording.gels import over_openings
from ...wording.values import capitalize_first, gel
from ..heads import gels_said


@dataclass(frozen=True)
class HeadToStrip:
    """A head of a wrapped set: its source's id, number and name, the gels that hung, and if they are down.

    `pieces` says how many pieces these are over several openings; empty over one.
    """

    id: int
    number: int
    name: str
    gels: str
    pieces: str
    down: bool


@dataclass(frozen=True)
class WrapPage:
    """What comes down: `heading` counts the heads, `up` the pieces that hang, `back` those that are down.

    `loose` says which of these came down before the wrap, and off what. Each is empty where there is none.
    """

    heading: str
    up: str
    back: str
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
            over_openings(one.source.hanging or [], one.source.openings),
            one.number in now.down,
        )
        for one in stored
    )
    left = sum(not row.down for row in rows)
    up = [piece for one in stored if one.number not in now.down for piece in _pieces(one.source)]
    back = [piece for one in stored if one.number in now.down for piece in _pieces(one.source)]
    return WrapPage(
        heading=f"Wrap: {counted(left, 'head')} to strip" if left else "Wrapped: all is down",
        up=_counted(up),
        back=_counted([*back, *(gel(cut.gel) for cut in at_hand)]),
        loose=_loose(at_hand),
        rows=rows,
        cautions=tuple(cautions([one.source for one in stored], now.hidden_cautions)),
    )


def _pieces(source: Source) -> list[str]:
    """Return a word for each piece of gel on a source, as the pull list cut it: a layer of each opening."""
    return [gel(name) for name in source.hanging or [] for _ in range(pieces_over(source.openings))]


def _counted(pieces: Sequence[str]) -> str:
    return f"{listed(grouped(pieces))}." if pieces else ""


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
