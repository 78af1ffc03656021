"""What gel cannot bring in: said plainly, with the limit that is why and what a little more of it brings."""

import pytest

from advisor.advice.overview.mix import mix
from advisor.advice.overview.ratios import lux_of
from advisor.advice.plan.needs import Needs, needs_of
from advisor.advice.plan.questions import why_beyond
from advisor.model import Limits, NoGel, Reach, Reading, Setting, Source, Stage, Target, WantedOffset, Work
from advisor.web.pictures.shift_plane import trails_of
from advisor.web.wording.work import doing
from tests.advice.lamps import SHIPPED, plan
from tests.web.page import plain

STREET = Source(name="Street lamp", kind="sodium", reading=Reading(cct=2040, duv=-0.001, lux=30))
TUNGSTEN = Source(name="Head", kind="tungsten", reading=Reading(cct=3200, duv=0.0, lux=800))


def test_a_street_lamp_is_out_of_reach_of_daylight():
    made = plan(STREET, TUNGSTEN)
    street, head = made.heads
    assert street.out and not head.out
    left = min(stack.miss.steps for stack in street.advice.stacks)
    assert street.beyond.miss.steps == left > 8
    assert left > 8 and plain(doing(street)) == "Gel can’t fix this one"
    assert [needs_of(one) for one in made.heads] == [Needs.HANDS, Needs.HANG]


def test_out_of_reach_is_more_than_five_steps_beyond_the_tolerance():
    left = min(stack.miss.steps for stack in plan(STREET).alone.advice.stacks)
    beyond, within = (STREET.model_copy(update={"tolerance_steps": left - by}) for by in (5.2, 4.8))
    assert plan(beyond).alone.out and not plan(within).alone.out


def test_what_is_to_be_left_as_it_is_is_not_out_of_reach():
    assert not plan(STREET.model_copy(update={"aim": WantedOffset(leave=True)})).alone.out


def test_what_somebody_decided_is_said_as_ever():
    work = Work(stage=Stage.PLANNED, gels=["CTB full"])
    assert plain(doing(plan(STREET.model_copy(update={"work": work})).alone)) == "Planned: hang full CTB"


def test_what_gel_cannot_bring_in_is_counted_bare():
    """Nobody hangs anything there, so the light that it gives is that of the head as it is."""
    made = plan(STREET, TUNGSTEN)
    street = made.heads[0]
    assert street.beyond.gels and street.best.gels == [] and street.lost == 0.0
    assert lux_of(made, 0, gelled=True) == pytest.approx(30.0)
    [bare, hung] = [mix(made, gelled=stage) for stage in (False, True)]
    alone = mix(plan(STREET), gelled=True)
    assert alone.uv == pytest.approx(street.white.uv, abs=1e-6)
    assert bare.parts == hung.parts == (0, 1)
    assert len(trails_of(made, [0])[0]) == 1
    keeps = plan(STREET.model_copy(update={"keep": ["ND 0.3"]})).alone
    assert keeps.out and keeps.best.gels == ["ND 0.3"]
    decided = STREET.model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTB full"])})
    assert plan(decided).alone.best.gels == ["CTB full"]


def test_a_dial_is_turned_as_near_as_it_goes_where_gel_may_not_hang():
    head = Source(
        name="Panel",
        kind="led-mix",
        reading=Reading(cct=3200, duv=0.0, lux=800, dial=Setting(cct=3200)),
        reach=Reach(cct_from=2700, cct_to=4000),
        no_gel=NoGel.HEAT,
    )
    alone = plan(head).alone
    assert alone.out and alone.best.gels == [] and alone.best.dial.cct == 4000


def test_its_own_tolerance_brings_it_in():
    assert not plan(STREET.model_copy(update={"tolerance_steps": 50.0})).alone.out


def test_the_limit_of_light_is_named_with_what_half_a_stop_more_brings():
    limits = Limits(max_stops=0.5)
    said = plain(why_beyond(plan(TUNGSTEN, limits=limits), 0))
    nearer = min(s.miss.steps for s in plan(TUNGSTEN, limits=Limits(max_stops=1.0)).alone.advice.stacks)
    assert nearer > 7, "with a stop it is obvious still"
    assert said == "Half a stop less light leaves it obvious too."


def test_where_no_limit_makes_it_look_better_one_sentence_says_so():
    limits = Limits(max_layers=1, max_stops=0.5, only_gels=["CTB 1/8", "CTB 1/4"])
    far = Source(name="Candle", kind="tungsten", reading=Reading(cct=1900, duv=0.0))
    said = plain(why_beyond(plan(far, limits=limits), 0))
    assert said == "Half a stop less light or every gel leaves it obvious too."
    hot = far.model_copy(update={"no_gel": NoGel.HEAT})
    assert plain(why_beyond(plan(hot), 0)) == "It takes no gel (too hot): one layer leaves it obvious too."


def test_the_limit_of_layers_is_named():
    limits = Limits(max_layers=1, only_gels=["CTB 1/2"])
    said = plain(why_beyond(plan(TUNGSTEN, limits=limits), 0))
    assert said == "With one more layer or every gel it is a bit off."
    two = plan(TUNGSTEN, limits=limits.model_copy(update={"max_layers": 2})).alone
    assert min(stack.miss.steps for stack in two.advice.stacks) == pytest.approx(5, abs=2)


def test_the_stock_is_named():
    rows = [row.model_copy(update={"stock": 0}) if row.family == "CTB" else row for row in SHIPPED]
    said = why_beyond(plan(TUNGSTEN, rows=rows), 0)
    assert said == "With more sheets on the truck it is close."


def test_where_no_limit_is_why_none_is_named():
    limits = Limits(max_layers=4)
    assert why_beyond(plan(STREET, limits=limits, target=Target(cct=5600)), 0) == ""


def test_what_is_cut_is_named():
    limits = Limits(max_layers=4, only_gels=["CTB 1/8"])
    said = why_beyond(plan(TUNGSTEN, limits=limits), 0)
    assert said == "With every gel it is close."


def test_nobody_hangs_gel_for_less_than_a_step_on_what_stays_out_of_reach():
    """Light of one line (low-pressure sodium) moves by less, whatever hangs."""
    tunnel = Source(name="Tunnel", kind="sodium", reading=Reading(cct=1766, duv=0.0070))
    assert plan(tunnel).alone.beyond.gels == []


class TestOwnLimits:
    def test_its_own_limit_of_layers_is_named_in_place_of_the_sets(self):
        head = TUNGSTEN.model_copy(update={"max_layers": 1, "only_gels": ["CTB 1/2"]})
        said = plain(why_beyond(plan(head, limits=Limits(max_layers=4)), 0))
        assert said == "With one more layer or every gel it is a bit off."

    @pytest.mark.parametrize(
        ("why", "begins"),
        [
            ("heat", "Takes no gel (too hot)"),
            ("reach", "Takes no gel (out of reach)"),
            ("other", "Takes no gel"),
        ],
    )
    def test_where_no_gel_may_hang_it_says_why_and_what_one_layer_would_leave(self, why, begins):
        made = plan(TUNGSTEN.model_copy(update={"no_gel": NoGel(why)}))
        one = min(s.miss.steps for s in plan(TUNGSTEN, limits=Limits(max_layers=1)).alone.advice.stacks)
        assert made.alone.beyond.miss.steps > 7 > one > 3
        said = plain(why_beyond(made, 0))
        assert said == f"It {begins.replace('T', 't', 1)}: it is obvious. With one layer it is a bit off."
        assert plain(doing(made.alone)) == begins

    def test_a_head_that_is_only_beyond_its_tolerance_says_why_too(self):
        head = Source(name="Window", kind="daylight", reading=Reading(cct=8800, duv=0.003), max_layers=0)
        less = head.model_copy(update={"tolerance_steps": 28.0})
        assert plain(why_beyond(plan(head), 0)).startswith("With one layer it is ")
        far = plan(less)
        assert not far.alone.out and far.alone.first.miss.steps > 28 and why_beyond(far, 0)
        assert why_beyond(plan(head.model_copy(update={"tolerance_steps": 50.0})), 0) == ""
