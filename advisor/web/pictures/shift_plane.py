"""The shift plane laid out as SVG: marks that stay apart, on a scale that opens up around the target."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, sin, sqrt

import numpy as np

from ...advice.pictures.shift_plane import OnPlane, marks
from ...advice.pictures.shift_plane import trails as ways_in_steps
from ...advice.plan.light import stood, swaps_due, through_best, uv_then
from ...advice.plan.plan import Plan
from ...advice.readings.chromaticity import white_at, whites_at
from ...advice.readings.steps import Point
from .label_room import Drawn, Word
from .together import Spot, spots_of

SIZE = 358.0
"""Width of the picture, and height of the plane before it is cut. [px; as wide as a phone's screen]"""
TOUCH = 27.0
"""Radius of what a thumb finds: 48 px across on the narrowest screen, where 358 px shrink to 320. [px]"""
_EDGE = 30.0
_LABEL = 12.0
"""Radius of a source's number. [px]"""
_GATHERED, _SIGN = 14.0, 5.5
"""Radius of a mark on a gathered plane, and what each sign of its text adds to one. [px]"""
_APART = 2 * TOUCH + 9.0
"""Between numbers: 8 px lie between two that can be touched, on the narrowest screen too. [px]"""
_END, _TARGET = 3.0, 8.0
"""Radius of a trail's end, and of what stays free around the target. [px]"""
_BESIDE = ((0.0, 13.0), (0.0, -13.0), (0.0, 24.0), (0.0, -24.0)), ((0.0, 0.0), (16.0, 0.0), (-16.0, 0.0))
"""Where a mark may stand from its place on the axis across, and on the one up; rather the first. [px]"""
_WORDS = 24.0
"""What the words above and below the plane need. [px]"""
_LEAST = 72.0
"""The plane reaches at least this far above and below the target. [px]"""
_MOST_ALONE = 6
"""Of more sources, those that lie together are gathered."""
_TOGETHER = 30.0
"""So near to the middle of others a source lies together with them. [px]"""
_ROUNDS, _PAIRS = 400, 60_000
"""Rounds in which points move apart; of many points fewer, so that no more pairs than this are looked at."""


@dataclass(frozen=True)
class Label:
    """A source on the plane: its number at (x, y), its trail as polyline points, a leader if `moved`.

    `index` is that of its head in the plan, from 0. On a gathered plane a label is a `spot`:
    of several sources that lie together it has the first one's index, number and trail. `text` stands in
    its circle, whose `radius` [px] has room for it.
    """

    index: int
    number: int
    name: str
    text: str
    radius: float
    x: float
    y: float
    start: Point
    end: Point
    points: str
    moved: bool
    spot: Spot | None = None


@dataclass(frozen=True)
class Picture:
    """Everything that the template draws, in pixels; it shows the plane from `top` to `bottom` only."""

    labels: tuple[Label, ...]
    trails: tuple[tuple[str, Point], ...]
    """The way of each source as polyline points, and its end."""
    marks: tuple[Word, ...]
    ticks: tuple[Point, ...]
    """The places on the axes that the marks stand for."""
    tolerance: float
    top: float
    bottom: float
    gathered: bool = False
    centre: float = SIZE / 2
    size: float = SIZE
    touch: float = TOUCH


def trails_of(plan: Plan, indices: Sequence[int]) -> list[list[Point]]:
    """Return the way of some heads, by their indices, over the plane with their best stacks, in steps.

    It is empty where there is none, and ends at what was read there, where something was. Where what hangs
    is to be swapped, it is the way after the swap.
    """
    if plan.target is None or plan.gel_arrays is None:
        return [[] for _ in indices]
    best = through_best(plan, indices)
    read = {i: one.read for i, one in best.items() if one.read is not None}
    whites = dict(zip(read, whites_at(np.array(list(read.values())).reshape(-1, 2)), strict=True))
    ways = {i: OnPlane(bare, bare, None) for i in indices if (bare := plan.prepared.get(i))}
    ways |= {i: OnPlane(ways[i].bare, one.stood, one.stack, whites.get(i)) for i, one in best.items()}
    for i, then in swaps_due(plan, ways).items():
        if (uv := uv_then(plan, i)) is not None:
            ways[i] = OnPlane(ways[i].bare, stood(plan, i, then), then, white_at(uv))
    found = dict(zip(ways, ways_in_steps(list(ways.values()), plan.target, plan.gel_arrays), strict=True))
    return [found.get(i, []) for i in indices]


def picture(
    plan: Plan,
    names: Sequence[str],
    tolerance: float,
    numbers: Sequence[int] | None = None,
    trails: Sequence[list[Point]] | None = None,
    *,
    gather: bool = False,
) -> Picture | None:
    """Lay out a plan; None where there is no target or no source to show.

    `names`, `numbers` and `trails` are its heads', in their order. Without numbers they are counted from 1;
    trails that are not given are worked out. With `gather`, of more than six sources those that lie together
    get one mark, and ways go straight from that: a page tells their names on a tap, and paper cannot.
    """
    own = numbers or range(1, len(names) + 1)
    trails = trails_of(plan, range(len(plan.heads))) if trails is None else trails
    if plan.target is None or not any(trails):
        return None
    gathered = gather and sum(map(bool, trails)) > _MOST_ALONE
    if gathered:  # of many, where each comes from and where it lands: gel by gel their ways cross too often
        trails = [[*t[:1], *t[-1:]] for t in trails]
    farthest = max([hypot(*p) for t in trails for p in t] + [3.0 * tolerance])

    def place(p: Point) -> Point:
        # Distance from the target goes by its square root: what is nearly right needs the room.
        r = hypot(*p)
        out = (SIZE / 2 - _EDGE) * sqrt(r / farthest) / r if r else 0.0
        return SIZE / 2 + p[0] * out, SIZE / 2 - p[1] * out

    ways = {i: [place(p) for p in t] for i, t in enumerate(trails) if t}
    spots = spots_of({i: t[0] for i, t in ways.items()}, _TOGETHER if gathered else 0.0, own, names)
    stand = apart([spot.at for spot in spots], gap=_APART, low=TOUCH, high=SIZE - TOUCH)
    labels = [
        Label(
            index=spot.heads[0].index,
            number=spot.heads[0].number,
            name=spot.heads[0].name,
            text=spot.text,
            radius=max(_GATHERED if gathered else _LABEL, _SIGN * len(spot.text)),
            x=x,
            y=y,
            start=spot.at,
            end=ways[spot.heads[0].index][-1],
            points=_line(ways[spot.heads[0].index]),
            moved=not gathered and hypot(x - spot.at[0], y - spot.at[1]) > _LABEL,
            spot=spot if gathered else None,
        )
        for spot, (x, y) in zip(spots, stand, strict=True)
    ]
    if gathered:  # a way that began beside its mark would look like one of another source
        ways = {
            head.index: [at, ways[head.index][-1]]
            for spot, at in zip(spots, stand, strict=True)
            for head in spot.heads
        }
    ring = (SIZE / 2 - _EDGE) * sqrt(tolerance / farthest)
    heights = [y for t in ways.values() for _, y in t]
    reach = [TOUCH + abs(y - SIZE / 2) for _, y in stand] + [8 + abs(y - SIZE / 2) for y in heights]
    half = max([*reach, ring + 8, _LEAST])
    drawn = Drawn(circles=[((SIZE / 2, SIZE / 2), _TARGET)])
    drawn.circles += [((label.x, label.y), label.radius) for label in labels]
    drawn.circles += [(t[-1], _END) for t in ways.values()]
    drawn.lines += [*ways.values(), *([label.start, (label.x, label.y)] for label in labels if label.moved)]
    places = [Word(m.name, place(m.at)) for m in marks(plan.target, plan.ladder)]
    shown, ticks = _readable(places, drawn, half)
    top, bottom = SIZE / 2 - half - _WORDS, SIZE / 2 + half + _WORDS
    lines = tuple((_line(t), t[-1]) for t in ways.values())
    return Picture(tuple(labels), lines, shown, ticks, ring, top=top, bottom=bottom, gathered=gathered)


def _line(points: Sequence[Point]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _within(at: Point, half: float) -> bool:
    return abs(at[0] - SIZE / 2) <= SIZE / 2 - _EDGE and abs(at[1] - SIZE / 2) <= half - 4


def _readable(
    places: Sequence[Word], drawn: Drawn, half: float
) -> tuple[tuple[Word, ...], tuple[Point, ...]]:
    """Put marks beside their places, clear of what is `drawn` and of one another; return both.

    The plane reaches `half` up and down. The two of one fraction stay or go together, so that an axis reads
    the same both ways; the larger ones come first.
    """
    ticks: list[Point] = []
    for up in (False, True):
        axis = [m for m in places if (abs(m.at[0] - SIZE / 2) < 0.05) is up]
        for name in dict.fromkeys(m.text for m in reversed(axis)):
            own = [m for m in axis if m.text == name]
            stands = drawn.first_clear_each([_beside(m, _BESIDE[up]) for m in own if _within(m.at, half)])
            if len(stands) == len(own) and all(stands):
                drawn.words += filter(None, stands)
                ticks += [m.at for m in own]
    return tuple(drawn.words), tuple(ticks)


def _beside(mark: Word, ways: Sequence[Point]) -> list[Word]:
    """Return a mark beside its place, in each of the `ways`."""
    return [Word(mark.text, (mark.at[0] + across, mark.at[1] + down)) for across, down in ways]


def apart(points: Sequence[Point], *, gap: float, low: float, high: float) -> list[Point]:
    """Move points away from each other until `gap` lies between any two, each as little as it can.

    They stay between `low` and `high` across; up and down they have all the room that they need.
    """
    at = [list(p) for p in points]
    square = gap * gap
    for _ in range(min(_ROUNDS, 1 + 2 * _PAIRS // max(len(at) ** 2, 1))):
        still = True
        for i, one in enumerate(at):
            for other in at[:i]:
                dx, dy = one[0] - other[0], one[1] - other[1]
                if dx * dx + dy * dy >= square:  # most pairs
                    continue
                still, away = False, hypot(dx, dy)
                if away < 1e-6:
                    angle = 2 * pi * i / len(at)
                    dx, dy, away = cos(angle), sin(angle), 1.0
                push = (gap - min(away, gap)) / 2 + 0.2
                for own, sign in ((one, 1), (other, -1)):
                    own[0] += sign * push * dx / away
                    own[1] += sign * push * dy / away
        for own in at:
            own[0] = min(max(own[0], low), high)
        if still:
            break
    return [(x, y) for x, y in at]
