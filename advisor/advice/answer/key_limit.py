"""How much light a source has to lose to keep within its limit over the key."""

from collections.abc import Sequence
from dataclasses import replace
from math import log2
from weakref import WeakKeyDictionary

from ...model import Role
from ..stacks.prediction import PreparedSource

EVEN = 0.05
"""Lights nearer than this are even: a tenth of a stop is what a meter tells apart. [stop]

Common practice, no source."""


def limited(bare: PreparedSource) -> bool:
    """Whether a source may stand only so many stops over the key; a key keeps no limit of its own."""
    return bare.source.over_key is not None and bare.source.role is not Role.KEY


def dimmed(bares: Sequence[PreparedSource], lux_of_keys: Sequence[float | None]) -> list[PreparedSource]:
    """Return the sources, each with how far it stands over its limit over the key.

    `lux_of_keys` is what each source of that role gives once its plan hangs [lx]; together they are the key.
    Where the key or a source has no illuminance, its limit cannot be kept and asks for nothing
    (`ratios.over_key` says so).
    """
    if not any(limited(bare) for bare in bares):
        return list(bares)
    known = [lux for lux in lux_of_keys if lux]
    key = sum(known) if len(known) == len(lux_of_keys) else 0.0
    return [_with_over(bare, _over(bare, key)) for bare in bares]


def _with_over(bare: PreparedSource, over: float | None) -> PreparedSource:
    if over == bare.over:
        return bare
    known = _KNOWN.setdefault(bare, {})
    return known.setdefault(over, replace(bare, over=over))


_KNOWN: WeakKeyDictionary[PreparedSource, dict[float | None, PreparedSource]] = WeakKeyDictionary()
"""The same each time, so that what was worked out for it is found again; it goes with the bare source."""


def _over(bare: PreparedSource, key: float) -> float | None:
    lux, limit = bare.source.reading.lux, bare.source.over_key
    if not limited(bare) or lux is None or limit is None or not key:
        return None
    return log2(lux / key) - limit
