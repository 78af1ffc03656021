"""Settings and stacks for adjustable heads, held against going through all of them."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.answer.advise import advise_on
from advisor.advice.answer.one_stack import predict_one
from advisor.advice.dials.calibration import fit_dial
from advisor.advice.dials.ranking import dialled
from advisor.advice.dials.search import dials_of
from advisor.advice.stacks.enumerate import NONE
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import delta_uv_prime
from advisor.model import EXACT, Limits, Reach, Reading, Refused, Setting, Source, WantedOffset
from tests.advice.dialling import ALL, BARE, LIMITS, RACK, ROWS, asked, predict_dialled, ranked, scatter
from tests.advice.heads import NO_GREEN, REACH, REGRET, costs, dial, everything, head, read, really, risks
from tests.thorough import cases

FEW = gel_arrays_of(tuple(g for g in ROWS if g.fraction in ("1/4", "full")))


def test_a_dial_that_reaches_the_target_needs_no_gel():
    best = ranked(head(ALL), 4300)[0]
    assert best.gels == [] and best.stops == 0.0 and best.layers == 0
    mired, duv = really(best.dial)
    assert abs(mired - 1e6 / 4300) < 4 and abs(duv) < 0.0015  # half of the dial's steps, about
    assert best.miss.steps < 2.0


def test_gel_completes_where_the_reach_ends():
    """A head that ends at 5 600 K is wanted at 3 200 K: as warm as it goes, and CTO for the rest."""
    reach = Reach(cct_from=4000, cct_to=5600, cct_step=100)
    source = head([dial(4000), dial(5600)], reach)
    best = ranked(source, 3200, limits=Limits(max_layers=3, accuracy=EXACT))[0]
    [alone] = advise_on([asked(source.model_copy(update={"reach": None}), 3200)], LIMITS, RACK).answers
    assert best.gels and all(name.startswith(("CTO", "Minus", "Plus")) for name in best.gels)
    assert best.dial.cct < 5600
    assert costs([best])[0] < costs(alone.stacks[:1])[0]


CASES = {
    "within reach": (head(ALL, REACH.model_copy(update={"cct_step": 200, "green_step": 2.0})), 4300, 0.0),
    "one reading": (head([dial(5600)], Reach(cct_from=2700, cct_to=6500, cct_step=100)), 4300, 0.002),
    "beyond its reach": (head([dial(5600), dial(4000)], Reach(cct_from=4000, cct_to=5600)), 3000, 0.0),
    "green beyond its reach": (
        head(
            ALL, Reach(cct_from=3200, cct_to=5600, cct_step=100, green_from=-2, green_to=2), kind="led-white"
        ),
        4300,
        0.02,
    ),
    "near the end of real light": (
        head([dial(3200), dial(5600)], REACH.model_copy(update={"cct_step": 200, "green_step": 2.0})),
        3000,
        0.0,
    ),
    "light that changes": (
        head(
            [read(dial(3200), lux=300), read(dial(5600), lux=1200)],
            Reach(cct_from=2700, cct_to=6500, cct_step=50),
            kind="led-white",
        ),
        3600,
        0.0,
    ),
    "of no known kind": (
        head(ALL, Reach(cct_from=2700, cct_to=6500, cct_step=200), kind="unknown"),
        4300,
        0.0,
    ),
}


@cache
def all_of(case):
    """Return an entry for every setting and stack of a case."""
    source, cct, duv = CASES[case]
    return tuple(everything(asked(source, cct, duv, FEW), FEW, LIMITS))


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("max_stops", [None, 0.4])
def test_no_setting_and_stack_is_better_than_the_best(case, max_stops):
    source, cct, duv = CASES[case]
    bare = asked(source, cct, duv, FEW)
    found = dialled(bare, LIMITS.model_copy(update={"max_stops": max_stops}), FEW).stacks
    every = [e for e in all_of(case) if max_stops is None or e.stops <= max_stops]
    assert min(costs(found)) <= min(costs(every)) + REGRET
    assert min(risks(found)) <= min(risks(every)) + REGRET
    by_pair = {(e.dial.cct, e.dial.green, *e.gels): e for e in all_of(case)}
    assert all(
        by_pair[e.dial.cct, e.dial.green, *e.gels] == e.model_copy(update={"same_as": None}) for e in found
    )


@pytest.mark.parametrize("cct", [4300, 3600])
def test_with_no_light_to_lose_it_is_the_best_setting_bare(cct):
    """Whether a setting gives as much light as the reading is not decided by the order of sums."""
    source = head([dial(3200), dial(5600)], Reach(cct_from=3200, cct_to=5600, cct_step=50))
    bare = asked(source, cct, gel_arrays=FEW)
    none = LIMITS.model_copy(update={"max_stops": 0.0})
    bare_settings = [e for e in everything(bare, FEW, LIMITS) if not e.gels]
    found = dialled(bare, none, FEW).stacks
    assert min(costs(found)) <= min(costs(bare_settings)) + REGRET


@pytest.mark.parametrize(
    ("settings", "kind", "cct"),
    [
        ([dial(5600), dial(4300, 5)], "led-mix", 3200),
        ([dial(5600), dial(4300, 5)], "discharge", 5000),
        ([dial(5600)], "led-mix", 5000),
        ([dial(5600)], "discharge", 3200),
        ([dial(4300), dial(5600)], "led-mix", 3200),
        ([dial(4300), dial(5600)], "discharge", 5000),
    ],
)
def test_a_head_whose_dials_stand_where_no_step_is(settings, kind, cct):
    """Nothing lies beside where they stand, and that may well be the best."""
    reach = Reach(cct_from=2700, cct_to=6500, cct_step=100, green_from=-10, green_to=10, green_step=4)
    source = head(settings, reach, kind=kind)
    found = ranked(source, cct, gel_arrays=RACK, limits=Limits(max_layers=3, accuracy=EXACT))
    assert settings[-1] in {e.dial for e in found}
    alone = everything(asked(source, cct), RACK, Limits(max_layers=0, accuracy=EXACT))
    assert min(costs(found)) <= min(costs(list(alone))) + REGRET


def test_each_stack_stands_there_at_one_setting_or_two():
    """Its cheapest, and its nearest where that is worth it: nobody chooses between green +4 and green +5."""
    for source, cct, duv in CASES.values():
        shown = ranked(source, cct, duv, FEW)
        gels = [tuple(e.gels) for e in shown if e.dial != source.reading.dial]
        assert max(map(gels.count, gels)) <= 2


def test_the_head_as_it_is_is_always_among_them():
    for source, cct, duv in CASES.values():
        bare = asked(source, cct, duv)
        [as_it_is] = [
            e for e in dialled(bare, LIMITS, RACK).stacks if e.dial == source.reading.dial and not e.gels
        ]
        plain = predict_one(bare, LIMITS, RACK, BARE)
        assert as_it_is == plain.model_copy(update={"dial": source.reading.dial})


def test_a_reading_without_its_dial_is_left_as_it_is():
    """The newest reading says nothing of the dial; older ones teach what it does."""
    found = ranked(head([dial(3200), dial(5600), Reading(cct=5000, duv=0.0)]))
    assert [e.gels for e in found if e.dial is None].count([]) == 1
    assert found[0].dial is not None


def test_of_dials_nothing_is_advised_before_they_were_read():
    unread = Source(name="Head", reading=Reading(cct=5600, duv=0.0), reach=REACH)
    assert dialled(asked(unread), LIMITS, RACK) is None
    assert dialled(asked(head([dial(5600)], reach=None)), LIMITS, RACK) is None


def test_a_source_to_be_left_keeps_its_dial():
    [only] = ranked(head(ALL, aim=WantedOffset(leave=True)), 3200)
    assert only.dial == dial(5600) and only.gels == []


def test_what_is_kept_hangs_at_every_setting():
    found = ranked(head(ALL, keep=["Plus green 1/4"]))
    assert all("Plus green 1/4" in e.gels for e in found)
    assert really(found[0].dial)[1] < -0.003  # the dial takes the green out again


def test_limits_hold():
    source = head([dial(5600)], Reach(cct_from=5000, cct_to=5600, cct_step=100))
    found = ranked(source, 3200, limits=Limits(max_layers=1, max_stops=0.5, exclude_families=["CTB"]))
    assert all(e.layers <= 1 and e.stops <= 0.5 for e in found)
    with pytest.raises(Refused):
        ranked(source, limits=Limits(exclude_families=["Nowhere"]))


def test_the_light_that_has_to_be_lost_costs_nothing():
    """Two settings match as well; where a stop has to go, the dimmer one is no worse."""
    readings = [read(dial(3200), lux=300), read(dial(5600), lux=1200)]
    bare = asked(head(readings, NO_GREEN), 3200)
    free, bound = (dialled(replace(bare, over=s), LIMITS, RACK).stacks[0] for s in (0.0, 2.0))
    assert bound.stops >= 1.9 and free.stops == pytest.approx(2.0, abs=0.1)
    assert costs([free])[0] > costs([bound])[0]


def test_a_source_goes_by_its_own_tolerance():
    """As if it were the set's; what is near enough for a loose one is not worth as much gel."""
    source = head([dial(5600)], Reach(cct_from=5600, cct_to=5600))
    strict = ranked(source.model_copy(update={"tolerance_steps": 0.5}), 5520)
    loose = ranked(source.model_copy(update={"tolerance_steps": 50.0}), 5520)
    limits = LIMITS.model_copy(update={"tolerance_steps": 0.5})
    assert [e.gels for e in strict] == [e.gels for e in ranked(source, 5520, limits=limits)]
    assert strict[0].gels == ["CTO 1/8"] and loose[0].gels == []


@pytest.mark.parametrize(
    "reach",
    [
        Reach(cct_from=5600, cct_to=5600),
        Reach(cct_from=5000, cct_to=5600, cct_step=1000),
        Reach(cct_from=3200, cct_to=5600, cct_step=2400),
    ],
    ids=["one setting", "step larger than the range", "two settings"],
)
def test_short_reaches(reach):
    found = ranked(head([dial(5600)], reach))
    allowed = {reach.cct_from, reach.cct_from + reach.cct_step, 5600.0}
    assert {e.dial.cct for e in found} <= {c for c in allowed if c <= 5600}


def on_steps(setting, reach):
    cct, green = (
        (setting.cct - reach.cct_from) / reach.cct_step,
        (setting.green - reach.green_from) / reach.green_step,
    )
    return abs(cct - round(cct)) < 1e-6 and abs(green - round(green)) < 1e-6


@st.composite
def reaches(draw):
    low, wide = draw(st.integers(2000, 6000)), draw(st.integers(0, 8000))
    green = draw(st.sampled_from([0.0, 1.0, 10.0, 33.3]))
    return Reach(
        cct_from=low,
        cct_to=low + wide,
        cct_step=draw(st.sampled_from([1, 7.5, 50, 100, 3000])),
        green_from=-draw(st.sampled_from([0.0, 1.0])) * green,
        green_to=green,
        green_step=draw(st.sampled_from([0.001, 0.1, 1.0, 7.0])),
    )


@given(reaches(), st.integers(2500, 9000), st.sampled_from([1, 2]), st.sampled_from([None, 0.5]))
@settings(deadline=None, max_examples=cases(25, 3))
def test_settings_are_on_the_dials_steps_and_within_reach(reach, cct, readings, max_stops):
    source = head([dial(3500), dial(5611)][-readings:], reach)
    answer = dialled(asked(source, cct, gel_arrays=FEW), Limits(max_layers=1, max_stops=max_stops), FEW)
    price = costs(answer.stacks)
    assert price == sorted(price) and len(price) <= 40
    for entry in answer.stacks:
        assert entry.dial == dial(5611) or (
            on_steps(entry.dial, reach)
            and reach.cct_from <= entry.dial.cct <= reach.cct_to
            and reach.green_from <= entry.dial.green <= reach.green_to
        )


@given(st.integers(0, 10), st.integers(0, 20), st.integers(2700, 7000), st.booleans())
@settings(deadline=None, max_examples=cases(25, 3))
def test_a_wider_reach_is_never_worse(more_warm, more_cool, cct, gelled):
    narrow = Reach(cct_from=4000, cct_to=5600, cct_step=100)
    wide = Reach(cct_from=4000 - 100 * more_warm, cct_to=5600 + 100 * more_cool, cct_step=100)
    limits = Limits(max_layers=int(gelled))
    least = [
        min(risks(ranked(head([dial(4000), dial(5600)], r), cct, 0.0, FEW, limits))) for r in (narrow, wide)
    ]
    assert least[1] <= least[0] + REGRET


def test_the_best_with_every_step_is_the_dials_own_step():
    """A head of which all is known, dialled alone, lands on the step of the least cost.

    By the mapping's root mean square all over the dials, then by predicting all settings around there.
    """
    source = head(ALL, Reach(cct_from=2700, cct_to=6500, cct_step=50, green_from=-10, green_to=10))
    bare = asked(source, 4500, 0.003)
    fit = fit_dial(source)
    found = dialled(bare, Limits(max_layers=0, accuracy=EXACT), RACK).stacks[0]
    dials = dials_of(source.reach)
    i, j = np.meshgrid(np.arange(dials.ccts), np.arange(dials.greens), indexing="ij")
    mapped = fit.at(dials.mired(i), dials.green(j))
    away = delta_uv_prime(uv_of_cct_duv(1e6 / mapped.mired, mapped.duv), bare.wanted.uv)
    expected = np.sqrt(away**2 + scatter(mapped))
    near = np.unravel_index(np.argmin(expected), expected.shape)
    around = [
        predict_dialled(bare, LIMITS, RACK, BARE, dials.setting(near[0] + i, near[1] + j))
        for i in range(-3, 4)
        for j in range(-3, 4)
    ]
    assert found == min(around, key=lambda entry: entry.cost)


def test_no_stack_holds_what_is_not_ranked():
    found = ranked(head([dial(5600)], Reach(cct_from=5600, cct_to=5600)), 3200)
    places = [RACK.find(e.gels) for e in found]
    assert all(NONE not in place and RACK.ranked[place].all() for place in places)


def test_the_answer_is_the_same_when_asked_again_and_another_when_asked_otherwise():
    bare = asked(head(ALL))
    first = dialled(bare, LIMITS, RACK)
    assert dialled(asked(head(ALL)), LIMITS, RACK) == first
    assert dialled(asked(head(ALL), 5000), LIMITS, RACK).stacks[0].dial != first.stacks[0].dial
    assert dialled(bare, LIMITS, FEW) is not first


def test_setting_model_takes_what_is_advised():
    for entry in ranked(head(ALL)):
        assert Setting.model_validate(entry.dial.model_dump()) == entry.dial
