"""How far a prediction may be off grows with what is not known, and with nothing else."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import NONE
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import predict_stacks, prepare, stacked
from advisor.advice.stacks.uncertainty import Certainty, certainty, looks_same
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import delta_uv_prime, through
from advisor.model import Gel, Kind, Known, Limits, Reading, RequestAccuracy, Source, Spectrum, Target
from advisor.model.sets.lightset import EXACT, ON_SET
from tests.advice.rows import FULL_CTO, nominal
from tests.advice.searching import reference_of
from tests.thorough import cases

RACK = gel_arrays_of(tuple(nominal()))
TARGET = white_of(Target(cct=5600), [])
CTO, CTB_HALF, GREEN, MINUS = RACK.find(["CTO full", "CTB 1/2", "Plus green 1/4", "Minus green 1/8"])
STACKS = np.array(
    [[NONE, NONE], [CTO, NONE], [CTB_HALF, NONE], [GREEN, NONE], [CTO, MINUS], [CTB_HALF, GREEN]]
)
BARE_ALONE = STACKS[:1]
TOLERANCES = ({"meter_cct_percent": 2.0}, {"meter_duv": 0.001}, {"gel_percent": 5.0})
SLOPE = 0.05
"""How far a tolerance's straight line may be from the curve that it stands for, relative."""


def bare_of(kind=Kind.LED_WHITE, cct=4300.0, duv=0.002, spectrum=None):
    reading = Reading(spectrum=spectrum) if spectrum else Reading(cct=cct, duv=duv)
    return prepare(Source(name="Head", kind=kind, reading=reading), RACK, TARGET)


def measured():
    """Make a source of which the spectrum itself was read: a white LED's."""
    own = bare_of()
    return bare_of(spectrum=Spectrum(start=380.0, step=5.0, values=own.ensemble.spectra[0].tolist()))


def sure(bare, accuracy=EXACT, stacks=STACKS, gel_arrays=RACK):
    return certainty(bare, gel_arrays, stacks, accuracy)


def moved_by_dyes(bare, gel_arrays=RACK):
    own = through(bare.mean, stacked(gel_arrays.transmittances, STACKS)).uv[:, 0]
    others = through(bare.mean, stacked(gel_arrays.other_dyes, STACKS)).uv[..., 0, :]
    return np.sqrt(np.mean([delta_uv_prime(other, own) ** 2 for other in others], axis=0)) / 0.0011


@pytest.mark.parametrize("kind", Kind)
def test_a_bare_source_of_exact_reading_is_certain(kind):
    assert sure(bare_of(kind), stacks=BARE_ALONE).steps == pytest.approx([0.0], abs=1e-5)


@pytest.mark.parametrize("kind", Kind)
def test_behind_gels_a_source_is_less_certain_than_its_gels(kind):
    bare = bare_of(kind)
    dyes = 1.35 * moved_by_dyes(bare)[1:]
    assert (sure(bare).steps[1:] > dyes).all() and (dyes > 0.0).all()


def test_of_a_measured_spectrum_only_the_dyes_are_uncertain():
    found = sure(measured())
    np.testing.assert_allclose(found.steps, 1.35 * moved_by_dyes(measured()), rtol=1e-9, atol=1e-12)


def test_a_measured_spectrum_is_more_certain_than_its_kind():
    assert (sure(measured()).steps[1:] < sure(bare_of()).steps[1:]).all()


def test_a_kind_that_is_not_known_is_less_certain():
    assert (sure(bare_of(Kind.UNKNOWN)).steps[1:] > sure(bare_of(Kind.TUNGSTEN, 3200, 0.0)).steps[1:]).all()
    assert (sure(bare_of(Kind.UNKNOWN)).steps[1:] > sure(bare_of(Kind.LED_WHITE)).steps[1:]).all()


def test_gels_that_were_measured_have_no_doubtful_dyes():
    known = replace(RACK, by_label=np.zeros(len(RACK.names), dtype=bool))
    assert sure(measured(), gel_arrays=known).steps == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("tolerance", TOLERANCES, ids=lambda t: next(iter(t)))
@pytest.mark.parametrize("bare", [bare_of(), measured()], ids=["kind", "spectrum"])
def test_each_tolerance_adds_and_more_of_it_adds_more(tolerance, bare):
    [(name, size)] = tolerance.items()
    found = [sure(bare, RequestAccuracy(**{name: size * share})).steps for share in (0.0, 0.5, 1.0, 2.0)]
    gelled = slice(1, None)
    for less, more in pairwise(found):
        assert (more[gelled] > less[gelled]).all()
    if name == "gel_percent":
        assert found[-1][0] == pytest.approx(found[0][0], abs=1e-9)  # no gel, no gels' tolerance


def test_together_the_tolerances_add_as_squares():
    bare = measured()
    none = sure(bare).steps
    apart = [sure(bare, RequestAccuracy(**tolerance)).steps ** 2 - none**2 for tolerance in TOLERANCES]
    every = {name: size for tolerance in TOLERANCES for name, size in tolerance.items()}
    together = sure(bare, RequestAccuracy(**every)).steps
    np.testing.assert_allclose(together**2, none**2 + np.sum(apart, axis=0), rtol=1e-9)


@given(st.floats(2200.0, 9000.0), st.floats(-0.01, 0.01), st.floats(0.5, 4.0), st.floats(2e-4, 3e-3))
@settings(deadline=None, max_examples=cases(40))
def test_a_bare_source_is_as_uncertain_as_its_meter(cct, duv, percent, duv_off):
    bare = bare_of(Kind.TUNGSTEN, cct, duv)
    by_cct = sure(bare, RequestAccuracy(meter_cct_percent=percent), BARE_ALONE).steps[0] * 0.0011
    by_duv = sure(bare, RequestAccuracy(meter_duv=duv_off), BARE_ALONE).steps[0] * 0.0011
    along = uv_of_cct_duv(cct * (1 + percent / 100 * np.array([-1.0, 1.0])), np.full(2, duv))
    across = uv_of_cct_duv(np.full(2, cct), duv + duv_off * np.array([-1.0, 1.0]))
    assert by_cct == pytest.approx(delta_uv_prime(*along) / 2, rel=SLOPE)
    assert by_duv == pytest.approx(delta_uv_prime(*across) / 2, rel=SLOPE)


def test_a_stronger_sheet_is_a_stronger_shift():
    """A full CTO that is 5 % too strong moves a measured source as far as one labelled 5 % higher."""
    bare = measured()
    only = np.array([[CTO]])
    found = sure(bare, RequestAccuracy(gel_percent=5.0), only)
    added = np.sqrt(found.steps**2 - sure(bare, EXACT, only).steps ** 2)[0]
    label = gel_arrays_of(
        tuple(Gel(family="CTO", fraction="full", mired=FULL_CTO * share) for share in (1.05,))
    ).transmittances
    straight = delta_uv_prime(
        *through(bare.mean, np.concatenate([label, RACK.transmittances[[CTO]]])).uv[:, 0]
    )
    assert added == pytest.approx(straight / 0.0011, rel=2 * SLOPE)


def test_a_row_that_says_how_far_off_counts_by_that_and_others_by_what_is_said_of_all():
    bare = measured()
    percent = np.full(len(RACK.names), np.nan)
    percent[CTO] = 12.0
    gel_arrays = replace(RACK, percent=percent)
    only = np.array([[CTO, NONE], [CTB_HALF, NONE], [CTO, CTB_HALF]])
    none = sure(bare, EXACT, only).steps ** 2
    exact = np.sqrt(sure(bare, EXACT, only, gel_arrays).steps ** 2 - none)
    asked = np.sqrt(sure(bare, RequestAccuracy(gel_percent=5.0), only, gel_arrays).steps ** 2 - none)
    twelve = np.sqrt(sure(bare, RequestAccuracy(gel_percent=12.0), only).steps ** 2 - none)
    five = np.sqrt(sure(bare, RequestAccuracy(gel_percent=5.0), only).steps ** 2 - none)
    assert exact == pytest.approx([twelve[0], 0.0, exact[2]], abs=1e-9) and exact[2] > 0.0
    assert asked[:2] == pytest.approx([twelve[0], five[1]])
    assert exact[2] < asked[2] < twelve[2]


def test_a_row_says_it_by_how_it_is_known():
    rows = (
        Gel(family="CTO", fraction="1/2", mired=80, known=Known.GENERIC),
        Gel(family="CTB", fraction="1/2", mired=-70, percent=7),
        Gel(family="Straw", fraction="full", mired=40),
    )
    found = dict(zip(gel_arrays_of(rows).names, gel_arrays_of(rows).percent, strict=True))
    assert found["CTO 1/2"] == 25 and found["CTB 1/2"] == 7 and np.isnan(found["Straw full"])


def test_on_a_set_a_row_that_does_not_say_counts_as_typed_from_a_swatch_book():
    bare = measured()
    meter = RequestAccuracy(**ON_SET.model_dump(), gel_percent=5.0)
    np.testing.assert_allclose(sure(bare, ON_SET).steps, sure(bare, meter).steps)


def test_the_members_are_told_by_their_own_places():
    """From the target, along u′ and v′ in steps: their lengths are the misses."""
    bare = bare_of()
    found = sure(bare)
    [outcomes] = predict_stacks([bare], RACK, STACKS)
    assert found.offsets.shape == (len(STACKS), len(bare.ensemble.weights), 2)
    misses = np.hypot(found.offsets[..., 0], found.offsets[..., 1])
    np.testing.assert_allclose(misses @ bare.ensemble.weights, outcomes.steps, rtol=1e-9)


@pytest.mark.parametrize("bare", [bare_of(), bare_of(Kind.UNKNOWN), measured()], ids=["led", "any", "known"])
def test_the_covariance_is_the_references(bare):
    """`expected` works it out anew, from the meter to the dyes."""
    accuracy = RequestAccuracy(meter_cct_percent=2.0, meter_duv=0.001, gel_percent=7.0)
    plain = reference_of(bare, RACK, nominal(), Limits(accuracy=accuracy))
    filters = plain.product(STACKS)
    mean = np.einsum("kmc,k->mc", plain.places(filters)[0], plain.shares)
    found = sure(bare, accuracy).covariance
    np.testing.assert_allclose(found, plain.covariance(STACKS, filters, mean), rtol=2e-4, atol=1e-6)


class TestStrength:
    """Sheets of one gel, and of one series, are off together."""

    ONLY_GELS = RequestAccuracy(gel_percent=8.0)

    def added(self, gels, **marks):
        """Return what the strength of sheets adds to the covariance, (2, 2)."""
        gel_arrays = gel_arrays_of(tuple(row.model_copy(update=marks) for row in nominal()))
        stacks = np.array([gel_arrays.find(gels)])
        bare = measured()
        exact = replace(gel_arrays, percent=np.zeros(len(gel_arrays.names)))
        return (
            sure(bare, self.ONLY_GELS, stacks, gel_arrays).covariance
            - sure(bare, EXACT, stacks, exact).covariance
        )[0]

    def test_two_sheets_of_one_gel_are_off_twice_as_far_and_not_by_the_root_of_two(self):
        one, two = self.added(["CTO 1/8"]), self.added(["CTO 1/8", "CTO 1/8"])
        assert np.sqrt(np.trace(two) / np.trace(one)) == pytest.approx(2.0, rel=0.1)

    @pytest.mark.parametrize(("percent", "shared"), [(8.0, 0.7), (12.0, 0.7), (24.0, 0.925), (120.0, 0.997)])
    def test_sheets_of_one_series_are_partly_off_together_and_others_are_not(self, percent, shared):
        """Of a family that is known as the trade reckons, a truck carries one series or another.

        Beside that each sheet is off by itself: by three tenths of the variance of one that is within 12 %.
        """
        gels = ["CTO 1/2", "CTO 1/4"]
        apart = self.added(gels) * (percent / 8.0) ** 2
        together = self.added(gels, known=Known.GENERIC, percent=percent)
        one, other = (np.sqrt(np.trace(self.added([gel]))) * percent / 8.0 for gel in gels)
        # Behind another sheet each moves the light a little less than alone.
        both = np.sqrt(one**2 + other**2 + 2.0 * shared * one * other)
        assert np.sqrt(np.trace(together)) == pytest.approx(both, rel=0.15)
        assert np.sqrt(np.trace(apart)) == pytest.approx(np.hypot(one, other), rel=0.15)
        added = np.trace(together) - np.trace(apart)
        assert added == pytest.approx(2.0 * shared * one * other, rel=0.3)

    def test_two_families_are_never_off_together(self):
        gels = ["CTO 1/2", "Plus green 1/2"]
        np.testing.assert_allclose(
            self.added(gels), self.added(gels, known=Known.GENERIC, percent=8.0), rtol=1e-9
        )

    def test_what_a_row_says_goes_before_what_a_request_says(self):
        said, unsaid = self.added(["CTO 1/2"], percent=2.0), self.added(["CTO 1/2"])
        np.testing.assert_allclose(unsaid, said * (8.0 / 2.0) ** 2, rtol=1e-9)


# What looks the same: stacks (f,) with places (k, 2) of each, in ranked order.

HALVES = np.array([0.5, 0.5])


def placed(*stacks):
    """Return stacks whose members land at places, (k, 2) each."""
    places = np.array(stacks, dtype=float)
    return Certainty(places, np.zeros((len(places), 2, 2)), np.zeros(len(places)))


@pytest.mark.parametrize(("second", "same"), [(1.9, 0), (2.1, None), (0.1, 0)])
def test_within_one_step_under_every_spectrum_it_looks_the_same(second, same):
    here = placed([[1.0, 0.0], [1.0, 0.0]], [[second, 0.0], [second, 0.0]])
    assert looks_same(here, HALVES) == [None, same]


def test_equally_far_on_opposite_sides_is_not_the_same():
    """Place against place, not length against length: these two lie six steps from each other."""
    assert looks_same(placed([[3.0, 0.0], [0.0, 3.0]], [[-3.0, 0.0], [0.0, -3.0]]), HALVES) == [None, None]


def test_what_moves_all_stacks_alike_does_not_count():
    """Members land ten steps from each other, but the two stacks land half a step apart under each."""
    assert looks_same(placed([[1.0, 0.0], [11.0, 0.0]], [[1.5, 0.0], [11.5, 0.0]]), HALVES) == [None, 0]


@pytest.mark.parametrize(("share", "same"), [(0.92, 0), (0.88, None)])
def test_nine_in_ten_spectra_decide(share, same):
    weights = np.array([share, 1.0 - share])
    assert looks_same(placed([[1.0, 0.0], [1.0, 0.0]], [[1.5, 0.0], [9.0, 0.0]]), weights) == [None, same]


def test_each_points_to_the_first_above_it():
    """The third looks like both above it, the fourth only like the third."""
    row = placed(*([[x, 0.0]] for x in (0.0, 0.8, 0.9, 1.85)))
    assert looks_same(row, np.ones(1)) == [None, 0, 0, 2]


@st.composite
def ranked(draw):
    k, f = draw(st.integers(1, 5)), draw(st.integers(1, 8))
    place = st.lists(st.floats(-4.0, 4.0), min_size=2, max_size=2)
    stacks = draw(st.lists(st.lists(place, min_size=k, max_size=k), min_size=f, max_size=f))
    weights = np.array(draw(st.lists(st.floats(0.1, 1.0), min_size=k, max_size=k)))
    return placed(*stacks), weights / weights.sum()


@given(ranked())
def test_it_is_the_definitions(case):
    found, weights = case
    for k, same in enumerate(looks_same(found, weights)):
        alike = [
            i
            for i in range(k)
            if sum(
                w
                for a, b, w in zip(found.offsets[i], found.offsets[k], weights, strict=True)
                if np.hypot(*(a - b)) <= 1.0
            )
            >= 0.9
        ]
        assert same == (alike[0] if alike else None)
