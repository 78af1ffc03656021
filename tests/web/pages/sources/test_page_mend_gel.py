"""A reading is mended where it stands: the gel that really hung, or none."""

import re

import pytest

from advisor.model import Stage
from tests.advice.lamps import read as meter
from tests.web.mending import LAMP, REALLY, SAID, ids, told


class TestWrongGel:
    @pytest.fixture
    def odd(self, hang, metered):
        hang(SAID)
        return metered(REALLY)

    def gel(self, page):
        """The form of the likeliest tap."""
        return {"of": SAID, "instead": REALLY, "hung": SAID}

    def test_the_page_asks_leaves_it_out_and_offers_both_with_a_tap(self, odd):
        assert "Check the gel: it reads like ½ CTB, not full CTB." in odd.text
        assert "daylight moved" not in odd.text and not re.search(r'class="main">It (was|is)\s', odd.html)
        assert "Left out until the gel is checked." in odd.text
        assert odd.text.index("It is full CTB") < odd.text.index("It was ½ CTB")
        assert "from these readings" not in odd.text

    def test_one_tap_files_it_behind_the_true_gel_and_says_what_to_swap(self, odd, post, stores):
        before = len(stores.sets.history(1))
        page = post("/sources/1/gel", self.gel(odd))
        assert len(stores.sets.history(1)) == before + 1
        found = stores.sets.get_source(1).source
        assert (found.work.stage, found.work.gels) == (Stage.HUNG, [REALLY])
        assert found.work.read_behind == found.readings[-1] and found.work.read_behind.gels == [REALLY]
        assert [(gels, counts) for _, gels, counts in told(stores, 1)[-2:]] == [
            ([SAID], False),
            ([REALLY], True),
        ]
        assert "3 readings, 1 fixed" in page.text and "struck out" not in page.text.split("Readings")[0]
        assert "Check the gel" not in page.text and "Left out" not in page.text
        assert "as predicted, and" in page.text and "Hung ½ CTB" in page.text
        assert re.search(r"Was behind full CTB\. Fixed \d\d:\d\d", page.text)

    def test_the_wrong_gel_spoils_nothing_after(self, odd, hang, metered, post, get, stores):
        """The list is as if the gel had been said right from the start."""
        post("/sources/1/gel", self.gel(odd))
        mended = get("/sources/1")
        for reading in [r for r in stores.sets.readings_of(1) if r.reading.gels and not r.struck]:
            stores.sets.strike(reading.id)
        hang(REALLY)
        right = metered(REALLY)
        assert re.findall(r'<span class="what">[^<]*', mended.html) == re.findall(
            r'<span class="what">[^<]*', right.html
        )

    def test_undo_brings_back_what_hung_and_what_was_read(self, odd, post, get, stores):
        before = stores.sets.get_source(1).source
        page = post("/sources/1/gel", self.gel(odd))
        change = stores.sets.history(1)[-1].id
        assert f"/changes/{change}/undo" in page.html
        post(f"/changes/{change}/undo", {"from": "head"})
        assert stores.sets.get_source(1).source == before
        assert "Check the gel" in get("/sources/1").text

    def test_all_that_was_read_behind_the_sheet_goes_along(self, odd, metered, post, stores):
        metered(REALLY)
        post("/sources/1/gel", self.gel(odd))
        assert [gels for _, gels, counts in told(stores, 1) if counts and gels] == [[REALLY], [REALLY]]

    def test_one_filed_as_bare_before_it_hung_waits_and_goes_along(self, lamp, hang, metered, post, stores):
        """Who moves a reading from bare to behind the gel says where the meter was, and looks at no sheet."""
        true = stores.sets.get_source(1).source.reading
        read = meter(LAMP, [REALLY])
        post(
            "/sources/1/reading", {"cct": f"{read.cct - 20:.0f}", "duv": f"{read.duv:.4f}", "behind": "bare"}
        )
        early = ids(stores, 1)[-1]
        post(f"/readings/{early}/mend", {"layers": "1", "behind": "hung", "read_behind": [SAID, "", ""]})
        hang(SAID)
        metered(REALLY)
        page = post("/sources/1/gel", {"of": SAID, "instead": REALLY, "hung": SAID})
        assert [gels for _, gels, counts in told(stores, 1) if counts and gels] == [[REALLY], [REALLY]]
        assert "left out" not in page.text and stores.sets.get_source(1).source.reading == true

    def test_what_was_read_behind_another_sheet_of_that_name_stays(self, hang, metered, post, stores):
        hang(SAID)
        metered(SAID)
        hang("CTB 1/4")
        hang(SAID)
        metered(REALLY)
        post("/sources/1/gel", {"of": SAID, "instead": REALLY, "hung": SAID})
        assert [gels for _, gels, counts in told(stores, 1) if counts and gels] == [[SAID], [REALLY]]

    def test_of_two_sheets_of_one_name_the_last_hung_is_not_up_and_what_was_read_before_stays(
        self, hang, metered, post, stores
    ):
        """Somebody else’s reading behind ¼ CTB and one ⅛ minus green became one behind ¼ CTB alone."""
        one, two = ("CTB 1/4", "Minus green 1/8"), ("CTB 1/8", "Minus green 1/8", "Minus green 1/8")
        hang(*one)
        metered(*one)
        hang(*two)
        page = metered("CTB 1/8", "Minus green 1/8")
        assert re.search(
            r"The reading of \d\d:\d\d goes to the one that really hung\. Older ones stay", page.text
        )
        post("/sources/1/gel", {"of": two[1], "instead": "none", "hung": "; ".join(two)})
        behind = [(gels, counts) for _, gels, counts in told(stores, 1) if gels]
        assert behind == [([*one], True), ([*two], False), ([*two[:2]], True)]

    def test_two_of_one_sheet_may_hang_where_one_of_it_was_said(self, hang, metered, get, post, stores):
        hang("CTB 1/8", "CTB 1/2")
        metered("CTB 1/8", "CTB 1/8")
        offered = get("/sources/1").html.split('name="instead"')[1].split("</select>")[0]
        assert 'value="CTB 1/8"' in offered
        post("/sources/1/gel", {"of": "CTB 1/2", "instead": "CTB 1/8", "hung": "CTB 1/8; CTB 1/2"})
        assert sorted(stores.sets.get_source(1).source.work.gels) == ["CTB 1/8", "CTB 1/8"]

    def test_read_behind_another_stack_with_that_sheet_it_stays(self, hang, metered, post, stores):
        hang(SAID, "Plus green 1/8")
        metered(SAID, "Plus green 1/8")
        hang(SAID, "Plus green 1/4")
        metered(REALLY, "Plus green 1/4")
        page = metered(REALLY, "Plus green 1/4")
        assert re.search(r"2 readings, since \d\d:\d\d, go to the one that really hung", page.text)
        post("/sources/1/gel", {"of": SAID, "instead": REALLY, "hung": f"{SAID}; Plus green 1/4"})
        assert [gels[0] for _, gels, counts in told(stores, 1) if gels and counts] == [SAID, REALLY, REALLY]

    def test_it_is_what_it_says_makes_it_count_with_nothing_more_to_see(self, odd, post, stores):
        page = post("/sources/1/gel", {"of": SAID, "instead": SAID, "hung": SAID})
        assert "Left out" not in page.text and "Check the gel" not in page.text
        assert stores.sets.get_source(1).source.work.read_behind.gels_checked
        assert "Gel checked" in page.text
        assert "3 readings" in page.text and "struck out" not in page.text

    def test_another_one_can_be_chosen(self, odd, post, stores):
        assert "Another gel hung" in odd.text
        post("/sources/1/gel", {"of": SAID, "instead": "CTB 1/4", "hung": SAID})
        assert stores.sets.get_source(1).source.work.gels == ["CTB 1/4"]

    def test_it_may_not_be_up_at_all_and_is_still_to_be_hung(self, odd, post, stores):
        """What was read was the bare head, and the plan stands."""
        assert "Nothing, it is not up" in odd.text
        page = post("/sources/1/gel", self.gel(odd) | {"instead": "none"})
        source = stores.sets.get_source(1).source
        assert (source.work.stage, source.work.gels) == (Stage.PLANNED, [SAID])
        assert source.work.read_behind is None and source.work.predicted is not None
        assert source.reading.gels == [] and not source.reading.gels_checked
        assert [(gels, counts) for _, gels, counts in told(stores, 1)[-2:]] == [([SAID], False), ([], True)]
        assert post("/sources/1/gel", self.gel(odd) | {"instead": "none"}).status == 200, "a second tap"
        assert page.status == 200 and ">Hung</button>" in page.html

    def test_of_a_stack_one_sheet_is_not_up_and_the_other_stays(self, hang, metered, post, stores):
        hang(SAID, "Plus green 1/8")
        metered("Plus green 1/8")
        post("/sources/1/gel", {"of": SAID, "instead": "none", "hung": f"{SAID}; Plus green 1/8"})
        work = stores.sets.get_source(1).source.work
        assert (work.stage, work.gels) == (Stage.HUNG, ["Plus green 1/8"])
        assert work.read_behind.gels == ["Plus green 1/8"] and work.read_behind.gels_checked

    @pytest.mark.parametrize(
        ("fields", "says"),
        [
            ({"instead": ""}, "nothing was chosen"),
            ({"instead": "CTB 7/8"}, "no gel is called"),
            ({"of": "CTO 1/4"}, "hangs on it now"),
            ({"hung": "CTO 1/4"}, "hangs on it now"),
        ],
    )
    def test_what_cannot_be_is_refused_and_changes_nothing(self, odd, post, stores, fields, says):
        before = stores.sets.get_source(1)
        page = post("/sources/1/gel", self.gel(odd) | fields)
        assert page.status == 422 and says in page.text
        assert stores.sets.get_source(1) == before

    def test_two_who_tap_it_do_it_once(self, odd, post, stores):
        for _ in range(2):
            page = post("/sources/1/gel", self.gel(odd))
            assert page.status == 200
        assert [c.what for c in stores.sets.history(1)].count("reading.mended") == 1

    def test_read_again_with_the_right_gel_the_odd_one_stays_out(self, odd, metered):
        page = metered(SAID)
        assert "1 reading left out until the gel is checked." in page.text

    def test_in_a_stack_one_sheet_is_exchanged(self, hang, metered, post, stores):
        hang(SAID, "Plus green 1/8")
        metered(REALLY, "Plus green 1/8")
        hung = f"{SAID}; Plus green 1/8"
        post("/sources/1/gel", {"of": SAID, "instead": REALLY, "hung": hung})
        work = stores.sets.get_source(1).source.work
        assert work.gels == work.read_behind.gels == [REALLY, "Plus green 1/8"]


class TestReadBare:
    def test_it_is_filed_as_bare_and_what_hangs_is_to_be_read(self, hang, metered, post, stores):
        hang(SAID)
        page = metered()
        assert "Is the gel on? It reads like the bare head." in page.text
        assert "It was read bare" in page.text and "The gel is on" in page.text
        page = post(f"/readings/{ids(stores, 1)[-1]}/mend", {"behind": "bare"})
        source = stores.sets.get_source(1).source
        assert source.work.read_behind is None and source.work.gels == [SAID]
        assert source.reading.gels == [] and round(source.reading.cct) == 3230
        assert "Meter it with the gel on" in page.text
