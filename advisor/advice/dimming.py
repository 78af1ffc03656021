"""How much light a source has to lose so that it stands no more over the key than it may."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import log2

from ..model import Role
from .prediction import Bare

Lux = Callable[[Bare], float | None]


def dimmed(bares: Sequence[Bare], lux_of_key: Lux) -> list[Bare]:
    """Return the sources, each with the stops that its limit over the key asks it to lose.

    The key is all sources of that role; `lux_of_key` says what one of them gives once its plan hangs [lx].
    Where the key or a source has no illuminance, its limit cannot be kept and asks for nothing
    (`light.over_key` says so).
    """
    if not any(_limited(bare) for bare in bares):
        return list(bares)
    parts = [lux_of_key(bare) for bare in bares if bare.source.role is Role.KEY]
    key = sum(part for part in parts if part) if parts and all(parts) else 0.0
    return [replace(bare, least_stops=_least(bare, key)) for bare in bares]


def _limited(bare: Bare) -> bool:
    return bare.source.over_key is not None and bare.source.role is not Role.KEY


def _least(bare: Bare, key: float) -> float:
    lux, limit = bare.source.reading.lux, bare.source.over_key
    if not _limited(bare) or lux is None or limit is None or not key:
        return 0.0
    return max(log2(lux / key) - limit, 0.0)
