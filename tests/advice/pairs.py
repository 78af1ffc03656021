"""Pairs of readings, bare and behind one sheet, made for the tests of teaching. Every gel is invented."""

import numpy as np

from advisor.advice.readings.chromaticity import measure
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import through, uv_of_xyz
from advisor.colour.observer.grid import weights
from advisor.model import Reading, Source

LUX = 1000.0
#: Where lamps of each kind are found. [K]
RANGES = {
    "tungsten": (2400, 3400),
    "daylight": (4500, 9000),
    "discharge": (3500, 6500),
    "led-white": (2700, 6500),
    "led-mix": (2700, 6500),
    "fluorescent": (2900, 6500),
    "fluorescent-triband": (2900, 6500),
    "sodium": (1950, 2200),
    "unknown": (2500, 6500),
}


def head(kind="tungsten", cct=3200.0, duv=0.0, lux=LUX, **reading):
    return Source(name="Head", kind=kind, reading=Reading(cct=cct, duv=duv, lux=lux, **reading))


def gelled(source, gel):
    """Return what a meter reads behind one sheet of `gel` as the engine has it; None if no white."""
    gel_arrays = gel_arrays_of((gel,))
    bare = prepare(source, gel_arrays, measure(source.reading))
    light = through(bare.mean, gel_arrays.transmittances)
    return _reading(light.uv[0, 0], LUX * float(light.passed[0, 0]))


def read(spectrum, lux=LUX):
    """Return what an exact meter reads of a spectrum on the grid, (81,)."""
    return _reading(uv_of_xyz(spectrum @ weights()), lux)


def passed(spectrum, sheet):
    """Return the share of light that a sheet (81,) leaves of a spectrum (81,)."""
    luminous = weights()[:, 1]
    return float((spectrum * sheet) @ luminous / (spectrum @ luminous))


def rounded(reading, kelvins):
    """Return a reading as a meter shows it: CCT to some kelvins, Duv to four places, lux to whole ones."""
    return Reading(
        cct=round(reading.cct / kelvins) * kelvins, duv=round(reading.duv, 4), lux=round(reading.lux)
    )


def _reading(uv, lux):
    cct, duv = (float(v) for v in cct_duv_of_uv(np.asarray(uv)))
    return Reading(cct=cct, duv=duv, lux=lux) if np.isfinite(cct) else None
