"""Adjustable heads for the tests of dials, all invented: what each setting really gives is known."""

import math

from advisor.advice.dials.at_setting import stands_at
from advisor.advice.dials.calibration import fit_dial
from advisor.advice.dials.search import dials_of
from advisor.advice.ranking.pareto import Ranked
from advisor.advice.ranking.report import stack_reports
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import choice_on, stacks_on
from advisor.model import Reach, Reading, Setting, Source, Target

REACH = Reach(cct_from=2700, cct_to=6500, cct_step=50, green_from=-10, green_to=10, green_step=1)
NO_GREEN = Reach(cct_from=2700, cct_to=6500, cct_step=50)
REGRET = 0.01
"""How much worse than going through everything the best may be. [step] The benchmark prints it."""
#: How measured mired and Duv follow the dials, plainly otherwise than what these say.
ODD = ((1.06, -6.0, 0.08), (0.0011, 0.000015, 0.0022))


def dial(cct, green=0.0):
    return Setting(cct=cct, green=green)


def really(setting, truth=ODD):
    """Return the measured mired and Duv at a setting, affine in the dial's mired and green."""
    (slope, offset, cross), (duv, along, green) = truth
    mired = 1e6 / setting.cct
    return (
        200 + slope * (mired - 200) + offset + cross * setting.green,
        duv + along * (mired - 200) + green * setting.green,
    )


def read(setting, truth=ODD, lux=None, **tags):
    mired, duv = really(setting, truth)
    return Reading(cct=1e6 / mired, duv=duv, lux=lux, dial=setting, **tags)


def head(settings, reach=REACH, truth=ODD, kind="led-mix", **extra):
    """Return a head that was read at some settings, oldest first."""
    *older, newest = (s if isinstance(s, Reading) else read(s, truth) for s in settings)
    return Source(name="Head", kind=kind, reading=newest, readings=older, reach=reach, **extra)


def white(cct, duv=0.0):
    return white_of(Target(cct=cct, locus="planckian", duv_offset=duv), [])


def costs(entries):
    return [entry.cost for entry in entries]


def risks(entries):
    """What entries cost beside light, in tenths of a stop, and layers."""
    return [e.cost - 0.2 * math.floor(10 * e.stops + 0.5) - 0.5 * e.layers for e in entries]


def everything(bare, gel_arrays, limits):
    """Return entries for every setting of the dials and every stack."""
    fit = fit_dial(bare.source)
    dials = dials_of(fit.reach)
    places = [dials.setting(i, j) for i in range(dials.ccts) for j in range(dials.greens)]
    choice = choice_on(gel_arrays, bare.keep, limits.max_layers, gel_arrays.ranked, dimmed=False)
    stacks = stacks_on(gel_arrays, choice)
    settings = list({(s.cct, s.green): s for s in [fit.current, *places]}.values())
    # None: no light of its kind.
    stands = [stand for stand in stands_at(bare, fit, settings) if stand is not None]
    judges = [stand.judge(gel_arrays, limits) for stand in stands]
    ranked = [
        Ranked(judge, stacks, *stand.outcomes(judge, stacks))
        for stand, judge in zip(stands, judges, strict=True)
    ]
    return [
        entry.model_copy(update={"dial": stand.setting})
        for stand, entries in zip(stands, stack_reports(ranked), strict=True)
        for entry in entries
    ]
