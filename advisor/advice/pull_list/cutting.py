"""How much gel a list of openings takes. Wide openings are divided into panels, and cuts lie side by side.

Cuts lie in shelves, next fit by decreasing height (Coffman, Garey, Johnson and Tarjan 1980, "Performance
bounds for level-oriented two-dimensional packing algorithms"), for a few fixed ways of turning them; the best
way counts. That is not the least gel possible. It is chosen over first fit, which may ask for less gel when
an opening is added; next fit never does (Murgolo 1988, "Anomalous behavior in bin packing algorithms"; both
from memory). Here is why. Take a list, and the same list with more cuts, both sorted alike. When the longer
list comes to a cut of the shorter, it is in a later shelf, or at least as far along the same one. So the cut
that opens its k-th shelf is at least as high. It has at least as many shelves, each at least as high, so it
ends at least as far along. The least of several such measures behaves the same.

Lengths are whole tenths of a millimetre inside, so that rounding neither loses nor adds a cut.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from ...model import Opening
from ...model.gels.formats import ComesAs, Format

SEAM_OVERLAP = 0.02
"""Panels of one opening overlap by this much where they are taped. [m] Our judgement, no source."""
ROLL_STEP = 0.1
"""Roll is pulled in steps of this length. [m]"""
_UNIT = 1e-4
_ALIKE = 1e-9
"""The share of a whole that float rounding may add. It is no reason to round up."""

Piece = tuple[int, int]
"""A cut's two sides, in units."""


@dataclass(frozen=True)
class Panels:
    """Widths of `columns` and heights of `rows` [m] that cover an opening; they overlap by SEAM_OVERLAP."""

    columns: tuple[float, ...]
    rows: tuple[float, ...]

    @property
    def count(self) -> int:
        """How many panels there are; 1 is a cut in one piece."""
        return len(self.columns) * len(self.rows)

    @property
    def seams(self) -> int:
        """How many taped lines go right across."""
        return len(self.columns) + len(self.rows) - 2


@dataclass(frozen=True)
class GelAmount:
    """An amount of one format: `units` sheets or pieces, or `length` [m] of roll from `units` rolls."""

    format: Format
    units: int
    length: float

    @property
    def area(self) -> float:
        """Gel pulled; none where it is no gel but a scrim. [m²]"""
        if self.format.form is ComesAs.PIECE:
            return 0.0
        whole = self.units * self.format.length
        return self.format.width * (whole if self.format.form is ComesAs.SHEET else self.length)

    def spared(self, percent: float) -> "GelAmount":
        """Return this with `percent` more, rounded up to a whole sheet or a tenth of a metre of roll.

        Of pieces none are spare: nothing is spoilt in cutting them.
        """
        if self.format.form is ComesAs.PIECE:
            return self
        more = 1 + percent / 100
        if self.format.form is ComesAs.SHEET:
            return GelAmount(self.format, _up(self.units * more), 0.0)
        length = _up(self.length * more / ROLL_STEP) * ROLL_STEP
        return GelAmount(self.format, max(self.units, _up(length / self.format.length)), length)


def panels(opening: Opening, size: Format) -> Panels:
    """Divide an opening into panels that can be cut from `size`, with the fewest panels, then least seam."""
    across, along = _down(size.width), _down(size.length)
    width, height = _units(opening.width), _units(opening.height)
    ways = [
        (_divided(width, first), _divided(height, second))
        for first, second in ((across, along), (along, across))
    ]
    columns, rows = min(
        ways,
        key=lambda way: (
            len(way[0]) * len(way[1]),
            (len(way[0]) - 1) * height + (len(way[1]) - 1) * width,
        ),
    )
    return Panels(tuple(c * _UNIT for c in columns), tuple(r * _UNIT for r in rows))


def cut(openings: Iterable[tuple[Opening, int]], size: Format, *, whole: int = 0) -> GelAmount:
    """Return the gel of one format that openings take, each with its layers of it, without any spare.

    `whole` is the number of cuts whose size nobody gave. Each takes a sheet, or a square of the roll's width.
    Pieces are not cut: there is one for each opening and layer.
    """
    if size.form is ComesAs.PIECE:
        return GelAmount(size, whole + sum(opening.count * layers for opening, layers in openings), 0.0)
    pieces: Counter[Piece] = Counter()
    for opening, layers in openings:
        divided = panels(opening, size)
        for column, beside in Counter(divided.columns).items():
            for row, above in Counter(divided.rows).items():
                pieces[_units(column), _units(row)] += beside * above * opening.count * layers
    width, length = _down(size.width), _down(size.length)
    if size.form is ComesAs.SHEET:
        bins = min((_bins(shelves, room) for shelves, room in _ways(pieces, width, length)), default=0)
        return GelAmount(size, bins + whole, 0.0)
    square = min(width, length)
    pieces[square, square] += whole
    end = min(_end(_shelves(pieces, turn, width, length), length) for turn in _TURNS)
    return GelAmount(size, -(-end // length), end * _UNIT)


def _divided(side: int, most: int) -> tuple[int, ...]:
    """Divide a side into parts of at most `most` that overlap: full ones, then what is left."""
    overlap = _units(SEAM_OVERLAP)
    count = 1 if side <= most else 1 - (most - side) // (most - overlap)
    return (*[most] * (count - 1), side - (count - 1) * (most - overlap))


def _cheapest(piece: Piece, width: int) -> float:
    """Return how much of the roll one cut takes if many of its size lie side by side."""
    return piece[1] / (width // piece[0])


_TURNS: tuple[Callable[[Piece, int], float], ...] = (
    _cheapest,
    lambda piece, width: -piece[0],
    lambda piece, width: piece[0],
)
"""Ways to turn a cut, across or along: each is a figure of one cut, and the turn with the least is taken."""


def _shelves(
    pieces: Counter[Piece], turn: Callable[[Piece, int], float], width: int, length: int
) -> list[tuple[int, int]]:
    """Pack cuts into shelves across `width`: their heights, falling, each with how many there are."""
    turned: Counter[Piece] = Counter()
    for piece, count in pieces.items():
        ways = [p for p in (piece, piece[::-1]) if p[0] <= width and p[1] <= length]
        turned[min(ways, key=lambda p: (turn(p, width), p))] += count
    order = sorted(turned.items(), key=lambda entry: (entry[0][1], entry[0][0]), reverse=True)
    return _next_fit([(across, along, count) for (across, along), count in order], width)[0]


def _ways(pieces: Counter[Piece], width: int, length: int) -> Iterable[tuple[list[tuple[int, int]], int]]:
    """Lay shelves both ways over a sheet, with each way of turning; beside them the room for shelves."""
    if pieces:
        for across, along in ((width, length), (length, width)):
            for turn in _TURNS:
                yield _shelves(pieces, turn, across, along), along


def _bins(shelves: Sequence[tuple[int, int]], room: int) -> int:
    """Return how many sheets or rolls shelves fill, one after another."""
    return sum(count for _, count in _next_fit([(h, 0, count) for h, count in shelves], room)[0])


def _end(shelves: Sequence[tuple[int, int]], length: int) -> int:
    """Return where the last shelf ends on rolls laid end to end: what is left of a begun roll counts."""
    bins, level = _next_fit([(h, 0, count) for h, count in shelves], length)
    return max(sum(count for _, count in bins) - 1, 0) * length + level


def _next_fit(items: Iterable[tuple[int, int, int]], room: int) -> tuple[list[tuple[int, int]], int]:
    """Fill bins of `room` one by one with (size, height, how many), in their order.

    Returns the height of each bin's first item, with how many such bins there are, and how full the last is.
    """
    bins: list[tuple[int, int]] = []
    level = room
    for size, height, count in items:
        fitting = min(count, (room - level) // size)
        level += fitting * size
        count -= fitting
        if count:
            each = room // size
            opened = -(-count // each)
            bins.append((height, opened))
            level = (count - (opened - 1) * each) * size
    return bins, level if bins else 0


def _units(length: float) -> int:
    """Return a length to be covered in units, rounded up."""
    return math.ceil(length / _UNIT - 1e-6)


def _down(length: float) -> int:
    """Return a length at hand in units, rounded down."""
    return math.floor(length / _UNIT + 1e-6)


def _up(value: float) -> int:
    return math.ceil(value * (1 - _ALIKE))
