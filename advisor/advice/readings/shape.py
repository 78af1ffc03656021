"""The spectra that a source may have: its own if one was measured, else those that its kind may have.

A light that was read again without its spectrum keeps the one that a meter read earlier at that set-up. A CCT
and a Duv say where a light is now, and its spectrum how it is made up. So the spectrum stays the shape of the
light, and is bent to the newer reading. A lamp that aged, warmed up or hangs on a weak line still has its
lines. Daylight, and what mixes its colour, is another light once it moved by more than a meter may be off.
"""

from collections.abc import Sequence

from ...colour.observer import grid
from ...colour.observer.chromaticity import steps_apart
from ...colour.rendering.figures import Figures
from ...colour.spectra import sources
from ...colour.spectra.sources import Ensemble
from ...model import ON_SET, Kind, Reading, Refused, Source, Spectrum
from ...model.basis.base import name_key
from .chromaticity import WhitePoint, measure, samples
from .steps import meter_steps

_TWICE = 2.0**0.5
"""Two readings are off each other by so much more than one is off the light."""
_OTHER_LAMP = 7.0
"""A lamp that moved further is obviously another light, or a slip: its spectrum tells nothing. [step]
Our judgement."""
_MOVES = (Kind.DAYLIGHT, Kind.LED_MIX, Kind.UNKNOWN)
"""Kinds whose light may change how it is made up."""


def ensemble_of(source: Source, white: WhitePoint) -> Ensemble:
    """Return the spectra that a source, which reads `white`, may have, as `ensemble_each` does.

    Raises Unbendable if no source of the kind can read like that.
    """
    [found] = ensemble_each([(source, white)])
    if found is None:
        raise sources.Unbendable(f"no {source.kind} spectrum has this chromaticity")
    return found


def ensemble_each(read: Sequence[tuple[Source, WhitePoint]]) -> list[Ensemble | None]:
    """Return the spectra that each source may have, by its white: its own if it was measured.

    On the grid, a measured spectrum keeps exactly the chromaticity that it has at its own wavelengths; one
    that was read earlier is bent to the white. None where no source of the kind can read like that.
    """
    shapes = [shape_of(source) for source, _ in read]
    each = list(zip(read, shapes, strict=True))
    guessed = [one for one, shape in each if shape is None]
    found = iter(sources.ensemble_each([_seen(source, white) for source, white in guessed]))
    return [next(found) if shape is None else _own(shape, white) for (_, white), shape in each]


def _seen(source: Source, white: WhitePoint) -> sources.MeteredLight:
    reading, (u, v) = source.reading, white.uv.tolist()
    figures = Figures(reading.ra, reading.r9, reading.rf, reading.rg, reading.ssi, reading.ssi_reference)
    return sources.MeteredLight(source.kind, u, v, figures)


def _own(shape: Spectrum, white: WhitePoint) -> Ensemble | None:
    try:
        return sources.measured(grid.to_grid(*samples(shape)), white.uv)
    except sources.Unbendable:
        return None


def shape_of(source: Source) -> Spectrum | None:
    """Return the spectrum that tells how a source's light is made up: its reading's own, or an earlier one.

    None where neither was read.
    """
    return source.reading.spectrum or kept_shape(source)


def kept_shape(source: Source) -> Spectrum | None:
    """Return the newest spectrum read earlier at the set-up of the reading that counts, which has none.

    None where there is none, or where the light moved too far since.
    """
    now = source.reading
    if now.spectrum is not None or not now.said:
        return None
    earlier = (r for r in reversed(source.readings) if r.spectrum and not r.gels and _alike(r, now))
    for was in earlier:
        return was.spectrum if _one_light(source, was, now) else None
    return None


def _alike(was: Reading, now: Reading) -> bool:
    """Whether two bare readings were taken at one level, with one modifier, at one setting of the dials."""
    level = None in (was.level, now.level) or was.level == now.level
    return level and was.dial == now.dial and name_key(was.modifier) == name_key(now.modifier)


def _one_light(source: Source, was: Reading, now: Reading) -> bool:
    try:
        then, there = measure(was), measure(now)
    except Refused:
        return False
    apart = float(steps_apart(then.uv, there.uv))
    may_move = source.kind in _MOVES or source.reach is not None
    return apart <= (_TWICE * meter_steps(then, ON_SET) if may_move else _OTHER_LAMP)
