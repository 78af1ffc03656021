"""How much light each source is to give for what is asked of the whole.

References
----------
ISO 2720:1974, incident-light equation, for the f-number (`overview.f_number`).
CIE 17: illuminance is additive, so several keys, and several fills, add up.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ...model import Exposure, Role, Source
from ..overview.f_number import as_marked, lux_for


@dataclass(frozen=True)
class LightAims:
    """What is asked: the f-number of the key alone, key to fill, and who may stand how far over the key.

    `key_to_fill` is (key + fill) : fill, as `overview.ratios` has it. `over_key` [stop] is by the source's
    index, and replaces the source's own limit. `than_now` [stop], by index too, is how much brighter a source
    is to be than it is now, with what hangs on it; below 0 darker. What is None, or not there, is not asked.
    """

    exposure: Exposure
    f_number: float | None = None
    key_to_fill: float | None = None
    over_key: Mapping[int, float] = field(default_factory=dict)
    than_now: Mapping[int, float] = field(default_factory=dict)

    @property
    def some(self) -> bool:
        """Whether anything is asked."""
        return self.of_all or bool(self.over_key or self.than_now)

    @property
    def of_all(self) -> bool:
        """Whether anything is asked of all keys, or of all fills, together."""
        return self.f_number is not None or self.key_to_fill is not None


@dataclass(frozen=True)
class WantedLight:
    """The light that a source is to give [lx]: exactly so much if `exact`, else at most so much."""

    lux: float
    exact: bool


def key_wanted(aims: LightAims) -> float | None:
    """Return what all keys together are to give [lx]; None where no f-number is asked."""
    return None if aims.f_number is None else lux_for(as_marked(aims.f_number), aims.exposure)


def fill_wanted(aims: LightAims, key: float) -> float | None:
    """Return what all fills together are to give [lx] beside a key of so much [lx]; None where not asked.

    From (key + fill) : fill = R follows fill = key / (R − 1).
    """
    return None if aims.key_to_fill is None else key / (aims.key_to_fill - 1.0)


def most_beside(aims: LightAims, index: int, source: Source, key: float) -> float | None:
    """Return the most that a source may give beside a key of so much [lx]; None where it has no limit.

    A limit that a key has of its own does not count (`answer.key_limit`).
    """
    if source.role is Role.KEY:
        return None
    stops = aims.over_key.get(index, source.over_key)
    return None if stops is None else key * 2.0**stops


def shared(total: float, lux: Sequence[float]) -> list[float]:
    """Divide a total [lx] among sources in proportion to what each of them reads now [lx]."""
    whole = sum(lux)
    return [total * one / whole for one in lux]
