"""Sources that lie together on a picture, gathered into one mark that tells their names on a tap."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot

from ...advice.readings.steps import Point


@dataclass(frozen=True)
class HeadThere:
    """A source at a spot: its index among the heads of the plan, from 0, its number and its name."""

    index: int
    number: int
    name: str


@dataclass(frozen=True)
class Spot:
    """Where one source lies, or several together: `at` is their middle. [px]

    `text` stands in its mark: the number of one, or how many there are. `words` say who lies there, for
    somebody who does not see it: “4, Tubes”, “2 together: 1 Window, 3 Key”.
    """

    heads: tuple[HeadThere, ...]
    at: Point
    text: str
    words: str


def spots_of(
    starts: Mapping[int, Point], near: float, numbers: Sequence[int], names: Sequence[str]
) -> list[Spot]:
    """Gather sources, by their indices, that lie nearer than `near` [px] to the middle of others.

    With 0 each has a spot of its own. In the order of the sources, so that the same set looks the same.
    """
    groups: list[list[int]] = []
    middles: list[Point] = []
    for index, (x, y) in starts.items():
        far = [hypot(x - across, y - down) for across, down in middles]
        nearest = min(range(len(far)), key=far.__getitem__, default=None)
        if nearest is not None and far[nearest] < near:
            groups[nearest].append(index)
            middles[nearest] = _middle(groups[nearest], starts)
        else:
            groups.append([index])
            middles.append((x, y))
    heads = {index: HeadThere(index, numbers[index], names[index]) for index in starts}
    return [_spot([heads[index] for index in group], at) for group, at in zip(groups, middles, strict=True)]


def _spot(heads: Sequence[HeadThere], at: Point) -> Spot:
    if len(heads) == 1:
        return Spot(tuple(heads), at, str(heads[0].number), f"{heads[0].number}, {heads[0].name}")
    named = ", ".join(f"{head.number} {head.name}" for head in heads)
    return Spot(tuple(heads), at, f"{len(heads)}×", f"{len(heads)} together: {named}")


def _middle(group: Sequence[int], starts: Mapping[int, Point]) -> Point:
    at = [starts[index] for index in group]
    return sum(x for x, _ in at) / len(at), sum(y for _, y in at) / len(at)
