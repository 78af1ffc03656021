"""How a head dims at a dial setting that was read at one level alone: as it does at another setting."""

from ...colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime
from ...model import Reading
from .chromaticity import held, measure, white_with

_SHARE, _LEAST = 0.5, STEP_DELTA_UV
"""How far off that may be: as a share of how far the light moves, and at least [Δu′v′]. Our judgement."""


def dims_alike(reading: Reading, full: Reading, there: Reading, what: str) -> tuple[Reading, float]:
    """Return a `reading` moved as another setting moves from `full` to `there`, and how far it may be off.

    The shifts in mired, in Duv and in log illuminance are the same; the result is at the level of `there`,
    without illuminance where one of the three has none. The doubt is in Δu′v′. Raises Refused where `what`
    it leads to is no real light.
    """
    own, was, now = measure(reading), measure(full), measure(there)
    mired, duv = was.shift_to(now)
    white = white_with(own.mired + mired, own.duv + duv, "level", what)
    lux = held(reading.lux * there.lux / full.lux) if reading.lux and there.lux and full.lux else None
    kept = {"modifier": reading.modifier, "dial": reading.dial}
    made = Reading(cct=white.cct, duv=white.duv, lux=lux, level=there.level, **kept)
    doubt = _SHARE * float(delta_uv_prime(was.uv, now.uv)) + _LEAST
    return made.model_copy(update={"tested_at": reading.tested_at}), doubt
