"""The work order: task by task, who is at which head, the walk of the crew, and the pull list beside it."""

import json
import re

import pytest
from flask.testing import FlaskClient

from advisor.model import Kind, LightSet, Limits, Reading, Source, Stage, Target, Work
from advisor.store.crew.heads_taken import HeadTaken
from advisor.web.plans.at_hand import at_hand_of
from advisor.web.plans.onward.order import order_of
from tests.conftest import own_pages
from tests.web.page import Page
from tests.web.pulling import panel


def lamp(name, cct, duv=0.0, hung=None):
    """A lamp with a panel, on which gels hang."""
    work = None if hung is None else Work(stage=Stage.HUNG, gels=hung)
    kind = Kind.TUNGSTEN if cct == 3200 else Kind.LED_WHITE
    reading = Reading(cct=cct, duv=duv)
    return Source(name=name, kind=kind, reading=reading, openings=panel(), work=work)


@pytest.fixture
def kitchen(stores):
    """Keep a set: Taker takes the half CTB that comes off Giver, and Third a full one from the truck."""
    sources = [lamp("Taker", 4100, 0.004), lamp("Giver", 5600, 0.003, ["CTB 1/2"]), lamp("Third", 3200)]
    limits = Limits(max_layers=1)
    made = LightSet(name="Kitchen", target=Target(cct=5600), limits=limits, sources=sources, spare_percent=0)
    return stores.sets.create_set(made)


@pytest.fixture
def order(kitchen, get):
    return lambda: get(f"/sets/{kitchen}/order")


@pytest.fixture
def tick(kitchen, stores, post):
    """Say on a head's page that what is ordered hangs."""

    def press(number, *gels):
        revision = stores.sets.get_source(number).revision
        stack = json.dumps({"gels": gels})
        return post(f"/sources/{number}/work", {"action": "hung", "stack": stack, "revision": revision})

    return press


@pytest.fixture
def at_hand(app, kitchen, stores):
    """The cuts that are down: their gels, and where they hung."""

    def look():
        with app.app_context():
            return [(cut.gel, cut.source) for cut in at_hand_of(stores.sets.get_set(kitchen))]

    return look


@pytest.fixture
def bo(app):
    """Somebody else at the laptop, by their name."""
    client = own_pages(app)
    client.set_cookie("who", "Bo")
    return client


def go(client: FlaskClient, path, **data):
    return Page(client.post(path, data=data, follow_redirects=True))


def names(page):
    return re.findall(r'class="name">\d+ (\w+)<', page.html)


class TestTheList:
    def test_a_head_that_waits_for_a_cut_comes_after_the_one_that_gives_it(self, order):
        page = order()
        assert page.heading == "Work order"
        assert names(page) == ["Giver", "Taker", "Third"]
        assert "3 moves on 3 heads." in page.text
        assert "½ CTB that hung on Giver" in page.text
        assert "First take it down there: Giver." in page.text
        assert "From the truck: full CTB. Used again: ½ CTB." in page.text

    def test_it_says_to_the_cut_what_the_pull_list_says(self, order, get, kitchen):
        assert "From the truck: full CTB." in order().text
        pull = get(f"/sets/{kitchen}/pulls").text
        assert "Pull 1 sheet of 1 gel, use 1 again" in pull and "½ CTB used again from Giver" in pull

    def test_a_gel_of_which_one_cut_is_new_and_one_comes_down_says_both(self, order, get, kitchen, stores):
        stores.sets.add_source(kitchen, lamp("Fourth", 4100, 0.004))
        assert "From the truck: ½ CTB and full CTB. Used again: ½ CTB." in order().text
        assert "½ CTB 1 sheet, 1 cut used again" in get(f"/sets/{kitchen}/pulls").text

    def test_a_cut_of_no_size_is_used_again_if_it_covers(self, order, get, kitchen, stores, tick, at_hand):
        for number in (1, 2, 3):
            now = stores.sets.get_source(number)
            source = now.source.model_copy(update={"openings": []})
            stores.sets.update_source(number, source, revision=now.revision)
        page = order()
        assert "½ CTB that hung on Giver, if it is large enough" in page.text
        assert "From the truck: full CTB. Used again: ½ CTB." in page.text
        pull = get(f"/sets/{kitchen}/pulls").text
        assert "Pull 1 sheet of 1 gel" in pull and "½ CTB used again from Giver" in pull
        tick(2)
        assert at_hand() == [("CTB 1/2", "Giver")]
        tick(1, "CTB 1/2")
        assert at_hand() == []

    def test_each_stop_says_how_good_it_will_be_as_its_head_does(self, order, get):
        odds = re.compile(r"(?:matches|close|a bit off|obvious), (?:over |under )?\d\s+in\s+10")
        tasks = [part for part in order().html.split("<li ") if 'data-live="task-' in part]
        assert len(tasks) == 3
        for number, task in zip((2, 1, 3), tasks, strict=True):
            told = odds.search(get(f"/sources/{number}").html)
            assert told and told[0] in task

    def test_cautions_stand_where_somebody_is_sent_up_a_ladder(self, order):
        page = order()
        assert "Ladders: somebody holds each." in page.text
        assert "Let it cool before you touch it." in page.text

    def test_a_set_on_which_nothing_is_to_be_done_says_so(self, stores, get):
        set_id = stores.sets.create_set(LightSet(name="Empty", target=Target(cct=5600)))
        page = get(f"/sets/{set_id}/order")
        assert page.heading == "Nothing to do on the heads"
        assert "Ladders" not in page.text

    def test_a_head_that_has_to_be_looked_at_first_sends_nobody(self, stores, kitchen, order):
        stores.sets.add_source(kitchen, Source(name="Neon", reading=Reading(xy=(0.7, 0.29))))
        page = order()
        assert "1 to look at first" in page.text
        assert "Take: Neon" not in page.text and "Take: Third" in page.text


class TestOneHeadAtATime:
    def test_start_leads_to_the_first_head_and_next_to_the_one_after(self, kitchen, post, tick):
        page = post(f"/sets/{kitchen}/order/next")
        assert page.heading == "Giver"
        assert "Work order, task 1 of 3" in page.text
        assert "Next: Third" in page.text, "the taker waits until the cut is down"
        page = tick(2)
        assert page.heading == "Giver" and "Next: Taker" in page.text
        page = post(f"/sets/{kitchen}/order/next", {"after": 2})
        assert page.heading == "Taker"
        assert "½ CTB that hung on Giver." in page.text

    def test_start_takes_the_head_that_it_names_or_none(self, kitchen, order, bo, client, post, tick, stores):
        fields = order().fields
        assert fields["head"] == "2" and ">Start: Giver<" in order().html
        go(bo, "/sources/2/take")
        page = post(f"/sets/{kitchen}/order/next", {"head": 2})
        assert page.heading == "Work order" and "Bo is at Giver. Go to another one." in page.text
        assert list(stores.taken.of_set(kitchen)) == [2]
        tick(3, "CTB full")
        stores.sets.change_source(
            3, {"work": stores.sets.get_source(3).source.work.model_copy(update={"stage": Stage.CONFIRMED})}
        )
        page = post(f"/sets/{kitchen}/order/next", {"head": 3})
        assert page.heading == "Work order" and "Nothing is left to do at Third." in page.text
        page = post(f"/sets/{kitchen}/order/next", {"head": 1})
        assert "Taker has to wait." in page.text, "its cut hangs yet"

    def test_a_head_that_another_one_is_at_is_not_removed_unasked(self, kitchen, bo, get, post, stores):
        go(bo, "/sources/2/take")
        page = post("/sources/2/delete")
        assert page.heading == "Giver" and not stores.sets.get_source(2).deleted
        assert "Bo has been here since" in page.text and "Remove it all the same" in page.text
        post("/sources/2/delete", {"over": "yes"})
        assert stores.sets.get_source(2).deleted
        post("/sources/3/delete")
        assert stores.sets.get_source(3).deleted

    def test_what_waited_for_the_link_takes_nothing_and_leaves_the_head_before(self, kitchen, post, stores):
        post(f"/sets/{kitchen}/order/next", {"head": 2})
        assert list(stores.taken.of_set(kitchen)) == [2]
        page = post(f"/sets/{kitchen}/order/next", {"after": 2, "head": 3, "waited": "yes"})
        assert page.heading == "Work order" and stores.taken.of_set(kitchen) == {}
        post("/sources/3/take", {"waited": "yes"})
        assert stores.taken.of_set(kitchen) == {}

    def test_hands_are_warned_of_a_hot_head_before_what_is_to_hang(self, kitchen, post):
        page = post("/sources/3/take")
        assert "Hot: let it cool before you touch it." in page.text
        assert "Full CTB from the truck." in page.text

    def test_the_last_one_leads_back_to_the_order(self, kitchen, post, stores):
        post("/sources/3/take")
        for number in (1, 2):
            stores.sets.delete_source(number)
        page = post(f"/sets/{kitchen}/order/next", {"after": 3})
        assert page.heading == "Work order"
        assert stores.taken.of_set(kitchen) == {}

    def test_who_goes_on_frees_the_head_before(self, kitchen, post, stores):
        post(f"/sets/{kitchen}/order/next")
        post(f"/sets/{kitchen}/order/next", {"after": 2})
        assert list(stores.taken.of_set(kitchen)) == [3]


class TestTwoElectrics:
    def test_they_do_not_get_the_same_head(self, kitchen, post, bo):
        assert post(f"/sets/{kitchen}/order/next").heading == "Giver"
        assert go(bo, f"/sets/{kitchen}/order/next").heading == "Third"
        page = post(f"/sets/{kitchen}/order/next", {"after": 2})
        assert "Nothing is free" not in page.text and page.heading == "Work order"

    def test_the_other_one_sees_who_is_there_and_can_take_it_over(self, kitchen, order, bo, get, stores):
        go(bo, "/sources/3/take")
        assert re.search(r"Bo has been here since \d\d:\d\d\.", order().text)
        page = get("/sources/3")
        assert "Bo has been here since" in page.text and "Next:" not in page.text
        stores.taken.take(3, "phone 9", "Mia")
        assert stores.taken.of_set(kitchen)[3].who == "Bo"

    def test_a_head_is_taken_over_or_freed_by_hand(self, kitchen, post, bo, stores):
        go(bo, "/sources/3/take")
        post("/sources/3/take")
        assert stores.taken.of_set(kitchen)[3].who == "Bo"
        post("/sources/3/take", {"over": "yes"})
        assert isinstance(stores.taken.of_set(kitchen)[3], HeadTaken)
        assert stores.taken.of_set(kitchen)[3].who == ""
        assert go(bo, "/sources/3/free").heading == "Work order"
        assert stores.taken.of_set(kitchen) == {}

    def test_where_all_are_taken_it_says_so(self, kitchen, order, stores):
        stores.taken.take(2, "phone 1", "Bo")
        stores.taken.take(3, "phone 2", "Mia")
        assert "Nothing is free: others are at the heads that are left." in order().text


class TestTheWalk:
    def test_up_and_down_move_a_head_and_the_set_keeps_it(self, kitchen, order, post, stores):
        page = post(f"/sets/{kitchen}/order", {"move": "3-up"})
        assert stores.sets.get_set(kitchen).walk == (1, 3, 2)
        assert names(order()) == ["Third", "Giver", "Taker"]
        assert '<details id="walk" open>' in page.html

    def test_the_order_that_was_dragged_is_kept(self, kitchen, post, stores, order):
        post(f"/sets/{kitchen}/order", {"walk": "3-2-1"})
        assert stores.sets.get_set(kitchen).walk == (3, 2, 1)
        assert names(order()) == ["Third", "Giver", "Taker"]

    @pytest.mark.parametrize(
        "form", [{"walk": "3-2"}, {"walk": "1-1-2"}, {"move": "9-up"}, {"move": "1-side"}, {}]
    )
    def test_what_is_no_order_of_the_heads_is_refused(self, kitchen, post, stores, form):
        assert post(f"/sets/{kitchen}/order", form).status == 422
        assert stores.sets.get_set(kitchen).walk == ()

    def test_an_order_that_another_one_gave_meanwhile_is_not_lost(self, kitchen, post, stores):
        seen = stores.sets.get_set(kitchen).revision
        stores.sets.by("Bo").update_set(kitchen, walk=[2, 1, 3])
        page = post(f"/sets/{kitchen}/order", {"walk": "3-2-1", "revision": seen})
        assert page.status == 409 and "Bo" in page.text
        assert stores.sets.get_set(kitchen).walk == (2, 1, 3)


class TestCutsAtHand:
    def test_what_came_down_is_used_again_after_the_tick_too(
        self, kitchen, tick, order, get, stores, at_hand
    ):
        tick(2)
        assert at_hand() == [("CTB 1/2", "Giver")]
        assert "½ CTB that hung on Giver" in order().text
        assert "½ CTB used again from Giver" in get(f"/sets/{kitchen}/pulls").text
        tick(1, "CTB 1/2")
        assert stores.sets.get_source(1).source.work.reused == ["CTB 1/2"]
        assert at_hand() == []

    def test_a_tick_that_is_undone_leaves_nothing_at_hand(self, kitchen, tick, stores, at_hand):
        tick(2)
        stores.sets.undo(stores.sets.history(kitchen)[-1].id)
        assert at_hand() == []

    def test_what_is_left_over_goes_back(self, kitchen, tick, order, stores):
        stores.sets.delete_source(1)
        assert "Back once down: ½ CTB." in order().text, "it hangs still"
        tick(2)
        assert "Back to the truck: ½ CTB." in order().text

    def test_all_ticks_cut_what_the_list_promised(self, app, kitchen, tick, stores):
        cut = []
        with app.test_request_context():
            promised = {
                g.name: g.to_cut for g in order_of(stores.sets.get_set(kitchen)).pulls.gels if g.to_cut
            }
        for _ in range(3):
            with app.test_request_context():
                one = order_of(stores.sets.get_set(kitchen))
                task = next(s for s in one.order.tasks if s.moves and not s.waits_for)
                cut += [each.gel for each in task.hang if not each.reused]
                head = one.plan.heads[task.head]
                gels = (head.due.result if head.due else head.best).gels
                number = one.source(task).id
            tick(number, *gels)
            with app.test_request_context():
                left = [s for s in order_of(stores.sets.get_set(kitchen)).order.tasks if s.moves]
            stores.sets.update_set(kitchen, walk=[1, 2, 3])
        assert left == []
        assert cut == list(promised) == ["CTB full"]
