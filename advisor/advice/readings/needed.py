"""Which readings of a source its plan needs, of the very many that there may be: with these it is the same.

Each reading behind gels is needed, and each of a head's test. Of the bare ones that were taken alike (at one
level, with one modifier, at one setting of the dials, from one place) these are:

- the newest two, since the newest counts, and that a level was read twice is said;
- the newest with its light;
- where something hangs, or was read behind gels, one of each white: such a reading is held against all that
  was read bare, since the light may have changed, or the bare reading be a slip.
"""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import Any

MOST_AT_DIALS = 72
"""The most readings that count of those that note the dials, the newest ones: this many settle what the dials
do, and heads drift."""
_WARMEST, _WARM, _COOLEST = 2000.0, 3000.0, 20_000.0
"""CCTs within which a reading is a white as it stands, with a Duv up to `_OFF`. Others are all needed. [K]"""
_OFF = {True: 0.01, False: 0.02}
"""Where it is warm, and where it is not."""
_PLAIN = frozenset(("cct", "duv", "lux", "ra", "r9", "rf", "rg", "level", "modifier", "dial", "duv_assumed",
                    "as_far", "lux_as_far"))  # fmt: skip
"""What a reading may say that is told by others like it. One that says more is needed."""

Written = Mapping[str, Any]
"""A reading as it is kept, as a JSON object."""


def needed_readings(readings: Sequence[Written], each_white: bool) -> list[int]:
    """Return the indices, in order, of those of a source's `readings`, oldest first, that are needed.

    `each_white` says that one of each white is. So it is, too, where one of them was taken behind gels.
    """
    needed, alike = set[int](), dict[Hashable, list[int]]()
    before: tuple[int, ...] = ()
    for index, reading in enumerate(readings):
        if reading.get("gels"):
            # What is read behind gels is at the level of the bare reading before it, but for the newest one.
            needed.update((index, *before))
            each_white = True
            continue
        before = (*before[-1:], index)
        try:
            if (setup := _setup(reading)) is not None:
                alike.setdefault(setup, []).append(index)
                continue
        except TypeError:  # it holds something else than a reading does: whoever reads it says so
            pass
        needed.add(index)
    for members in alike.values():
        needed.update(members[-2:])
        needed.update(_newest_lit(readings, members))
        if each_white:
            needed.update(_each_white(readings, members))
    needed.update(_at_dials(readings, alike))
    return sorted(needed)


def _setup(reading: Written) -> Hashable:
    """Return how a plain bare reading was taken; None of one that is not plain.

    Raises TypeError where it holds no numbers.
    """
    get = reading.get
    if not ((cct := get("cct")) and reading.keys() <= _PLAIN and _WARMEST <= cct <= _COOLEST):
        return None
    if abs(reading["duv"]) > _OFF[cct < _WARM]:
        return None
    dial = get("dial")
    return dial and str(dial), get("level"), get("modifier"), get("as_far"), get("lux_as_far")


def _newest_lit(readings: Sequence[Written], members: Sequence[int]) -> Iterator[int]:
    newest = next((index for index in reversed(members) if readings[index].get("lux")), None)
    if newest is not None:
        yield newest


def _each_white(readings: Sequence[Written], members: Sequence[int]) -> Iterator[int]:
    """Yield the newest two of each white that do not say the same."""
    found: dict[tuple[float, float], list[Written]] = {}
    for index in reversed(members):
        reading = readings[index]
        same = found.setdefault((reading["cct"], reading["duv"]), [])
        if len(same) < 2 and reading not in same:
            same.append(reading)
            yield index


def _at_dials(readings: Sequence[Written], alike: Mapping[Hashable, Sequence[int]]) -> Iterator[int]:
    """Yield the newest readings that note the dials, by modifier: as many as count, each said once."""
    noted = [index for members in alike.values() for index in members if readings[index].get("dial")]
    found: dict[str, list[Written]] = {}
    for index in sorted(noted, reverse=True):
        reading = readings[index]
        newer = found.setdefault(str(reading.get("modifier")), [])
        if len(newer) <= MOST_AT_DIALS:
            if reading not in newer:
                newer.append(reading)
            yield index
