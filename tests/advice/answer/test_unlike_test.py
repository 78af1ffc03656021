"""A head that goes by its test and was read behind gel: does that come from the light of its test?"""

import pytest

from advisor.advice.after_hanging.check import predicted_of
from advisor.advice.plan.make import make_plan
from advisor.advice.plan.needs import Needs, needs_of
from advisor.advice.plan.questions import by_hand
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import AsTested, Kind, Limits, Reading, Source, Stage, Target, Work
from advisor.web.views.odd_reading import waits
from advisor.web.views.sets.head_groups import band_of
from advisor.web.views.standing import found_view
from advisor.web.wording.work import check_first, doing

MAY = "2026-05-12T09:00:00.000000Z"
GREEN = (5600, 0.006)
"""An invented head that tested green: an eighth of minus green makes it right."""


def head(white, *more, work=None):
    cct, duv = white
    full = Reading(cct=cct, duv=duv, level=100, tested_at=MAY)
    tested = AsTested(head="Panel 3", doubt_steps=1.6)
    return Source(
        name="Panel 3", kind=Kind.LED_WHITE, reading=full, readings=list(more), level=100, test=tested,
        work=work,
    )  # fmt: skip


def plan(source, target=5600):
    return make_plan([source], Target(cct=target), Limits(), shipped_gels().rows)


def behind(tested, there, target=5600, *, off=(0.0, 0.0)):
    """Return what is planned once a head that tested so hangs by that, and another one is read there."""
    first = plan(head(tested), target).heads[0].first
    after = by_hand(plan(head(there), target), 0, first.gels).after
    mired, duv = off
    seen = Reading(cct=1e6 / (1e6 / after.cct + mired), duv=after.duv + duv, level=100, gels=first.gels)
    work = Work(
        stage=Stage.HUNG, gels=first.gels, predicted=predicted_of(first, 3.0), steps_off=first.miss.steps,
        read_bare=head(tested).reading, read_behind=seen,
    )  # fmt: skip
    return plan(head(tested, seen, work=work), target).heads[0]


def test_another_head_of_its_kind_is_metered_bare_before_gel_is_moved():
    found = behind(GREEN, (5300, 0.003))
    assert found.unlike_test
    assert found.bare_first
    assert needs_of(found) is Needs.METER
    assert found.due is None


def test_what_to_change_stays_said_for_who_cannot_meter_it_bare():
    """A second reading of a light that fits no test must not take back what the first one told."""
    found = behind(GREEN, (5300, 0.003))
    assert found.swap is None and found.check.swap.some
    stuck = found_view(found, "", "", drifted=False).stuck
    assert stuck.startswith("Not as in its test: meter it bare first.")
    assert "If you can’t: " in stuck


def test_what_is_as_tested_is_not_doubted():
    found = behind(GREEN, GREEN)
    assert not found.unlike_test
    assert needs_of(found) is Needs.NOTHING


@pytest.mark.parametrize("off", [(3.0, 0.0), (-3.0, 0.0), (0.0, 0.0012), (2.0, -0.0010)])
def test_what_a_sheet_and_a_meter_may_be_off_by_is_not_doubted(off):
    assert not behind(GREEN, GREEN, off=off).unlike_test


def test_behind_a_gel_of_which_less_is_known_more_is_let_pass():
    """A generic CTO may be a quarter off: ten mireds behind it tell nothing of the head."""
    assert not behind((5600, 0.001), (5300, 0.001), 3200).unlike_test
    assert behind((5600, 0.001), (5300, 0.001), 5600).unlike_test


def test_once_it_was_read_bare_here_that_counts_and_the_gel_is_moved():
    found = behind(GREEN, (5300, 0.003))
    today = Reading(cct=5300, duv=0.003, level=100)
    source = found.source
    source = source.model_copy(update={"readings": [*source.readings, source.reading], "reading": today})
    again = plan(source).heads[0]
    assert not again.unlike_test
    assert not again.bare_first


def test_one_that_reads_like_the_bare_head_is_asked_about_its_gel_and_not_about_its_test():
    tested = (5600, 0.001)
    after = by_hand(plan(head(tested), 4300), 0, plan(head(tested), 4300).heads[0].first.gels).after
    found = behind(tested, tested, 4300, off=(1e6 / tested[0] - 1e6 / after.cct, tested[1] - after.duv))
    assert found.check.slip is not None
    assert not found.unlike_test


def like_another_gel(*more, checked=False):
    """A tungsten head whose lamp was changed since its test: behind ½ CTB it reads like behind ¼ CTB."""
    old, new = (3200, 0.0), (2900, 0.0)
    tungsten = {"kind": Kind.TUNGSTEN, "name": "Fresnel"}

    def planned(source):
        return plan(source.model_copy(update=tungsten), 4100)

    gels = ["CTB 1/2"]
    after = by_hand(planned(head(new)), 0, gels).after
    seen = Reading(cct=after.cct, duv=after.duv, level=100, gels=gels, gels_checked=checked)
    promised = by_hand(planned(head(old)), 0, gels)
    work = Work(
        stage=Stage.HUNG, gels=gels, predicted=predicted_of(promised, 3.0), steps_off=promised.miss.steps,
        read_bare=head(old).reading, read_behind=seen,
    )  # fmt: skip
    source = head(old, seen, work=work)
    if more:
        [today] = more
        source = source.model_copy(update={"readings": [*source.readings, source.reading], "reading": today})
    return planned(source).heads[0]


def test_what_reads_like_another_gel_may_as_well_be_another_lamp_and_is_metered_bare_first():
    found = like_another_gel()
    assert found.check.mistake.instead == "CTB 1/4"
    assert found.unlike_test and found.check.asks_bare
    assert needs_of(found) is Needs.METER
    assert found.due is None
    said = check_first(found.check)
    assert said.startswith("Another head or lamp? Meter it bare: that tells. Or check the gel: ")
    assert doing(found) == said
    assert band_of(found).words == "Meter it bare"
    assert waits(found.check) == "Left out until it is metered bare."
    assert found_view(found, said, "", drifted=False).stuck == ""  # said once


def test_it_stays_so_where_somebody_says_that_the_gel_is_right():
    found = like_another_gel(checked=True)
    assert found.unlike_test and needs_of(found) is Needs.METER
    assert found.due is None


def test_read_bare_as_it_was_tested_the_gel_is_asked_about():
    found = like_another_gel(Reading(cct=3200, duv=0.0, level=100))
    assert not found.unlike_test
    assert check_first(found.check).startswith("Check the gel: it reads like ¼\xa0CTB, ")


def test_read_bare_as_another_lamp_nothing_is_asked():
    found = like_another_gel(Reading(cct=2900, duv=0.0, level=100))
    assert not found.check or not found.check.odd
