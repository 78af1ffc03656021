"""Light read bare and behind gels teaches how much light gels lose; the truth is made up here."""

import numpy as np
import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand
from advisor.model import AdviceRequest, Limits, Predicted, Reading, Source, Stage, Target, Work
from tests.advice.lamps import RACK, SHIPPED, planckian, read

TARGET = Target(cct=5600)
NEXT = ["CTB 1/2", "Plus green 1/8"]
"""What is looked at on a source that was read bare only."""


def pair(name, gels, brighter=0.0, cct=3200, **taken):
    """A source read bare, and behind gels so many stops brighter than they are by their labels."""
    true = planckian(cct)
    behind = read(true, gels, lux=1000)
    behind = behind.model_copy(update={"lux": behind.lux * 2**brighter, **taken})
    reading = read(true, lux=1000).model_copy(update=taken if "level" in taken else {})
    return Source(name=name, kind="tungsten", reading=reading, readings=[behind])


def stops(*sources, gels=NEXT):
    """How much light is said to be lost behind gels on one more source."""
    fresh = Source(name="Next", kind="tungsten", reading=read(planckian(3000), lux=500))
    return by_hand(make_plan([*sources, fresh], TARGET, Limits(), SHIPPED), len(sources), gels).stops


def test_what_is_predicted_next_is_nearer():
    """All sheets pass 0.2 stop more than their labels make of them: three sources of two sheets say so."""
    plain = stops()
    read_behind = [pair(f"Lamp {k}", ["CTB full", "Plus green 1/8"], 0.4, 2900 + 100 * k) for k in range(3)]
    known = stops(*read_behind)
    assert plain - known > 0.2, "of the 0.4 stop of its two sheets, over half is known"
    assert plain - known < 0.4 + 0.05


def test_one_reading_tells_less_than_three():
    one, three = (
        stops(*(pair(f"Lamp {k}", ["CTB full"], 0.3) for k in range(n)), gels=["CTB full"]) for n in (1, 3)
    )
    plain = stops(gels=["CTB full"])
    assert plain - 0.35 < three < one < plain - 0.1


def test_darker_is_learned_too():
    assert stops(pair("Lamp", ["CTB full"], -0.3), gels=["CTB full"]) > stops(gels=["CTB full"]) + 0.1


def test_the_colour_stays_as_it_was():
    fresh = Source(name="Next", kind="tungsten", reading=read(planckian(3000), lux=500))
    lamp = pair("Lamp", ["CTB full"], 0.3)
    dark = lamp.model_copy(update={"readings": [r.model_copy(update={"lux": None}) for r in lamp.readings]})
    with_light, without = (
        by_hand(make_plan([source, fresh], TARGET, Limits(), SHIPPED), 1, NEXT) for source in (lamp, dark)
    )
    assert (with_light.after.x, with_light.after.y) == (without.after.x, without.after.y)
    assert with_light.uncertainty_steps == pytest.approx(without.uncertainty_steps, abs=0.002)
    assert with_light.within == pytest.approx(without.within, abs=0.002)


@pytest.mark.parametrize("taken", [{"lux": None}, {"modifier": "softbox"}, {"level": 50}])
def test_only_what_was_read_alike_counts(taken):
    behind = read(planckian(3200), ["CTB full"], lux=1300).model_copy(update=taken)
    reading = read(planckian(3200), lux=1000).model_copy(update={"level": 100})
    source = Source(name="Lamp", kind="tungsten", reading=reading, readings=[behind])
    assert stops(source) == stops()


def test_a_meter_that_was_moved_teaches_nothing():
    assert stops(pair("Lamp", ["CTB full"], 1.2)) == stops()


def test_what_was_measured_is_hardly_moved():
    rows = [row.model_copy(update={"stops": 1.5}) if row.name == "CTB full" else row for row in SHIPPED]

    def lost(*sources):
        fresh = Source(name="Next", kind="tungsten", reading=read(planckian(3200), lux=500))
        return by_hand(make_plan([*sources, fresh], TARGET, Limits(), rows), len(sources), ["CTB full"]).stops

    label = lost()
    brighter = pair("Lamp", ["CTB full"], 0.3)
    assert label - lost(brighter) < 0.1


def test_no_gel_is_brighter_than_none():
    """However much was read behind an eighth, it loses light."""
    lamps = [pair(f"Lamp {k}", ["Plus green 1/8"], 0.9) for k in range(5)]
    assert stops(*lamps, gels=["Plus green 1/8"]) > 0.0


def test_the_api_learns_from_all_sources_of_a_request():
    sources = [pair("Lamp", ["CTB full"], 0.3), Source(name="Next", reading=Reading(cct=3200, duv=0.0))]
    [_, plain] = advise(AdviceRequest(target=TARGET, sources=sources), SHIPPED).sources
    dark = sources[0].model_copy(update={"readings": []})
    [_, without] = advise(AdviceRequest(target=TARGET, sources=[dark, sources[1]]), SHIPPED).sources
    ones, others = ({tuple(s.gels): s.stops for s in a.stacks} for a in (plain, without))
    both = [gels for gels in ones if gels in others and "CTB full" in gels]
    assert both and all(ones[gels] < others[gels] - 0.1 for gels in both)


def test_the_table_itself_is_left_alone():
    before = RACK.transmittances.copy()
    stops(pair("Lamp", ["CTB full"], 0.3))
    assert np.array_equal(before, RACK.transmittances)


def elsewhere(lamp, as_far):
    """The same lamp, read behind its gels from another place; half as far off it gives four times as much."""
    [behind] = lamp.readings
    moved = behind.model_copy(update={"as_far": as_far, "lux": behind.lux / as_far**2})
    return lamp.model_copy(update={"readings": [moved], "as_far": as_far})


def test_light_is_never_compared_across_a_move_of_the_stand():
    """What was read behind gel from nearer by passes no more light; without a move it is a lesson."""
    stayed = pair("Lamp", ["CTB full"], 0.8)
    plain = stops(gels=["CTB full"])
    assert stops(stayed, gels=["CTB full"]) < plain - 0.1
    for as_far in (0.5, 0.9, 1.3):
        assert stops(elsewhere(stayed, as_far), gels=["CTB full"]) == plain


def test_what_was_learned_before_a_move_stays_known():
    """Both were read from the first place: the sheet passes what it passes, wherever the head stands now."""
    lamp = pair("Lamp", ["CTB full"], 0.8)
    moved = lamp.model_copy(update={"as_far": 0.5})
    assert stops(moved, gels=["CTB full"]) == stops(lamp, gels=["CTB full"])


def test_other_gels_since_do_not_bring_a_comparison_across_a_move_back():
    """The work is of the gels that hang now; the reading behind those before is still from another place."""
    lamp = elsewhere(pair("Lamp", ["CTB full"], 0.8), 0.5)
    then = Predicted(cct=4300, duv=0, lux=900, as_far=0.5, uncertainty_steps=3)
    work = Work(stage=Stage.HUNG, gels=["CTB 1/2"], read_bare=lamp.reading, predicted=then)
    hung = lamp.model_copy(update={"work": work})
    assert stops(hung, gels=["CTB full"]) == stops(gels=["CTB full"])
