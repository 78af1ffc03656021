"""Lamps of known truth, and what a meter reads of them behind stacks of the shipped table.

The lamps are Planckian radiators or straight slopes on them, made here.
"""

import math

import numpy as np

from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.grid import WAVELENGTHS, weights
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Limits, Predicted, Reading, Source, Stage, Target, Work

SHIPPED = shipped_gels().rows
RACK = gel_arrays_of(tuple(SHIPPED))
TARGET = Target(cct=5600)
LIMITS = Limits()


def planckian(cct, slope=0.0):
    """Return a Planckian radiator (c2 = 1.4388e-2 m K), more of the long waves by a slope; full at 560 nm."""
    waves = WAVELENGTHS * 1e-9
    light = waves**-5.0 / (np.exp(1.4388e-2 / (waves * cct)) - 1.0)
    light *= np.exp(slope * (WAVELENGTHS - 560.0) / 200.0)
    return light / np.interp(560.0, WAVELENGTHS, light)


def uv_of(spectrum, gels=()):
    x, y, z = (spectrum * RACK.product(RACK.find(gels))) @ weights()
    return np.array([4 * x, 6 * y]) / (x + 15 * y + 3 * z)


def read(spectrum, gels=(), lux=None, brightness=1.0):
    """Return what a meter reads of a lamp behind gels; `lux` is what it gives bare at full brightness."""
    cct, duv = (float(v) for v in cct_duv_of_uv(uv_of(spectrum, gels)))
    sheets = RACK.product(RACK.find(gels))
    passed = float((spectrum * sheets) @ weights()[:, 1] / (spectrum @ weights()[:, 1]))
    return Reading(cct=cct, duv=duv, lux=lux and lux * brightness * passed, gels=list(gels))


def looked(reading):
    """Return a reading of which somebody looked what hung."""
    return reading.model_copy(update={"gels_checked": True})


def off_target(spectrum, gels):
    """Return how far a lamp behind gels misses the target, in steps (CIE TN 001:2014, from memory)."""
    apart = uv_of(spectrum, gels) - white_of(TARGET, []).uv
    return math.hypot(apart[0], 1.5 * apart[1]) / 0.0011


def plan(*sources, limits=LIMITS, target=TARGET, rows=SHIPPED):
    return make_plan(sources, target, limits, rows)


def lamp(spectrum, kind="tungsten", lux=1000.0, **extra):
    return Source(name="Lamp", kind=kind, reading=read(spectrum, lux=lux), **extra)


def hung(source, gels, found=None, dial=None, stage=Stage.HUNG, **about):
    """Return a source with a stack on it and what was predicted of that, and what was found behind it."""
    entry = by_hand(plan(source, **about), 0, gels, dial)
    predicted = Predicted(
        cct=entry.after.cct,
        duv=entry.after.duv,
        lux=entry.after.lux,
        uncertainty_steps=entry.uncertainty_steps,
    )
    work = Work(stage=stage, gels=gels, dial=dial, predicted=predicted, read_behind=found)
    return source.model_copy(update={"work": work})


def checked(source, **about):
    return plan(source, **about).alone.check
