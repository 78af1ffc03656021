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
    """Where one source lies, or several together: `at` is their middle. [px]"""

    heads: tuple[HeadThere, ...]
    at: Point

    @property
    def text(self) -> str:
        """What stands in its mark: the number of one, or how many there are."""
        return str(self.heads[0].number) if len(self.heads) == 1 else f"{len(self.heads)}×"

    @property
    def words(self) -> str:
        """Who lies there, for somebody who does not see it: “4, Tubes”, “2 together: 1 Window, 3 Key”."""
        if len(self.heads) == 1:
            return f"{self.heads[0].number}, {self.heads[0].name}"
        return f"{len(self.heads)} together: {', '.join(f'{h.number} {h.name}' for h in self.heads)}"


def spots_of(
    starts: Mapping[int, Point], near: float, numbers: Sequence[int], names: Sequence[str]
) -> list[Spot]:
    """Gather sources, by their indices, that lie nearer than `near` [px] to the middle of others.

    With 0 each has a spot of its own. In the order of the sources, so that the same set looks the same.
    """
    groups: list[list[int]] = []
    for index, at in starts.items():
        apart = [
            (hypot(at[0] - x, at[1] - y), k) for k, (x, y) in enumerate(_middle(g, starts) for g in groups)
        ]
        nearest = min(apart, default=(near, 0))
        if nearest[0] < near:
            groups[nearest[1]].append(index)
        else:
            groups.append([index])
    return [
        Spot(tuple(HeadThere(index, numbers[index], names[index]) for index in group), _middle(group, starts))
        for group in groups
    ]


def _middle(group: Sequence[int], starts: Mapping[int, Point]) -> Point:
    at = [starts[index] for index in group]
    if len(at) == 1:
        return at[0]
    return sum(x for x, _ in at) / len(at), sum(y for _, y in at) / len(at)
