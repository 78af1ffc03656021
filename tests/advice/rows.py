"""Gel tables and requests for the tests of the advice, by the definitions of the shipped table."""

from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import AdviceRequest, Gel, Reading, Source, Target
from advisor.model.gels.series import Series, as_series, in_series

FULL_CTO = 1e6 / 3200 - 1e6 / 5600
"""A full CTO takes 5 600 K to 3 200 K. [MK⁻¹]"""
SHARES = {"1/8": 1 / 8, "1/4": 1 / 4, "1/2": 1 / 2, "3/4": 3 / 4, "full": 1.0}
GREENS = {"1/8": 3.5, "1/4": 7.5, "1/2": 15.0, "3/4": 22.5, "full": 30.0}
"""[CC] Common practice, no source."""


def nominal(**extra):
    """Return CTO, CTB, plus green and minus green, five of each; `extra` goes into every row."""
    return [
        *(Gel(family="CTO", fraction=f, mired=FULL_CTO * share, **extra) for f, share in SHARES.items()),
        *(Gel(family="CTB", fraction=f, mired=-FULL_CTO * share, **extra) for f, share in SHARES.items()),
        *(Gel(family="Plus green", fraction=f, cc=cc, **extra) for f, cc in GREENS.items()),
        *(Gel(family="Minus green", fraction=f, cc=-cc, **extra) for f, cc in GREENS.items()),
    ]


def stronger():
    """Return the shipped table as a truck carries it whose half CTO is about 110."""
    shipped = shipped_gels().rows
    return [as_series(row, Series.STRONGER) if in_series(row) else row for row in shipped]


def neutral():
    return [
        Gel(family="ND", fraction="0.3", stops=1.0),
        Gel(family="Diffusion", fraction="1/2", stops=0.7),
    ]


def source(name="Window", kind="daylight", cct=6800.0, duv=0.004, **extra):
    reading = Reading(cct=cct, duv=duv, lux=extra.pop("lux", None))
    return Source(name=name, kind=kind, reading=reading, **extra)


def asking(*sources, target=None, **limits):
    return AdviceRequest(target=target or Target(cct=5600), sources=list(sources), **limits)
