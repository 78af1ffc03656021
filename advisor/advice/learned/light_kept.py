"""The light of a source whose newest reading has none: that of an earlier reading still stands.

Whoever reads the colour of a head once more seldom types its illuminance again. As long as the head stands
at the same level, with the same modifier and dials, and reads the same colour, it gives the light that was
read before. At other dials it gives what the readings at other settings say (`dials.calibration`): log lux
is linear in the dial's mired. Where one setting alone was read, the light is taken as the same at all.

Daylight moves, so what was read of its light before says nothing of now. Nor does the light of a lamp that
changed, or of the test of a head, which was read from another distance.
"""

from collections.abc import Sequence
from math import exp, log

import numpy as np

from ...colour.observer.loci import MIRED_K
from ...model import Accuracy, Kind, Reading, Source
from ...model.basis.base import name_key
from ...model.sets.behind import read_at
from ..readings.chromaticity import held, whites_of
from .taken import differ


def with_light_kept(sources: Sequence[Source], accuracy: Accuracy) -> list[Source]:
    """Return sources whose bare reading that counts has the light of an earlier one, if none itself.

    What the work on a source knows of that reading has the same light. A source that keeps none is itself.
    """
    return [_with_light_kept(source, accuracy) for source in sources]


def _with_light_kept(source: Source, accuracy: Accuracy) -> Source:
    newest = source.reading
    if newest.lux is not None or not newest.said or newest.tested_at or source.kind is Kind.DAYLIGHT:
        return source
    alike = _lit_alike(newest, source.bare_readings)
    lux = _light_of(newest, alike, accuracy)
    if lux is None:
        return source
    # Where it was read goes with the light: a stand may have been moved since.
    read = {"as_far": alike[-1].as_far, "lux_as_far": alike[-1].lux_as_far}
    lit = newest.model_copy(update={"lux": lux, **read})
    changes: dict[str, object] = {"reading": lit}
    if source.work and source.work.read_bare == newest:
        changes["work"] = source.work.model_copy(update={"read_bare": lit})
    return source.model_copy(update=changes)


def light_behind(source: Source, found: Reading) -> float | None:
    """Return the illuminance [lx] of what was `found` behind what hangs, else of an earlier reading of it.

    That is one behind the same gels, at its level and with its modifier; None where none has its light.
    """
    if found.lux is not None or source.work is None or source.kind is Kind.DAYLIGHT:
        return found.lux
    earlier = [r for r in read_at(source, source.work, found) if r.lux and r.dial in (None, found.dial)]
    return earlier[-1].lux if earlier else None


def _lit_alike(newest: Reading, bare: Sequence[Reading]) -> list[Reading]:
    """Return the readings with their lux, at the level and with the modifier of the newest; oldest first."""
    there = newest.level, name_key(newest.modifier)
    return [r for r in bare if r.lux and not r.tested_at and (r.level, name_key(r.modifier)) == there]


def _light_of(newest: Reading, alike: Sequence[Reading], accuracy: Accuracy) -> float | None:
    same = [reading for reading in alike if reading.dial == newest.dial]
    if same:
        was, now = whites_of([same[-1], newest])
        return None if was is None or now is None or differ(was, now, accuracy) else same[-1].lux
    if newest.dial is None:
        return None
    # The newest reading of a setting counts.
    known = {MIRED_K / r.dial.cct: log(r.lux) for r in alike if r.dial is not None and r.lux}
    if not known:
        return None
    at, light = zip(*sorted(known.items()), strict=True)
    return held(exp(float(np.interp(MIRED_K / newest.dial.cct, at, light))))
