"""A sheet far off its label is learned from one reading that somebody checked; the truth is made up here."""

import numpy as np
import pytest

from advisor.advice.answer.advise import advise, predict
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.questions import by_hand, gels_off_label
from advisor.advice.stacks.kept import Kept
from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.grid import weights
from advisor.model import AdviceRequest, PredictionRequest, Reading, Source, Stage, Target, Work
from tests.advice.lamps import LIMITS, RACK, SHIPPED, TARGET, hung, looked, planckian, read

FULL, GREEN = "CTB full", "Plus green 1/8"
TRUE = {FULL: 0.76, "CTB 1/4": 1.04, "CTB 1/2": 1.03, "CTB 1/8": 0.98}
"""How strong sheets are, as shares of their labels; all others are as labelled."""


def seen(cct, gels, true=TRUE, **about):
    """What a meter reads of a Planckian lamp behind sheets of a true strength."""
    light = planckian(cct)
    for name in gels:
        [gel] = RACK.find([name])
        light = light * RACK.transmittances[gel] ** true.get(name, 1.0)
    x, y, z = light @ weights()
    cct, duv = (float(v) for v in cct_duv_of_uv(np.array([4 * x, 6 * y]) / (x + 15 * y + 3 * z)))
    return Reading(cct=cct, duv=duv, gels=list(gels), **about)


def head(cct=3200, *readings, name="Key"):
    return Source(name=name, kind="tungsten", reading=read(planckian(cct)), readings=list(readings))


def away(plan, i, gels, true=TRUE, cct=3050):
    """How far a plan's prediction lies from what those sheets really do, in mired."""
    return 1e6 / by_hand(plan, i, gels).after.cct - 1e6 / seen(cct, gels, true).cct


def told(*sources, **about):
    return make_plan(sources, TARGET, LIMITS, SHIPPED, **about)


@pytest.mark.parametrize("beside", [[], [GREEN], ["CTB 1/8"], ["CTB 1/8", GREEN]])
def test_the_next_head_counts_with_it_at_once(beside):
    known = told(head(3200, looked(seen(3200, [FULL, *beside]))), head(3050, name="Fill"))
    before = told(head(3200), head(3050, name="Fill"))
    assert away(before, 1, [FULL]) < -20
    assert abs(away(known, 1, [FULL])) < 6
    assert by_hand(known, 1, [FULL]).uncertainty_steps < by_hand(before, 1, [FULL]).uncertainty_steps


@pytest.mark.parametrize("beside", [[], [GREEN], ["CTB 1/8", GREEN]])
def test_the_set_says_so_of_that_gel_alone_on_one_source(beside):
    [off] = gels_off_label(told(head(3200, looked(seen(3200, [FULL, *beside])))))
    assert off.doubt is not None and off.doubt > 1.645 * 3.0, "two sheets of one roll differ by 3 % alone"
    assert off.names == (FULL,) and off.sources == 1
    assert off.percent == pytest.approx(-24, abs=5)


def test_on_three_heads_the_others_of_its_family_are_left_alone():
    heads = [
        head(cct, looked(seen(cct, [FULL, "CTB 1/8"])), seen(cct, ["CTB 1/2"]), name=f"Head {cct}")
        for cct in (3100, 3200, 3300)
    ]
    off = {one.names: one for one in gels_off_label(told(*heads))}
    assert off[FULL,].percent == pytest.approx(-24, abs=4) and off[FULL,].sources == 3
    assert all(abs(one.percent) < 8 for names, one in off.items() if names != (FULL,))


@pytest.mark.parametrize(
    ("typed", "checked", "said"),
    [(None, False, [(FULL,)]), (4678.0, False, []), (None, True, [(FULL,)]), (4061.0, True, [(FULL,)])],
)
def test_nothing_is_said_of_a_gel_by_a_reading_that_is_asked_about(typed, checked, said):
    """Two heads agree that the full CTB is weak, until one is asked for another digit that nobody checked."""
    heads = []
    for cct, asked in ((3200, None), (3040, typed)):
        found = seen(cct, [FULL, GREEN], {FULL: 0.7 if checked and cct == 3040 else 0.9})
        found = found.model_copy(update={"cct": asked or found.cct, "gels_checked": checked and cct == 3040})
        up = hung(head(cct, name=f"Head {cct}"), [FULL, GREEN], found)
        heads.append(up.model_copy(update={"readings": [found]}))
    plan = told(*heads)
    assert plan.heads[1].check.odd is (typed is not None and not checked)
    assert [one.names for one in gels_off_label(plan)] == said


def test_a_sheet_far_off_tells_nothing_of_the_others():
    """On the very head, 1/4 added to what was read counts as it is labelled."""
    known = told(head(3200, looked(seen(3200, [FULL, GREEN]))))
    assert abs(away(known, 0, [FULL, GREEN, "CTB 1/4"], cct=3200)) < 5
    labelled = told(head())
    assert by_hand(known, 0, ["CTB 1/4"]).after.cct == pytest.approx(
        by_hand(labelled, 0, ["CTB 1/4"]).after.cct, rel=0.01
    )


def test_what_nobody_checked_changes_nothing():
    fresh = head(3050, name="Fill")
    unchecked = by_hand(told(head(3200, seen(3200, [FULL])), fresh), 1, [FULL])
    assert unchecked.after == by_hand(told(head(), fresh), 1, [FULL]).after


@pytest.mark.parametrize("share", [0.92, 1.0, 1.08])
def test_within_what_the_row_allows_it_stays_at_its_label(share):
    known = told(head(3200, looked(seen(3200, [FULL], {FULL: share}))), head(3050, name="Fill"))
    assert not known.off_labels
    assert by_hand(known, 1, [FULL]).after == by_hand(told(head(), head(3050, name="Fill")), 1, [FULL]).after


def test_a_sheet_at_its_label_beside_a_weak_one_speaks_against_a_weak_roll():
    heads = [head(3200, looked(seen(3200, [FULL])))]
    heads += [head(3100 + k, seen(3100 + k, [FULL], {}), name=f"Head {k}") for k in range(3)]
    assert not told(*heads).off_labels


def test_once_known_the_gel_is_not_asked_about_again():
    key = head(3200, looked(seen(3200, [FULL])))
    fill = hung(head(3050, name="Fill"), [FULL])
    read_behind = seen(3050, [FULL])
    fill = fill.model_copy(
        update={
            "readings": [read_behind],
            "work": fill.work.model_copy(update={"read_behind": read_behind}),
        }
    )
    alone, both = told(fill).alone, told(key, fill).heads[1]
    assert alone.check.mistake and alone.left_out
    assert both.check.mistake is None and both.check.slip is None and not both.left_out


def test_a_plan_that_was_kept_is_the_same_as_one_from_nothing():
    kept, fill = Kept(), head(3050, name="Fill")
    said = []
    for key in (head(), head(3200, looked(seen(3200, [FULL]))), head(3200, looked(seen(3200, ["CTB 1/2"])))):
        texts = [one.model_dump_json() for one in (key, fill)]
        said.append(told(key, fill, kept=kept, texts=texts).heads[1].advice)
        assert said[-1] == told(key, fill).heads[1].advice
    assert said[0] != said[1] and said[0] == said[2]


def test_a_program_gets_the_same_answer():
    heads = [head(3200, looked(seen(3200, [FULL]))), head(3050, name="Fill")]
    both = advise(AdviceRequest(sources=heads, target=TARGET), SHIPPED).sources[1].stacks
    alone = advise(AdviceRequest(sources=heads[1:], target=TARGET), SHIPPED).sources[0].stacks
    assert [one.gels for one in both] != [one.gels for one in alone]
    asked = PredictionRequest(source=heads[0], target=TARGET, stack=[FULL, "CTB 1/4"])
    true = seen(3200, [FULL, "CTB 1/4"])
    assert 1e6 / predict(asked, SHIPPED).after.cct == pytest.approx(1e6 / true.cct, abs=5)


def test_what_was_read_the_day_before_counts_in_the_set_of_the_next():
    """What read 4 750 K behind full CTB yesterday is not advised as close today."""
    then = read(planckian(3200))
    work = Work(
        stage=Stage.PLANNED,
        gels=[FULL, GREEN],
        read_bare=then,
        read_day_before=looked(seen(3200, [FULL, GREEN])),
    )
    key = head().model_copy(update={"work": work})
    today = told(key, head(3050, name="Fill"))
    assert abs(away(today, 0, [FULL, GREEN], cct=3200)) < 6 and abs(away(today, 1, [FULL])) < 6
    assert [one.names for one in gels_off_label(today)] == [(FULL,)]
    relamped = key.model_copy(update={"reading": read(planckian(3100))})
    assert not told(relamped).off_labels, "another bare reading: nobody knows what that one belonged to"


def test_work_that_hangs_elsewhere_keeps_its_stage():
    work = Work(stage=Stage.HUNG, gels=[FULL])
    known = told(
        head(3200, looked(seen(3200, [FULL]))), head(3050, name="Fill").model_copy(update={"work": work})
    )
    assert known.heads[1].stage is Stage.HUNG


LED_UP = ["CTB 1/8", "CTB 1/4", "Plus green 1/4"]
DAY = Target(cct=4200)
FOUND = Reading(cct=3960, duv=0.0046, lux=318, gels=LED_UP)


def told_at(target, *sources):
    return [make_plan([one], target, LIMITS, SHIPPED) for one in sources]


def mired_of(gels):
    return sum(RACK.mired[gel] for gel in RACK.find(gels))


def panel(found):
    """Return a panel with three sheets up, all of them weak: it reads far warmer than was predicted."""
    bare = Reading(cct=3410, duv=-0.0012, lux=610)
    return hung(Source(name="Panel", kind="led-white", reading=bare), LED_UP, found, target=DAY)


def test_no_sheet_is_called_half_its_label_where_all_being_a_little_weak_is_far_likelier():
    """Else a quarter of blue counts as less than an eighth, and the head is sent the wrong way."""
    [said] = told_at(DAY, panel(looked(FOUND)))
    assert not said.off_labels
    swap = said.alone.check.swap
    assert swap.some and mired_of(swap.result.gels) < mired_of(LED_UP)


def test_what_is_promised_if_a_reading_is_right_stands_once_it_is_said_to_be():
    before, after = told_at(DAY, panel(FOUND), panel(looked(FOUND)))
    assert before.alone.check.odd and not after.alone.check.odd
    assert before.alone.check.swap == after.alone.check.swap
    assert before.alone.check.smaller == after.alone.check.smaller
