"""Large invented gel tables, and random sources and targets, for the tests and benchmarks of the search."""

import numpy as np

from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.model import Gel, Kind, Reading, Refused, Source, Spectrum, Target, Transmittance

FAMILIES = {"CTO": (134, 0), "CTB": (-134, 0), "Plus green": (0, 30), "Minus green": (0, -30)}


def family_table(rng, count):
    """Gels of four families, each from next to nothing to full strength."""
    each = -(-count // len(FAMILIES))
    strengths = [(i + 1) / each * rng.uniform(0.98, 1.02) for i in range(each)]
    rows = [
        Gel(family=family, fraction=f"{(i + 1) / 1000:.3f}", mired=round(mired * s, 3), cc=round(cc * s, 3))
        for family, (mired, cc) in FAMILIES.items()
        for i, s in enumerate(strengths)
    ]
    return rows[:count]


def mixed_table(rng, count):
    """Gels of the families, gels that shift both ways, doubles, measured ones of any shape; some scarce."""
    plain, both, same, measured = count * 5 // 10, count * 2 // 10, count // 10, count // 10
    rows = family_table(rng, plain)
    rows += [
        Gel(
            family="Both",
            fraction=f"{(i + 1) / 1000:.3f}",
            mired=round(float(rng.uniform(-150, 150)), 2),
            cc=round(float(rng.uniform(-30, 30)), 2),
        )
        for i in range(both)
    ]
    rows += [row.model_copy(update={"family": f"{row.family} again"}) for row in rng.choice(rows, same)]
    rows += [_measured(rng, i) for i in range(measured)]
    more = [
        Gel(family="Near", fraction=f"{(i + 1) / 1000:.3f}", mired=round(30 + 0.01 * i, 2))
        for i in range(count - len(rows))
    ]
    stock = [None, None, None, None, 0, 1, 2, 3]
    return [row.model_copy(update={"stock": stock[rng.integers(8)]}) for row in (*rows, *more)]


def _measured(rng, i):
    """A filter of any smooth shape, some with a sharp notch, some that pass nothing somewhere."""
    density = np.zeros(len(WAVELENGTHS))
    for _ in range(rng.integers(1, 4)):
        width = rng.uniform(8, 90)
        density += rng.uniform(0, 0.4) * np.exp(-0.5 * ((WAVELENGTHS - rng.uniform(380, 780)) / width) ** 2)
    values = 0.93 * 10.0**-density
    if i % 7 == 0:
        values[rng.uniform(385, 410) > WAVELENGTHS] = 0.0
    return Gel(
        family="Measured",
        fraction=f"{(i + 1) / 1000:.3f}",
        mired=round(float(rng.uniform(-120, 120)), 2),
        cc=round(float(rng.uniform(-20, 20)), 2),
        stops=1.0,
        transmittance=Transmittance(start=380, step=5, values=values.tolist()),
    )


def some_source(rng):
    """A source of any kind, with a reading that its kind can have."""
    while True:
        kind = list(Kind)[rng.integers(len(Kind))]
        reading = Reading(cct=float(rng.uniform(2200, 9000)), duv=float(rng.uniform(-0.012, 0.012)))
        head = Source(name="Head", kind=kind, reading=reading)
        try:
            prepare(head, gel_arrays_of(()), white_of(Target(cct=5600), []))
            return head
        except Refused:
            continue


def measured_source(rng):
    """A source whose spectrum was measured: a smooth one with a few lines."""
    while True:
        values = np.exp(rng.normal(0, 1.0) * (WAVELENGTHS - 560) / 200)
        for _ in range(rng.integers(0, 5)):
            at, width = rng.uniform(400, 700), rng.uniform(3, 30)
            values = values + rng.uniform(0, 2) * np.exp(-0.5 * ((WAVELENGTHS - at) / width) ** 2)
        spectrum = Spectrum(start=380, step=5, values=values.tolist())
        head = Source(name="Head", kind="unknown", reading=Reading(spectrum=spectrum))
        try:
            measure(head.reading)
            return head
        except Refused:
            continue


def some_target(rng):
    """A white on a locus that crews match to, at times off it on purpose."""
    while True:
        locus = ["daylight", "planckian"][rng.integers(2)]
        cct = float(rng.uniform(4000 if locus == "daylight" else 2600, 7500))
        target = Target(cct=cct, locus=locus, duv_offset=float(rng.choice([0, 0, 0.004, -0.006])))
        try:
            white_of(target, [])
            return target
        except Refused:
            continue
