"""Pasted readings of heads on which gel hangs: asked about before they are saved, never taken for bare."""

import pytest

from advisor.model import Reading, Stage
from tests.web.working import CTO

LIKE_BARE = "name,cct,duv,lux\nShop window,7150,0.0042,800\n"
LIKE_BEHIND = "name,cct,duv,lux\nShop window,5560,0.0040,640\n"


@pytest.fixture
def window(stores):
    return lambda: stores.sets.get_source(1).source


def test_what_reads_like_the_stack_is_offered_as_read_behind_it(act, paste, window):
    act("hung", CTO)
    page = paste(LIKE_BEHIND)
    assert "Gel hangs on Shop window. How was it read?" in page.text
    assert page.fields["behind"] == "hung"
    assert "¼ CTO hangs on it: say above how it was read." in page.text
    assert "becomes the reading that counts" not in page.text
    assert window().reading.cct == 7200


def test_saved_so_it_is_read_behind_what_hangs_and_may_confirm_it(act, save, window, work):
    act("hung", CTO)
    predicted = work().predicted
    page = save(f"name,cct,duv,lux\nShop window,{predicted.cct},{predicted.duv},640\n")
    assert page.heading == "1 reading added to Shop window"
    assert "Read with the gel on." in page.text
    assert window().reading.cct == 7200
    assert window().readings[-1].gels == CTO
    assert (work().stage, work().read_behind.gels) == (Stage.CONFIRMED, CTO)


def test_what_reads_like_the_bare_head_is_offered_as_bare(act, save, paste, window, work):
    act("hung", CTO)
    was = work()
    assert paste(LIKE_BARE).fields["behind"] == "bare"
    page = save(LIKE_BARE)
    assert "The last one added is the reading that counts." in page.text
    assert window().reading.cct == 7150 and work() == was
    save(LIKE_BEHIND, behind="bare")
    assert window().reading == Reading(cct=5560, duv=0.0040, lux=640)


def test_one_choice_is_for_all_rows(act, paste, save, stores):
    act("hung", CTO)
    act("hung", ["CTB full"], number=5)
    text = LIKE_BEHIND + "Backlight,5600,0.003,300\nShelf lamps,2700,0.0,\nNew lamp,3200,0.0,\n"
    page = paste(text)
    assert "Gel hangs on Shop window and Backlight. How were they read?" in page.text
    assert page.html.count('name="behind"') == 1
    save(text)
    read = [stores.sets.get_source(n).source.readings[-1:] for n in (1, 5, 6)]
    assert [[r.gels for r in found] for found in read] == [[CTO], [["CTB full"]], [[]]]
    assert stores.sets.get_source(6).source.reading.gels == []


def test_levels_behind_one_stack_are_all_kept(act, save, window, work):
    act("hung", CTO)
    save("name,level,cct,duv\nShop window,100,5560,0.004\nShop window,50,5450,0.004\n")
    assert [(r.level, r.gels) for r in window().readings[-2:]] == [(100, CTO), (50, CTO)]
    assert work().read_behind.level == 50 and [r.level for r in work().read_elsewhere] == [100]


@pytest.mark.parametrize("shown", [{"behind": ""}, {"hung": "1: CTB full"}, {"hung": ""}])
def test_nothing_is_saved_before_somebody_was_asked_about_what_hangs_now(act, save, window, shown):
    act("hung", CTO)
    page = save(LIKE_BEHIND, **shown)
    assert page.status == 422
    assert "Gel hangs on Shop window, so nothing is saved yet" in page.alerts[0]
    assert page.fields["hung"] == "1: CTO 1/4" and page.fields["behind"] == "hung"
    assert window().reading.cct == 7200 and len(window().readings) == 0


@pytest.mark.parametrize("stage", ["plan", "bare", "new"])
def test_where_no_gel_hangs_nobody_is_asked(act, paste, stage):
    if stage == "plan":
        act("plan", CTO)
    elif stage == "bare":
        act("hung", [])
    else:
        act("hung", CTO)
    text = LIKE_BEHIND.replace("Shop window", "Other window") if stage == "new" else LIKE_BEHIND
    assert "behind" not in paste(text).fields


def test_what_hangs_meanwhile_is_asked_about_again(act, save, stores, monkeypatch, window):
    act("hung", CTO)
    sets = type(stores.sets)
    add = sets.add_sources

    def meanwhile(self, *args):
        monkeypatch.setattr(sets, "add_sources", add)
        now = self.get_source(1)
        work = now.source.work.model_copy(update={"gels": ["CTO 1/8"]})
        self.update_source(1, now.source.model_copy(update={"work": work}))
        return add(self, *args)

    monkeypatch.setattr(sets, "add_sources", meanwhile)
    page = save(LIKE_BEHIND)
    assert page.status == 422
    assert "What hangs on Shop window changed meanwhile" in page.alerts[0]
    assert page.fields["hung"] == "1: CTO 1/8" and len(window().readings) == 0
