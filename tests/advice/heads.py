"""Adjustable heads for the tests of dials, all invented: what each setting really gives is known."""

from advisor.model import Reach, Reading, Setting, Source

REACH = Reach(cct_from=2700, cct_to=6500, cct_step=50, green_from=-10, green_to=10, green_step=1)
NO_GREEN = Reach(cct_from=2700, cct_to=6500, cct_step=50)
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
