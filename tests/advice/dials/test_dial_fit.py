"""A head's mapping from its dials to what is measured: what readings teach, and what they leave open."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.dials.calibration import fit_dial
from advisor.advice.readings.dim_levels import as_used, in_use
from advisor.model import Reach, Reading, Setting, Source
from tests.advice.heads import NO_GREEN, ODD, REACH, dial, head, read, really
from tests.thorough import cases

MIRED, DUV = 0.5, 0.0002
"""How near a mapping that is known has to be found: as near as a meter repeats itself."""


def missed(fit, setting, truth=ODD):
    """Return how far the fit is from the truth, mired and Duv."""
    mapped, (mired, duv) = fit.of(setting), really(setting, truth)
    return float(mapped.mired) - mired, float(mapped.duv) - duv


def spread(fit, setting):
    mapped = fit.of(setting)
    return float(np.sqrt(mapped.mired_variance)), float(np.sqrt(mapped.duv_variance))


def assert_found(fit, places, times=1.0):
    for place in places:
        mired, duv = missed(fit, place)
        assert abs(mired) < times * MIRED and abs(duv) < times * DUV, place


def test_two_readings_along_the_cct_teach_it_between_and_near_them():
    fit = fit_dial(head([dial(3200), dial(5600)]))
    assert_found(fit, [dial(3200), dial(3600), dial(4300), dial(5000), dial(5600), dial(6500)])


def test_three_readings_teach_the_green_too():
    fit = fit_dial(head([dial(3200), dial(5600, 8), dial(5600)]))
    assert_found(fit, [dial(3200), dial(4300), dial(5600, 4), dial(5600, 8)])
    assert_found(fit, [dial(4300, 4), dial(4300, -4)], times=2.0)


def test_four_readings_at_the_corners_teach_all_within():
    corners = [dial(2700, -10), dial(2700, 10), dial(6500, -10), dial(6500, 10)]
    fit = fit_dial(head(corners))
    assert_found(fit, [*corners, *(dial(c, g) for c in (3200, 4300, 5600) for g in (-5, 0, 5))])


def test_one_reading_teaches_the_offset_and_leaves_the_slopes_open():
    fit = fit_dial(head([dial(5600)]))
    assert_found(fit, [dial(5600)])
    near, far = spread(fit, dial(5000)), spread(fit, dial(3200))
    assert spread(fit, dial(5600))[0] < near[0] < far[0] and near[1] < far[1]
    assert spread(fit, dial(5600, 10))[1] == pytest.approx(0.030, rel=0.01)


@given(
    st.lists(
        st.tuples(st.sampled_from([2700, 3200, 4300, 5600, 6500]), st.sampled_from([-10, -3, 0, 5])),
        min_size=1,
        max_size=6,
    )
)
@settings(deadline=None, max_examples=cases(60))
def test_the_truth_is_within_what_the_fit_leaves_open(places):
    """For a head as odd as the priors foresee, in and beyond what was read."""
    fit = fit_dial(head([dial(*place) for place in places]))
    for setting in (dial(2700), dial(4300, 10), dial(6500, -10), dial(5000)):
        for off, open_ in zip(missed(fit, setting), spread(fit, setting), strict=True):
            assert abs(off) <= 2.5 * open_


@given(st.lists(st.sampled_from([2700, 3200, 4300, 5600, 6500]), min_size=1, max_size=5))
@settings(deadline=None, max_examples=cases(40))
def test_another_reading_never_leaves_more_open(ccts):
    fewer = fit_dial(head([dial(c) for c in ccts]))
    more = fit_dial(head([dial(3600), *(dial(c) for c in ccts)]))
    for setting in (dial(2700), dial(4300, 5), dial(6500)):
        for a, b in zip(spread(more, setting), spread(fewer, setting), strict=True):
            assert a <= b + 1e-9


def test_readings_in_one_line_leave_the_other_axis_open():
    line = fit_dial(head([dial(3200), dial(4300), dial(5600)]))
    assert spread(line, dial(4300, 10))[1] == pytest.approx(0.030, rel=0.05)
    assert spread(line, dial(4300))[1] < 0.001


def test_contradictory_readings_are_averaged_and_the_newest_counts_most():
    def at(cct, duv):
        return Reading(cct=cct, duv=duv, dial=dial(5600))

    fit = fit_dial(head([at(5300, 0.001), at(5300, 0.001), at(5500, 0.003), dial(3200)]))
    mapped = fit.of(dial(5600))
    old, new = 1e6 / 5300, 1e6 / 5500
    assert new < float(mapped.mired) < new + 0.3 * (old - new)
    assert 0.003 - 0.3 * 0.002 < float(mapped.duv) < 0.003


def test_readings_at_another_dim_level_count_less():
    here, dimmed = dial(5600), Reading(cct=5000, duv=0.002, dial=dial(3600), level=10)
    alike = dimmed.model_copy(update={"level": None})
    less = fit_dial(head([dimmed, here]))
    more = fit_dial(head([alike, here]))
    assert spread(less, dial(3600))[0] > 2 * spread(more, dial(3600))[0]


LEVELS = {100: 0.0, 50: -2.5, 25: -5.0}
"""How an LED moves as it is dimmed, as a whole: level [%] to mired."""


def of_a_test(level):
    """Return a head that was tested at three levels, the same twelve settings each, as it is used at one."""
    settings = [dial(cct, green) for cct in (6500, 5600, 4300, 3200) for green in (-5, 0, 5)]
    readings = []
    for setting in settings:
        for each, moved in LEVELS.items():
            mired, duv = really(setting)
            readings.append(Reading(cct=1e6 / (mired + moved), duv=duv, level=each, dial=setting))
    tested = head(readings, level=level)
    return as_used(tested, in_use(tested))


@pytest.mark.parametrize("level", [100, 50, 25])
def test_a_test_at_three_levels_is_kept_to_at_each_of_them(level):
    fit = fit_dial(of_a_test(level))
    for setting in (dial(6500, -5), dial(5600), dial(5600, 5), dial(4300), dial(3200, 5)):
        assert abs(missed(fit, setting)[0] - LEVELS[level]) < MIRED, setting


def test_between_levels_a_head_is_told_as_unsure_as_it_is():
    fit = fit_dial(of_a_test(35))
    for setting in (dial(6500, -5), dial(5600), dial(5600, 5), dial(4300)):
        between = LEVELS[50] + (LEVELS[25] - LEVELS[50]) * 0.515  # by stops of light
        assert abs(missed(fit, setting)[0] - between) < 2.0 * spread(fit, setting)[0] < 4.0, setting


@pytest.mark.parametrize(
    "tags", [{"gels": ["CTO 1/2"]}, {"modifier": "softbox"}], ids=["gelled", "another modifier"]
)
def test_readings_of_another_light_do_not_count(tags):
    strange = Reading(cct=2500, duv=0.02, dial=dial(3200), **tags)
    with_it, without = fit_dial(head([strange, dial(5600)])), fit_dial(head([dial(5600)]))
    assert len(with_it.pairs) == 1
    assert float(with_it.of(dial(3200)).mired) == float(without.of(dial(3200)).mired)


def test_the_modifier_in_use_says_which_readings_count():
    soft = read(dial(3200), modifier="Softbox")
    assert [p.setting for p in fit_dial(head([soft, dial(5600)], modifier="softbox")).pairs] == [dial(3200)]


def test_a_reading_that_is_no_white_does_not_count():
    nowhere = Reading(xy=(0.7, 0.3), dial=dial(3200))
    assert len(fit_dial(head([nowhere, dial(5600)])).pairs) == 1


def test_a_reading_that_counts_and_is_among_the_others_counts_once():
    newest = read(dial(5600))
    assert len(fit_dial(head([read(dial(3200)), newest, newest])).pairs) == 2


def test_nothing_is_known_without_reach_or_dial():
    bare = Reading(cct=5600, duv=0.0)
    assert fit_dial(head([dial(5600)], reach=None)) is None
    assert fit_dial(Source(name="Head", reading=bare, reach=REACH)) is None
    assert fit_dial(Source(name="Head", reading=bare, readings=[read(dial(3200))], reach=REACH)) is not None


def test_a_head_without_green_dial_is_fitted():
    fit = fit_dial(head([dial(3200), dial(5600)], reach=NO_GREEN))
    assert_found(fit, [dial(4300)])


def test_light_runs_straight_between_settings_read_with_lux():
    fit = fit_dial(head([read(dial(4000), lux=400), read(dial(2500), lux=100), read(dial(5000), lux=200)]))
    # dial mireds 250, 400, 200; stops against the last: +1, -1, 0
    assert fit.gain(np.array([400.0, 325.0, 250.0, 225.0, 200.0])) == pytest.approx([-1, 0, 1, 0.5, 0])
    assert fit.gain(np.array([500.0, 100.0])) == pytest.approx([-1, 0])


@pytest.mark.parametrize(
    "readings",
    [
        [read(dial(4000), lux=400), read(dial(5000))],
        [read(dial(4000)), read(dial(5000), lux=200)],
        [read(dial(4000), lux=400, level=50), read(dial(5000), lux=200)],
    ],
    ids=["the last has none", "only the last", "another level"],
)
def test_without_lux_at_two_settings_the_light_is_taken_as_the_same(readings):
    assert fit_dial(head(readings)).gain(np.array([250.0, 200.0])) == pytest.approx([0, 0])


def test_light_goes_by_the_level_at_which_most_settings_were_read():
    """At full 4 000 K gives 400 lx and 5 000 K 200 lx; the head is used at half, read at 5 000 K alone."""
    full = [read(dial(4000), lux=400, level=100), read(dial(5000), lux=200, level=100)]
    for dimmed in (read(dial(5000), lux=90, level=50), read(dial(5000), level=50)):
        fit = fit_dial(head([*full, dimmed]))
        assert fit.gain(np.array([250.0, 200.0])) == pytest.approx([1, 0])


def test_priors_stand_where_nothing_was_read():
    """A head of one reading that does as its dial says is expected to do so everywhere."""
    true = Reading(cct=5600, duv=0.0, dial=dial(5600))
    reach = Reach(cct_from=3200, cct_to=5600, green_from=-100, green_to=50)
    mapped = fit_dial(head([true], reach=reach)).of(Setting(cct=3200, green=-100))
    assert float(mapped.mired) == pytest.approx(1e6 / 3200) and float(mapped.duv) == pytest.approx(-0.030)
