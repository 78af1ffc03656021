"""Cuts that come down are used again, where they are large enough, before new ones are cut."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ...model import Opening
from .lines import GelUse, Removal

Piece = tuple[float, float]
"""A cut's two sides, the shorter first. [m]"""


def with_reused(
    name: str, uses: Sequence[GelUse], off: Iterable[tuple[Removal, Sequence[Opening]]]
) -> list[GelUse]:
    """Return the uses of a gel, those that cuts from other sources serve marked with where these come from.

    `off` is what comes down, with the openings that it covered. A cut serves an opening that is no larger
    either way, turned or not. A source is served whole or not at all. Cuts without a size serve nothing, as
    nobody knows whether they would do.
    """
    pool = [
        (piece, removal.source)
        for removal, openings in off
        for piece in _pieces(openings, removal.gels.count(name))
    ]
    return [_served(use, pool) for use in uses]


def _served(use: GelUse, pool: list[tuple[Piece, str]]) -> GelUse:
    wanted = sorted(_pieces(use.openings, use.layers), reverse=True)
    if use.hangs or not wanted:
        return use
    left, whose = list(pool), dict[str, None]()
    for piece in wanted:
        fits = [one for one in left if one[0][0] >= piece[0] and one[0][1] >= piece[1]]
        if not fits:
            return use
        least = min(fits, key=lambda one: one[0][0] * one[0][1])
        left.remove(least)
        whose[least[1]] = None
    pool[:] = left
    return replace(use, reused=tuple(whose))


def _pieces(openings: Sequence[Opening], layers: int) -> list[Piece]:
    """Return every cut of some layers over openings."""
    return [
        (min(one.width, one.height), max(one.width, one.height))
        for one in openings
        for _ in range(one.count * layers)
    ]
