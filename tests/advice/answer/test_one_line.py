"""Low-pressure sodium, light of one line: a meter's rounding at the spectral locus is no error."""

import colour
import numpy as np
import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand, why_beyond
from advisor.colour.observer.chromaticity import STEP_DELTA_UV, delta_uv_prime, uv_of_xy
from advisor.model import Limits, Reading, Refused, Source, Spectrum, Target
from tests.advice.answers import TABLE
from tests.advice.rows import asking

D_LINES = {589.0: 2.0, 589.6: 1.0}
"""The sodium doublet and how strong its lines are. [nm] NIST Atomic Spectra Database, from memory."""
PRINTED = (1766, 0.0070)
"""What a meter prints of such a lamp. Common practice, no source."""
KINDS = ("sodium", "discharge", "unknown")


def xy_of_line(lines):
    """Return (x, y) of lines of light, by the observer of an independent library (CIE 1931 2°)."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    xyz = sum(
        s * np.array([np.interp(nm, observer.wavelengths, c) for c in observer.values.T])
        for nm, s in lines.items()
    )
    return xyz[:2] / xyz.sum()


def of_kind(kind, reading):
    return Source(name="Tunnel", kind=kind, reading=reading)


def advised(kind, reading):
    return advise(asking(of_kind(kind, reading)), TABLE).sources[0]


@pytest.mark.parametrize("at", [588.0, 588.5, 589.0, 589.2, 589.5, 590.0, 590.5])
@pytest.mark.parametrize("kind", KINDS)
def test_a_line_is_taken_as_a_meter_prints_it(at, kind):
    xy = xy_of_line({at: 1.0})
    cct, duv = colour.temperature.uv_to_CCT_Ohno2013(np.array(colour.xy_to_UCS_uv(xy)))
    for reading in (
        Reading(cct=round(float(cct)), duv=round(float(duv), 4)),
        Reading(xy=(round(float(xy[0]), 4), round(float(xy[1]), 4))),
    ):
        bare = next(s for s in advised(kind, reading).stacks if not s.gels)
        assert (
            delta_uv_prime(uv_of_xy(np.array([bare.after.x, bare.after.y])), uv_of_xy(xy))
            < 0.25 * STEP_DELTA_UV
        )


@pytest.mark.parametrize("kind", KINDS)
def test_no_gel_moves_it_and_the_advice_says_so(kind):
    """A filter changes how strong a line is, never its colour."""
    reading = Reading(cct=PRINTED[0], duv=PRINTED[1], lux=200)
    answer = advised(kind, reading)
    bare = answer.stacks[0]
    assert bare.gels == [] and all(np.isfinite([s.uncertainty_steps for s in answer.stacks]))
    for stack in answer.stacks:
        assert abs(stack.miss.steps - bare.miss.steps) < 1.0
    plan = make_plan([of_kind(kind, reading)], Target(cct=5600), Limits(), TABLE)
    assert plan.alone.out and why_beyond(plan, 0) == ""
    assert by_hand(plan, 0, ["CTB full", "CTB full"]).miss.steps == pytest.approx(bare.miss.steps, abs=1.0)


@pytest.mark.parametrize("step", [1.0, 5.0])
def test_its_spectrum_is_taken_too(step):
    nodes = np.arange(380.0, 780.0 + step, step)
    values = sum(
        s * np.clip(1.0 - np.abs(nodes - nm) / max(step, 1.0), 0.0, None) for nm, s in D_LINES.items()
    )
    answer = advised("sodium", Reading(spectrum=Spectrum(start=380.0, step=step, values=values.tolist())))
    bare = next(s for s in answer.stacks if not s.gels)
    true = uv_of_xy(xy_of_line(D_LINES))
    assert delta_uv_prime(uv_of_xy(np.array([bare.after.x, bare.after.y])), true) < STEP_DELTA_UV
    assert bare.miss.steps > 100 and min(s.miss.steps for s in answer.stacks) > bare.miss.steps - 1.0


def test_a_kind_that_has_no_such_line_is_told():
    with pytest.raises(Refused) as no:
        advised("tungsten", Reading(cct=PRINTED[0], duv=PRINTED[1]))
    assert (
        no.value.problems[0].where == "sources[0].kind" and "no tungsten source" in no.value.problems[0].says
    )


@pytest.mark.parametrize(("cct", "duv"), [(1766, 0.0072), (1766, 0.0090), (2100, 0.0128), (1000, 0.05)])
def test_what_lies_further_out_than_rounding_is_still_no_light(cct, duv):
    with pytest.raises(Refused, match="no light can have"):
        advised("sodium", Reading(cct=cct, duv=duv))


def test_where_the_kind_is_not_known_a_street_lamp_is_reckoned_with():
    """Standard high-pressure sodium (CIE 15:2018, HP1): what it really leaves lies within what is said."""
    lamp = colour.SDS_ILLUMINANTS["HP1"].copy().align(colour.SpectralShape(380, 780, 5))
    spectrum = Reading(spectrum=Spectrum(start=380.0, step=5.0, values=lamp.values.tolist()))
    truly = advised("sodium", spectrum)
    bare = next(s.after for s in truly.stacks if not s.gels)
    told = advised("unknown", Reading(cct=round(bare.cct), duv=round(bare.duv, 4)))
    plan = make_plan([of_kind("sodium", spectrum)], Target(cct=5600), Limits(), TABLE)
    for stack in told.stacks[:3]:
        left = by_hand(plan, 0, stack.gels).miss.steps
        assert left <= stack.miss.steps + stack.uncertainty_steps
