"""Light solved for what is asked: against arithmetic by hand, and against trying everything on small cases.

By hand: a stop is a factor of two of illuminance; ISO 2720:1974 with S = 800, t = 1/48 s, C = 340 lx·s asks
for 163.2 lx at f/2.8; the inverse square law. Trying everything: every level of five per cent, every stack.
"""

from dataclasses import replace
from math import log2

import numpy as np
import pytest

from advisor.advice.learned.informed import judge_of
from advisor.advice.light_aims.solve import solve_light
from advisor.advice.light_aims.wanted import LightAims
from advisor.advice.light_aims.ways import LightMove
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.ready import ready
from advisor.advice.ranking.candidates import choice_of
from advisor.advice.ranking.pareto import Ranked
from advisor.advice.ranking.report import stack_reports
from advisor.advice.stacks.enumerate import stacks_on
from advisor.model import Exposure, Gel, Limits, Reach, Reading, Role, Setting, Source, Target, WantedOffset
from tests.advice.rows import nominal

CAMERA = Exposure(iso=800, frame_rate=24, constant=340)
KEY_LUX = 163.2
"""What the key is to give at f/2.8. [lx]"""
NDS = [Gel(family="ND", fraction=d, stops=s) for d, s in (("0.15", 0.5), ("0.3", 1.0), ("0.6", 2.0))]
SCRIMS = [
    Gel(family="Single scrim", fraction="full", stops=0.5),
    Gel(family="Double scrim", fraction="full", stops=1.0),
]
CTO = [Gel(family="CTO", fraction=f, mired=m) for f, m in (("1/8", 20), ("1/4", 40))]
GELS = [*NDS, *SCRIMS, *CTO]
LED, HOT = "led-white", "tungsten"


def lamp(name="Key", role=Role.KEY, kind=LED, lux=KEY_LUX, levels=(), cct=3200.0, duv=0.0, **more):
    """Return a source that reads at full, and at some `levels` (level, CCT, lux) besides."""
    full = Reading(cct=cct, duv=duv, lux=lux, level=100 if levels else None)
    dimmed = [Reading(cct=k, duv=duv, lux=e, level=at) for at, k, e in levels]
    # The reading that counts comes last: the others are older.
    return Source(name=name, role=role, kind=kind, reading=full, readings=dimmed, **more)


def solved(*sources, rows=GELS, f_number=2.8, limits=None, **asked):
    plan = make_plan(sources, Target(cct=3200), limits or Limits(), rows)
    return solve_light(plan, sources, LightAims(CAMERA, f_number=f_number, **asked))


def way_of(solution, move, at=0):
    return next(way for way in solution.sources[at].ways if way.move is move)


class TestKeyAlone:
    def test_one_that_gives_it_already_stays_as_it_is(self):
        best = solved(lamp()).sources[0].best
        assert (best.move, best.stack.gels, best.times) == (LightMove.GEL, [], 1.0)
        assert best.off == pytest.approx(0.0, abs=1e-9)
        assert best.reaches

    @pytest.mark.parametrize(
        ("stops", "gels"),
        [
            (0.5, ["Single scrim full"]),
            (1.0, ["Double scrim full"]),
            (1.5, ["Double scrim full", "Single scrim full"]),
        ],
    )
    def test_scrims_by_stops(self, stops, gels):
        solution = solved(lamp(kind=HOT, lux=KEY_LUX * 2.0**stops), rows=[*SCRIMS, *CTO])
        way = way_of(solution, LightMove.GEL)
        assert sorted(way.stack.gels) == gels
        assert way.lux == pytest.approx(KEY_LUX, rel=0.005)
        assert solution.f_number.words == "f/2.8"

    def test_scrims_go_before_nd_that_costs_the_same(self):
        """A scrim slides in: it is not cut, and does not burn (common practice, no source)."""
        way = way_of(solved(lamp(kind=HOT, lux=KEY_LUX * 2.0**1.5)), LightMove.GEL)
        assert sorted(way.stack.gels) == ["Double scrim full", "Single scrim full"]

    def test_no_stand_is_moved_for_a_colour_that_shows(self):
        """Behind ¼ and ⅛ CTO it is a tenth of a stop short; behind one of them its colour shows."""
        ways = solved(lamp(cct=3800.0, lux=KEY_LUX * 1.3)).sources[0].ways
        assert [(way.move, sorted(way.stack.gels)) for way in ways] == [
            (LightMove.GEL, ["CTO 1/4", "CTO 1/8"])
        ]
        assert -0.15 < ways[0].off < -0.05

    def test_a_dimmer_goes_before_gel_where_the_colour_holds(self):
        # Two stops over, and dimmed to a quarter it gives a quarter, unchanged in colour.
        key = lamp(lux=4 * KEY_LUX, levels=[(25, 3200, KEY_LUX), (50, 3200, 2 * KEY_LUX)])
        best = solved(key).sources[0].best
        assert (best.move, best.level, best.stack.gels) == (LightMove.DIMMER, 25.0, [])
        assert best.lux == pytest.approx(KEY_LUX)

    def test_gel_goes_before_a_dimmer_that_makes_it_far_too_warm(self):
        # Dimmed to a quarter of its light the filament is 900 K warmer: ND leaves its colour alone.
        key = lamp(kind=HOT, lux=4 * KEY_LUX, levels=[(30, 2300, KEY_LUX)])
        solution = solved(key, rows=[*NDS, *CTO])
        best = solution.sources[0].best
        assert (best.move, best.stack.gels) == (LightMove.GEL, ["ND 0.6"])
        assert way_of(solution, LightMove.DIMMER).cost > best.cost + 1

    def test_the_dimmer_is_set_to_the_per_cent_where_the_light_is_right(self):
        # As the square of the number: light to 163.2 from 300 lx is at √(163.2 / 300) = 73.8 %.
        key = lamp(lux=300.0, levels=[(50, 3200, 75.0)])
        way = way_of(solved(key), LightMove.DIMMER)
        assert way.level == 74.0
        assert way.lux == pytest.approx(300.0 * 0.74**2, rel=1e-6)

    def test_twice_the_distance_is_two_stops_less(self):
        way = way_of(solved(lamp(lux=4 * KEY_LUX), rows=CTO), LightMove.DISTANCE)
        assert way.times == pytest.approx(2.0)
        assert way.off == pytest.approx(0.0, abs=1e-9)

    def test_one_stop_short_is_seven_tenths_of_the_distance(self):
        way = solved(lamp(lux=KEY_LUX / 2), rows=CTO).sources[0].best
        assert way.move is LightMove.DISTANCE
        assert way.times == pytest.approx(0.5**0.5)

    def test_what_distance_cannot_do_is_said_in_stops(self):
        # Half the distance gives two stops of the three that are lacking.
        best = solved(lamp(lux=KEY_LUX / 8), rows=CTO).sources[0].best
        assert (best.move, best.times) == (LightMove.DISTANCE, 0.5)
        assert best.off == pytest.approx(-1.0)
        assert not best.reaches

    def test_two_keys_share_it_as_they_share_it_now(self):
        solution = solved(lamp("A", lux=100.0), lamp("B", lux=226.4))
        assert [one.wanted.lux for one in solution.sources] == pytest.approx([50.0, 113.2])


class TestBesideTheKey:
    def test_the_fill_goes_by_the_ratio(self):
        # (163.2 + fill) : fill = 4, so 54.4 lx: two stops under 217.6.
        solution = solved(lamp(), lamp("Fill", Role.FILL, lux=217.6), rows=NDS, key_to_fill=4.0)
        fill = solution.sources[1]
        assert fill.wanted.lux == pytest.approx(54.4)
        assert fill.best.stack.gels == ["ND 0.6"]
        assert solution.lit.value == pytest.approx(4.0, rel=0.01)
        assert solution.lit.text == "4:1"

    def test_the_ratio_holds_where_the_key_falls_short(self):
        # The key gives 20.4 of 163.2 lx and, at half its distance, 81.6: then a fill of 27.2.
        solution = solved(lamp(lux=20.4), lamp("Fill", Role.FILL, lux=27.2), rows=CTO, key_to_fill=4.0)
        assert solution.key == pytest.approx(81.6)
        assert solution.f_number.words == "f/2"
        assert solution.sources[1].wanted.lux == pytest.approx(27.2)

    def test_a_window_may_be_two_stops_over_and_no_more(self):
        # 4 × 163.2 = 652.8 lx at most: of 2 611.2, two stops have to go.
        window = lamp("Window", Role.BACK, "daylight", lux=2611.2, cct=5000.0, duv=0.0033)
        solution = solved(lamp(), window, rows=NDS, over_key={1: 2.0})
        found = solution.sources[1]
        assert (found.wanted.lux, found.wanted.exact) == (pytest.approx(652.8), False)
        assert found.best.stack.gels == ["ND 0.6"]
        assert found.best.off == pytest.approx(0.0, abs=0.02)
        assert {way.move for way in found.ways} == {LightMove.GEL}, "a window has no dimmer and no stand"

    def test_one_that_is_under_its_limit_needs_no_less_light(self):
        dim = lamp("Window", Role.BACK, "daylight", lux=300.0, cct=5000.0, duv=0.0033)
        found = solved(lamp(), dim, rows=NDS, over_key={1: 2.0}).sources[1]
        assert (found.best.stack.gels, found.best.off) == ([], 0.0)

    def test_by_how_much_a_window_stays_over_is_said(self):
        window = lamp("Window", Role.BACK, "daylight", lux=2611.2, cct=5000.0, duv=0.0033, max_layers=1)
        found = solved(lamp(), window, rows=NDS[:2], over_key={1: 2.0}).sources[1]
        assert found.best.stack.gels == ["ND 0.3"]
        assert found.best.off == pytest.approx(1.0, abs=0.02)


class TestWhatIsMissing:
    def test_no_key(self):
        assert solved(lamp(role=Role.FILL)).missing == ("No source is the key. Give one that role.",)

    def test_no_lux(self):
        solution = solved(lamp(lux=None))
        assert "Key has no lux. Meter it with its lux." in solution.missing
        assert (solution.key, solution.f_number, solution.lit) == (None, None, None)

    def test_no_fill(self):
        assert solved(lamp(), key_to_fill=4.0).missing == ("No source is the fill. Give one that role.",)

    def test_one_that_is_left_as_it_is_is_not_touched(self):
        found = solved(lamp(lux=4 * KEY_LUX, aim=WantedOffset(leave=True))).sources[0]
        assert (found.ways, found.why) == ((), "is left as it is.")


def test_a_shared_stock_is_promised_once():
    one_each = [gel.model_copy(update={"stock": 1}) for gel in NDS]
    pair = [lamp(name, lux=4 * KEY_LUX, role=Role.KEY) for name in "AB"]
    solution = solved(*pair, rows=one_each, limits=Limits(share_stock=True))
    used = [gel for one in solution.sources for gel in way_of_gels(one)]
    assert len(used) == len(set(used))


def way_of_gels(found):
    return found.best.stack.gels


@pytest.mark.parametrize("seed", range(3))
def test_no_level_with_no_stack_costs_less_than_what_stands_first(seed):
    """Every level of five per cent with every stack of a small table, none left out."""
    rng = np.random.default_rng(seed)
    drift, full = float(rng.uniform(0, 900)), float(rng.uniform(200, 700))
    levels = [(at, 3300 - drift * (1 - at / 100), full * (at / 100) ** 1.5) for at in (50, 80)]
    rows = [*NDS, *CTO, Gel(family="Plus green", fraction="1/8", cc=3.5)]
    key = lamp(kind=HOT, lux=full, cct=3300.0, duv=float(rng.uniform(-0.004, 0.004)), levels=levels)
    limits = Limits(max_layers=2)
    plan = make_plan([key], Target(cct=3200), limits, rows)
    found = solve_light(plan, [key], LightAims(CAMERA, f_number=2.8)).sources[0]
    least = np.inf
    for level in np.arange(50, 101, 5.0):
        there = key.model_copy(update={"level": level})
        bare = ready(there, plan.target, plan.gel_arrays, limits).bare
        over = log2(bare.source.reading.lux / KEY_LUX)
        judge = judge_of(replace(bare, over=over, exact=True), plan.gel_arrays, limits)
        every = choice_of(replace(bare, over=1.0), limits, plan.gel_arrays)
        stacks = stacks_on(plan.gel_arrays, every)
        ranked = Ranked(judge, stacks, judge.outcomes(stacks), judge.certainty(stacks))
        for entry in stack_reports([ranked])[0]:
            # By hand: risk and layers as in the cost, and eight steps for each stop off, in tenths.
            off = abs(over - entry.stops)
            assert entry.cost >= 0.5 * entry.layers + 8.0 * off - 0.41
            least = min(least, entry.cost)
    assert found.ways[0].cost <= least + 1e-6


class TestReadAtOneLevel:
    """Nobody read another level: an LED gives about as much as its level says, a filament gets warmer too."""

    def one(self, kind, level, stops, cct=3200.0):
        read = Reading(cct=cct, duv=0, lux=KEY_LUX * 2.0**stops, level=level)
        return Source(name="Key", role=Role.KEY, kind=kind, reading=read)

    def test_an_led_is_dimmed_by_proportion_first(self):
        # Read at 80 % with a stop too much: at 40 % it gives half.
        found = solved(self.one(LED, 80, 1.0)).sources[0]
        assert (found.best.move, found.best.level, found.best.about) == (LightMove.DIMMER, 40.0, True)
        assert found.best.lux == pytest.approx(KEY_LUX)
        assert found.best.stack.miss.steps == pytest.approx(0.0, abs=0.1)

    def test_it_may_be_turned_up_too(self):
        # Half a stop short at 70 %: at 99 % it gives 1.414 times as much.
        assert way_of(solved(self.one(LED, 70, -0.5)), LightMove.DIMMER).level == pytest.approx(99.0)

    def test_a_filament_is_told_to_get_warmer(self):
        # By hand: a stop less is 0.5^(0.42 / 3.4) = 0.918 of 3 487 K: 3 200 K, as is wanted.
        best = solved(self.one(HOT, 100, 1.0, cct=3487.0), rows=NDS).sources[0].best
        assert (best.move, best.level, best.about) == (LightMove.DIMMER, 50.0, True)
        assert best.stack.after.cct == pytest.approx(3200, abs=5)

    @pytest.mark.parametrize("kind", ["discharge", "fluorescent", "unknown"])
    def test_of_other_kinds_nothing_is_guessed(self, kind):
        found = solved(self.one(kind, 80, 1.0)).sources[0]
        assert {way.move for way in found.ways} <= {LightMove.GEL, LightMove.DISTANCE}

    def test_without_a_level_there_is_none_to_set(self):
        found = solved(self.one(LED, None, 1.0)).sources[0]
        assert all(way.level is None for way in found.ways)

    def test_two_levels_that_were_read_go_before_what_is_usual(self):
        key = lamp(lux=300.0, levels=[(50, 3200, 75.0)])
        assert not way_of(solved(key), LightMove.DIMMER).about


class TestWhatIsFree:
    """Dials and dimmers go before gel, and what is no move is no way."""

    GREEN = Gel(family="Minus green", fraction="1/8", cc=-3.3, stops=0.2)
    REACH = Reach(cct_from=2700, cct_to=6500, cct_step=50, green_from=-10, green_to=10, green_step=1)

    def panel(self, role, lux, levels=(), cct=3150.0, duv=0.0):
        """Return a head with dials for CCT and green, read with them at 3 200 K and 0."""
        one = lamp("Panel", role, lux=lux, cct=cct, duv=duv, levels=levels, reach=self.REACH)
        at = Setting(cct=3200, green=0)
        readings = [each.model_copy(update={"dial": at}) for each in one.readings]
        return one.model_copy(
            update={"reading": one.reading.model_copy(update={"dial": at}), "readings": readings}
        )

    @pytest.mark.parametrize("over", [2.0, 2.09, 1.9])
    def test_dimmer_and_dials_go_before_gel_that_hits_the_light_better(self, over):
        full = KEY_LUX * 2.0**over
        key = self.panel(Role.KEY, full, levels=[(10, 3150, full / 10)])
        best = solved(key, rows=[*GELS, self.GREEN]).sources[0].best
        assert best.stack.gels == []
        assert best.level == pytest.approx(100.0 / 2.0**over, abs=1.0)
        assert best.free and best.reaches

    def test_dials_go_before_gel_that_only_loses_a_fifth_of_a_stop(self):
        fill = self.panel(Role.FILL, KEY_LUX / 3.0 * 2.0**0.2, duv=0.003)
        found = solved(lamp(), fill, rows=[*GELS, self.GREEN], key_to_fill=4)
        best = found.sources[1].best
        assert best.stack.gels == []
        assert best.stack.dial != Setting(cct=3200, green=0)
        assert best.reaches

    @pytest.mark.parametrize("lux", [780, 850, 1000, 1110])
    def test_no_colour_hangs_where_the_dials_bring_it_near(self, lux):
        """A green dial turned up, and a sheet that takes the green back, would be ND by another name."""
        at = ((4360, 0.002, 0, 1.02), (4330, -0.0001, -2, 1.0))
        readings = [
            Reading(cct=cct, duv=duv, lux=lux * share, dial=Setting(cct=4450, green=green))
            for cct, duv, green, share in at
        ]
        key = lamp().model_copy(
            update={"reach": self.REACH, "reading": readings[1], "readings": [readings[0]]}
        )
        plan = make_plan([key], Target(cct=4300), Limits(), [*NDS, *SCRIMS, *nominal()])
        ways = solve_light(plan, [key], LightAims(CAMERA, f_number=5.6)).sources[0].ways
        assert ways
        for way in ways:
            assert way.stack.dial and all("scrim" in gel for gel in way.stack.gels)
            assert way.stack.miss.steps <= 3.0

    def test_no_stand_is_moved_to_where_it_is(self):
        fill = lamp("Fill", Role.FILL, lux=KEY_LUX / 3.0 * 2.0**0.1)
        ways = solved(lamp(), fill, key_to_fill=4).sources[1].ways
        assert all(way.move is not LightMove.DISTANCE for way in ways)
        far = lamp("Fill", Role.FILL, lux=KEY_LUX / 3.0 * 2.0)
        assert way_of(solved(lamp(), far, key_to_fill=4), LightMove.DISTANCE, 1).times == pytest.approx(
            2**0.5
        )
