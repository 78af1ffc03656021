"""A head as its dials stand, and what is predicted of a setting or refused."""

import numpy as np
import pytest

from advisor.advice.dials.at_setting import stand_at, stands_at
from advisor.advice.dials.calibration import fit_dial
from advisor.advice.dials.ranking import dialled, standing
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import delta_uv_prime
from advisor.colour.spectra.sources import Unbendable
from advisor.model import Reading, Refused, Source, Spectrum
from tests.advice.dialling import ALL, BARE, LIMITS, RACK, asked, predict_dialled
from tests.advice.heads import NO_GREEN, REACH, dial, head, read, really
from tests.web.page import plain


def test_a_measured_spectrum_is_bent_to_the_setting_and_then_no_longer_certain():
    made = asked(head([dial(5600)])).ensemble.spectra[0]
    reading = Reading(spectrum=Spectrum(start=380, step=5, values=made.tolist()), dial=dial(5600))
    bare = asked(head([dial(3200), reading]))
    cto = np.array([RACK.find(["CTO 1/4"])])
    here, there = (predict_dialled(bare, LIMITS, RACK, cto, dial(c)) for c in (5600, 3200))
    assert there.after.cct < here.after.cct - 1000
    assert there.uncertainty_steps > here.uncertainty_steps
    assert dialled(bare, LIMITS, RACK).stacks[0].miss.steps < 3.0


def test_a_head_stands_where_its_dials_are():
    bare = asked(head(ALL))
    assert standing(bare, None) is bare and standing(bare, dial(5600)) is bare
    warm = standing(bare, dial(3200))
    assert (
        1e6 / warm.white.cct == pytest.approx(really(dial(3200))[0], abs=0.5) and warm.wanted is bare.wanted
    )


def test_several_settings_at_once_are_each_as_alone():
    """One at which its dials stand, and one at which its kind gives no light."""
    bare = asked(head([dial(2700), dial(5600)]), 3200)
    fit, settings = fit_dial(bare.source), [dial(3200), dial(2700, 10), dial(5600), dial(4300, -3)]
    warm, none, as_it_is, green = stands_at(bare, fit, settings)
    assert none is None and as_it_is.bare is bare
    with pytest.raises(Unbendable):
        stand_at(bare, fit, settings[1])
    for setting, stand in ((settings[0], warm), (settings[3], green)):
        alone = stand_at(bare, fit, setting)
        assert stand.setting == setting and stand.gain == pytest.approx(alone.gain, rel=1e-9)
        np.testing.assert_allclose(stand.bare.ensemble.spectra, alone.bare.ensemble.spectra, rtol=1e-9)
        np.testing.assert_allclose(stand.bare.ensemble.weights, alone.bare.ensemble.weights, rtol=1e-9)
        np.testing.assert_allclose(stand.bare.white.uv, alone.bare.white.uv, rtol=1e-9)
        np.testing.assert_allclose(stand.mapping, alone.mapping, rtol=1e-9)


@pytest.mark.parametrize(
    ("setting", "where", "value"),
    [(dial(2000), "dial.cct", "2"), (dial(5600, 11), "dial.green", "11")],
)
def test_a_setting_beyond_the_dials_is_refused_with_its_value(setting, where, value):
    with pytest.raises(Refused) as no:
        predict_dialled(asked(head(ALL)), LIMITS, RACK, BARE, setting)
    [problem] = no.value.problems
    assert problem.where == where and value in problem.says and " to " in problem.allowed


def test_a_setting_that_gives_no_light_is_refused():
    bare = asked(head([dial(2700), dial(5600)]), 3200)
    with pytest.raises(Refused) as no:
        predict_dialled(bare, LIMITS, RACK, BARE, dial(2700, 10))
    [problem] = no.value.problems
    assert (
        problem.where == "dial" and "no light of its kind" in problem.says and "700 K" in plain(problem.says)
    )


@pytest.mark.parametrize("reach", [REACH, None])
def test_of_dials_that_were_never_read_nothing_is_predicted(reach):
    source = Source(name="Head", reading=Reading(cct=5600, duv=0.0), reach=reach)
    with pytest.raises(Refused) as no:
        predict_dialled(asked(source), LIMITS, RACK, BARE, dial(4300))
    assert no.value.problems[0].where == "dial" and "300 K" in no.value.problems[0].says


def test_the_expected_miss_counts_where_the_dial_may_lead():
    """Against random draws from the mapping's own uncertainty: they agree to 5 %."""
    source = head([dial(5600)], kind="tungsten")
    bare = asked(source, 4300)
    for setting in (dial(4300), dial(4000), dial(4300, 3)):
        entry = predict_dialled(bare, LIMITS, RACK, BARE, setting)
        mapped = fit_dial(source).of(setting)
        rng = np.random.default_rng(4)
        mired = rng.normal(float(mapped.mired), float(mapped.mired_variance) ** 0.5, 20_000)
        duv = np.clip(rng.normal(float(mapped.duv), float(mapped.duv_variance) ** 0.5, 20_000), -0.05, 0.05)
        drawn = delta_uv_prime(uv_of_cct_duv(1e6 / mired, duv), bare.wanted.uv) / 0.0011
        assert entry.miss.expected_steps == pytest.approx(drawn.mean(), rel=0.06)
        here = uv_of_cct_duv(1e6 / np.asarray(mapped.mired), np.asarray(mapped.duv))
        within = (
            delta_uv_prime(uv_of_cct_duv(1e6 / mired, duv), here) / 0.0011 <= entry.uncertainty_steps
        ).mean()
        assert within == pytest.approx(0.9, abs=0.06)


def test_uncertainty_grows_away_from_what_was_read():
    bare = asked(head([dial(5600)]))
    sure = [
        predict_dialled(bare, LIMITS, RACK, BARE, dial(c)).uncertainty_steps for c in (5600, 5200, 4300, 3200)
    ]
    assert sure == sorted(sure) and sure[0] == 0.0 and sure[1] > 0.2


def test_light_that_the_dial_gives_or_takes_is_counted():
    bare = asked(head([read(dial(3200), lux=300), read(dial(5600), lux=1200)], NO_GREEN))
    warm = predict_dialled(bare, LIMITS, RACK, BARE, dial(3200))
    assert warm.stops == pytest.approx(2.0, abs=1e-3) and warm.after.lux == pytest.approx(300, rel=1e-3)
    back = asked(head([read(dial(5600), lux=1200), read(dial(3200), lux=300)], NO_GREEN))
    assert predict_dialled(back, LIMITS, RACK, BARE, dial(5600)).stops == pytest.approx(-2.0, abs=1e-3)
