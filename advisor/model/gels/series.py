"""The two series in which CTO is sold: a lighter and a stronger one. Crews have either.

A table's rows do not tell which one is on the truck, so the crew is asked. Until somebody says, generic rows
have the figures of the lighter one, and a doubt that covers both.
"""

import re
from collections.abc import Sequence
from enum import StrEnum

from .gel import Gel, Known


class Series(StrEnum):
    """A series of CTO."""

    LIGHTER = "lighter"
    STRONGER = "stronger"


_SHIFTS = {
    Series.LIGHTER: {"1/8": 20.0, "1/4": 40.0, "1/2": 80.0, "3/4": 107.0, "full": 134.0},
    Series.STRONGER: {"1/8": 25.0, "1/4": 65.0, "1/2": 110.0, "3/4": 135.0, "full": 160.0},
}
"""Mired shifts on 5 600 K; 3/4 lies midway between its neighbours. [MK⁻¹] Common practice, from memory."""
_SAID = 10.0
"""How far a generic row may be off once the series is said. [% of its shift] From memory."""
_DAYLIGHT = 5600.0
_BECOMES = re.compile(r"5600 K becomes \d+ K")


def in_series(gel: Gel) -> bool:
    """Whether a row's figures depend on the series: generic CTO of a usual fraction."""
    usual = gel.family.casefold() == "cto" and gel.fraction in _SHIFTS[Series.LIGHTER]
    return usual and gel.knowledge is Known.GENERIC and gel.transmittance is None


def series_unsaid(gel: Gel) -> bool:
    """Whether a row's figures depend on the series, and nobody has said which it is."""
    return in_series(gel) and gel.percent is None


def series_of(rows: Sequence[Gel]) -> Series | None:
    """Return the series that rows were said to be of; None where nobody said, or they are of neither."""
    ours = [gel for gel in rows if in_series(gel)]
    for series, shifts in _SHIFTS.items():
        if ours and all((gel.mired, gel.percent) == (shifts[gel.fraction], _SAID) for gel in ours):
            return series
    return None


def as_series(gel: Gel, series: Series | None) -> Gel:
    """Return a row of which `in_series` is true with the figures of a series; None is "don't know"."""
    mired = _SHIFTS[series or Series.LIGHTER][gel.fraction]
    becomes = f"5600 K becomes {round(1e6 / (1e6 / _DAYLIGHT + mired), -1):.0f} K"
    note = _BECOMES.sub(becomes, gel.note)
    return gel.model_copy(update={"mired": mired, "percent": _SAID if series else None, "note": note})
