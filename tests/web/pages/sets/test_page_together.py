"""Heads that are seen together: ticked on Compare, matched on a page, planned at a tap and taken back."""

import pytest

from advisor.advice.next_plans.jointly import JointMatch
from advisor.model import Kind, LightSet, Opening, Reading, Role, Seen, Source, Stage, Target
from advisor.web.plans.onward.together import worst_said


def bulb(name, cct, duv, **fields):
    return Source(name=name, kind=Kind.TUNGSTEN, reading=Reading(cct=cct, duv=duv), **fields)


@pytest.fixture
def bar(stores):
    """A bar with two pendants in the frame and a panel."""
    pendants = [bulb(f"Pendant {k}", 2750.0 + 130 * k, 0.001 * k, role=Role.PRACTICAL) for k in (1, 2)]
    panel = Source(name="Panel", kind=Kind.LED_WHITE, reading=Reading(cct=4600, duv=0.002))
    return stores.sets.create_set(LightSet(name="Bar", target=Target(cct=3600), sources=[*pendants, panel]))


def test_compare_offers_the_heads_with_practicals_ticked(bar, get):
    page = get(f"/sets/{bar}/compare")
    assert "Match heads to each other" in page.text
    assert page.ticked == {("head", "1"), ("head", "2")}


def test_the_page_says_how_they_match_and_what_to_hang(bar, get):
    page = get(f"/sets/{bar}/together?head=1&head=2")
    assert page.status == 200
    assert page.heading == "Pendant 1 and Pendant 2, matched"
    assert "Worst two: " in page.text
    assert "Pendant 1 : Hang " in page.text or "Pendant 1: Hang " in page.text
    assert "Hot face" in page.text


@pytest.mark.parametrize(
    ("after", "seen", "said"),
    [
        (0.4, Seen.MATCHES, "Worst two: close if planned alone, matches together."),
        (1.2, Seen.CLOSE, "Worst two: close, nearer together than alone."),
        (2.0, Seen.CLOSE, "Worst two: close, together or alone."),
    ],
)
def test_whether_there_is_anything_to_gain_is_said(after, seen, said):
    """Less than a step apart nobody sees (CIE TN 001:2014, from memory)."""
    assert worst_said(JointMatch((), 2.5, after, (Seen.CLOSE, seen))) == said


def test_one_tap_plans_it_and_one_takes_it_back(bar, get, post, stores):
    before = stores.sets.get_set(bar)
    fields = {"head": ["1", "2"], "revision": str(before.revision)}
    page = post(f"/sets/{bar}/together", fields)
    assert page.status == 200
    works = [one.source.work for one in stores.sets.get_set(bar).sources]
    assert [work.stage for work in works[:2]] == [Stage.PLANNED] * 2
    assert works[0].gels and works[2] is None
    assert stores.sets.get_set(bar).target == before.target
    post(f"/sets/{bar}/plans/back", {"done": page.fields["done"]})
    assert stores.sets.get_set(bar).light_set == before.light_set


def test_whoever_comes_second_sees_it_as_it_is_now(bar, post, stores):
    first = stores.sets.get_set(bar)
    stores.sets.by("Bo").update_set(bar, target=Target(cct=4000))
    late = post(f"/sets/{bar}/together", {"head": ["1", "2"], "revision": str(first.revision)})
    assert late.status == 409
    assert "Bo changed this set meanwhile. Nothing was planned." in late.alerts[0]
    assert all(one.source.work is None for one in stores.sets.get_set(bar).sources)


@pytest.mark.parametrize(
    ("heads", "status"), [("head=1", 422), ("head=1&head=1", 422), ("head=1&head=99", 404)]
)
def test_what_is_no_pair_is_refused(bar, get, heads, status):
    assert get(f"/sets/{bar}/together?{heads}").status == status


def test_without_heads_it_leads_to_where_they_are_chosen(bar, get):
    assert "Match heads to each other" in get(f"/sets/{bar}/together").text


class TestSameGelOnWindows:
    @pytest.fixture
    def room(self, stores):
        """A room with two windows, the larger one wider than a roll, and a panel."""
        sizes = {"A": Opening(width=1.1, height=2.0), "B": Opening(width=2.0, height=3.0, count=2)}
        windows = [
            Source(
                name=f"Window {name}",
                kind=Kind.DAYLIGHT,
                reading=Reading(cct=6500.0 + 150 * k, duv=0.004),
                openings=[size],
            )
            for k, (name, size) in enumerate(sizes.items())
        ]
        panel = Source(name="Panel", kind=Kind.LED_WHITE, reading=Reading(cct=4600, duv=0.002))
        kept = LightSet(name="Room", target=Target(cct=5000), sources=[*windows, panel])
        return stores.sets.create_set(kept)

    def test_compare_offers_all_windows_ticked(self, room, get):
        page = get(f"/sets/{room}/compare")
        assert "Same gel on all windows" in page.text
        assert {("head", "1"), ("head", "2")} <= page.ticked

    def test_with_one_window_it_is_not_offered(self, bar, get):
        assert "Same gel on all windows" not in get(f"/sets/{bar}/compare").text

    def test_it_says_the_gel_and_the_seams_of_each_roll(self, room, get):
        page = get(f"/sets/{room}/together?alike=yes&head=1&head=2")
        assert page.heading.endswith("CTO on all")
        assert "with the same gel." in page.text or "or the same on all." in page.text
        # 1.2 m of roll covers 1.1 × 2 m in one piece; 2 × 3 m takes two widths of 1.2 or of 1.5 m a pane.
        assert "Window A Roll: in one piece Wide roll: in one piece" in page.text
        assert "Window B Roll: 4 panels, 2 seams Wide roll: 4 panels, 2 seams" in page.text

    def test_one_tap_plans_the_same_on_both(self, room, post, stores):
        before = stores.sets.get_set(room)
        fields = {"alike": "yes", "head": ["1", "2"], "revision": str(before.revision)}
        page = post(f"/sets/{room}/together", fields)
        first, second = (one.source.work for one in stores.sets.get_set(room).sources[:2])
        assert first.gels and first.gels == second.gels
        assert stores.sets.get_set(room).sources[2].source.work is None
        post(f"/sets/{room}/plans/back", {"done": page.fields["done"]})
        assert stores.sets.get_set(room).light_set == before.light_set
