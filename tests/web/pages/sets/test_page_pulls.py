"""The pull list on screen, for a spreadsheet and on paper; how much more is pulled."""

import csv
import io
import re

import pytest

from advisor.model import (
    GelTable,
    Kind,
    LightSet,
    Opening,
    Predicted,
    Reading,
    Source,
    Stage,
    Target,
    Work,
)
from tests.web.pulling import panel


@pytest.fixture
def stock(stores):
    """Count the sheets of one gel."""

    def count(name, sheets):
        rows = stores.gels.in_force().table.rows
        counted = [g.model_copy(update={"stock": sheets}) if g.name == name else g for g in rows]
        stores.gels.replace(GelTable(rows=counted), "counted")

    return count


class TestList:
    def test_the_heading_is_what_to_pull(self, stage, get):
        assert get("/sets/1/pulls").heading == "Pull 2 sheets of 2 gels"

    def test_what_is_short_stands_in_it_with_what_the_stock_allows(self, stage, get, change, stock):
        change(1, openings=panel(3))
        stock("CTB full", 1)
        page = get("/sets/1/pulls?format=Sheet")
        assert page.heading == "Pull 4 sheets of 2 gels, full CTB is 2 short"
        assert "2 sheets short: the truck has 1." in page.text
        assert "Within the stock, instead" in page.text
        assert "Backlight: Hang" in page.text.split("Within the stock, instead")[1]

    def test_only_the_first_three_that_are_short_stand_in_it(self, sample, get, stores):
        rows = [g.model_copy(update={"stock": 1}) for g in stores.gels.in_force().table.rows]
        stores.gels.replace(GelTable(rows=rows), "counted")
        for i in range(1, 7):
            now = stores.sets.get_source(i)
            stores.sets.update_source(i, now.source.model_copy(update={"openings": panel(4)}))
        assert " more gels short" in get("/sets/1/pulls").heading

    def test_each_source_says_its_cuts_and_leads_to_its_openings(self, stage, get, change):
        change(1, openings=[Opening(width=0.9, height=0.6, count=2)])
        page = get("/sets/1/pulls?format=Sheet")
        assert "Backlight 2 × 90 cm × 60 cm, 2 panels each, 1 seam" in page.text
        assert "Window 1 cut, size not given" in page.text
        assert {"/sources/1/openings", "/sources/2/openings"} <= set(page.links)
        assert "2 seams to tape" in page.text

    def test_how_much_gel_goes_for_how_much_to_cover(self, stage, get, change):
        assert "to cover" not in get("/sets/1/pulls").text
        change(1, openings=panel(2))
        change(2, openings=panel(1))
        assert "0.9 m² of gel for 0.9 m² to cover." in get("/sets/1/pulls?format=Sheet").text

    def test_roll_is_said_in_metres(self, stage, get):
        page = get("/sets/1/pulls?format=Roll")
        assert page.heading == "Pull 2 rolls, for 2.4 m, of 2 gels"
        assert page.fields["format"] == "Roll"
        assert "Panels overlap by 2 cm." in page.text

    def test_roll_is_said_to_the_inch(self, stage, client, get):
        client.set_cookie("length", "ft")
        page = get("/sets/1/pulls?format=Roll")
        assert page.heading == "Pull 2 rolls, for 7 ft 11 in, of 2 gels"
        assert "Panels overlap by ¾ in." in page.text, "0.02 m is 0.79 in"

    def test_a_roll_is_not_held_against_sheets(self, stage, get, stock):
        stock("CTB full", 1)
        text = get("/sets/1/pulls?format=Roll").text
        assert "The truck has 1 sheet. Cut from sheets to see if that is enough." in text
        assert "The truck has 1 sheet." in get("/sets/1/pulls").text

    def test_a_format_that_is_gone_is_whichever_wastes_least(self, stage, get):
        page = get("/sets/1/pulls?format=Long+gone")
        assert (page.status, page.fields["format"]) == (200, "")

    def test_what_hangs_already_is_said_and_not_pulled(self, stage, get, change):
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]))
        page = get("/sets/1/pulls")
        assert page.heading == "Pull 1 sheet of 1 gel"
        assert "Full CTB: 1 sheet hangs already" in page.text
        assert "Full CTB 1 sheet hangs already 1 Backlight" in page.text, "it is the list to strike by"
        assert page.text.index("¼ CTO:") < page.text.index("Full CTB:"), "what hangs comes last"
        assert page.html.count("☐") == 1, "what hangs has no box to tick"
        change(2, work=Work(stage=Stage.CONFIRMED, gels=["CTO 1/4"]))
        assert get("/sets/1/pulls").heading == "Nothing left to pull: it all hangs"

    def test_a_swap_that_is_due_says_what_it_is_in_place_of(self, stage, get, change):
        reading = Reading(cct=4140, duv=0.0)
        predicted = Predicted(cct=4120, duv=0.0, lux=None, uncertainty_steps=1)
        half = Work(stage=Stage.HUNG, gels=["CTB 1/2"], predicted=predicted, read_behind=reading)
        change(1, work=half)
        page = get("/sets/1/pulls")
        assert "hangs already" not in page.text
        assert "Backlight in place of ½ CTB" in page.text

    def test_what_only_comes_off_is_said(self, stage, get, change, client):
        predicted = Predicted(cct=4752, duv=0.0029, lux=None, uncertainty_steps=1)
        found = Reading(cct=4752, duv=0.0029, gels=["CTO 1/4"])
        there = Reading(cct=5600, duv=0.0032)
        off = Work(stage=Stage.HUNG, gels=["CTO 1/4"], predicted=predicted, read_behind=found)
        change(2, reading=there, work=off)
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]))
        page = get("/sets/1/pulls")
        assert page.heading == "Nothing to pull: something comes off"
        assert "Comes off 2 Window: ¼ CTO." in page.text
        rows = list(csv.DictReader(io.StringIO(client.get("/sets/1/pulls.csv").text)))
        assert [(r["source"], r["gel"], r["layers"]) for r in rows if r["state"] == "to take off"] == [
            ("Window", "CTO 1/4", "1")
        ]

    def test_what_hangs_has_no_seams_to_tape_and_says_what_the_truck_has_left(
        self, stage, get, change, stock
    ):
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]), openings=[Opening(width=0.9, height=0.6)])
        stock("CTB full", 2)
        text = get("/sets/1/pulls?format=Sheet").text
        assert "to tape" not in text
        assert "1 cut hangs, from 2 of the truck’s 2 sheets." in text
        stock("CTB full", 5)
        assert "1 cut hangs, from 2 of the truck’s 5 sheets." in get("/sets/1/pulls?format=Sheet").text

    def test_cuts_that_hang_and_sheets_of_the_truck_are_told_apart(self, stage, get, change, stock):
        """Four cuts of unknown size cannot be from two sheets: then the count is old."""
        change(1, work=Work(stage=Stage.CONFIRMED, gels=["CTB full"] * 4))
        stock("CTB full", 2)
        text = get("/sets/1/pulls?format=Sheet").text
        assert "4 cuts hang, counted as 4 sheets. The truck’s count is 2 sheets: count again." in text
        small = Opening(width=0.2, height=0.2, count=4)
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]), openings=[small])
        assert "4 cuts hang, from 1 of the truck’s 2 sheets." in get("/sets/1/pulls?format=Sheet").text

    def test_of_several_sets_each_source_says_its_own(self, stage, get, stores):
        street = Source(name="Street lamp", kind=Kind.SODIUM, reading=Reading(cct=2040, duv=-0.001))
        other = LightSet(name="Stage 5", target=Target(cct=5600), sources=[street])
        stores.sets.create_set(other)
        stores.sets.add_source(1, street)
        assert "since gel can’t fix it: 3 Street lamp." in get("/sets/1/pulls").text
        text = get("/sets/1/pulls?also=2").text
        assert "since gel can’t fix it: 3 Street lamp (Stage 4), 1 Street lamp (Stage 5)." in text

    def test_rolls_are_counted_and_the_spare_that_makes_the_last_one_is_told(
        self, stage, get, change, stores
    ):
        change(1, openings=[Opening(width=1.5, height=2.0, count=3)])
        stores.sets.update_set(stage, spare_percent=10)
        page = get("/sets/1/pulls?format=Wide+roll")
        assert "Full CTB: 2 rolls, for 6.6 m" in page.text
        assert "3 cuts take 6 m alone, 1 roll. The rest is spare." in page.text

    def test_what_hangs_is_no_roll_any_more(self, stage, get, change):
        hung = Work(stage=Stage.HUNG, gels=["CTB full"])
        change(1, work=hung, openings=[Opening(width=1.5, height=2.0, count=3)])
        assert "Full CTB: 3 cuts hang already" in get("/sets/1/pulls?format=Wide+roll").text

    def test_a_set_of_none_has_nothing_to_pull(self, post, get):
        post("/sets/new", {"name": "Stage 5", "target_cct": "5600", "target_locus": "daylight"})
        assert get("/sets/1/pulls").heading == "Nothing to pull: all stays bare"

    def test_a_source_without_a_plan_is_named(self, stage, get, change):
        change(1, keep=["Gone full"])
        assert "without a plan: 1 Backlight" in get("/sets/1/pulls").text

    def test_two_sets_are_added_up(self, stage, sample, get, stores):
        alone = get("/sets/1/pulls")
        assert ("also", "2") not in alone.ticked
        page = get("/sets/1/pulls?also=2&also=2&also=1&also=99&also=x")
        assert ("also", "2") in page.ticked
        other = stores.sets.get_set(2)
        assert f"({other.name})" in page.text
        assert other.sources[0].source.name in page.text
        assert "/sets/1/pulls.csv?also=2" in page.links

    def test_a_set_that_is_not_there_is_not_found(self, get):
        assert get("/sets/9/pulls").status == 404
        assert get("/sets/9/pulls.csv").status == 404

    def test_paper_has_a_box_for_each_gel(self, stage, get):
        assert get("/sets/1/pulls").html.count("☐") == 2


class TestChecklist:
    def tick(self, page, post, place=0, value="yes"):
        line = re.findall(r'name="line" value="([^"]+)"', page.html)[place]
        return post("/sets/1/pulled", {"line": line, "pulled": value})

    def test_a_tap_pulls_a_line_for_all_phones_and_another_takes_it_back(self, stage, get, post, stores):
        page = get("/sets/1/pulls")
        assert "0 of 2 pulled" in page.text
        page = self.tick(page, post)
        assert "1 of 2 pulled" in page.text
        assert len(re.findall(r'<button[^>]* aria-pressed="true"', page.html)) == 1
        assert stores.sets.get_set(stage).pulled == ("CTO 1/4: 1 Sheet",)
        assert "0 of 2 pulled" in self.tick(page, post, value="").text
        assert stores.sets.get_set(stage).pulled == ()

    def test_it_is_on_the_record_and_can_be_undone(self, stage, get, post, stores):
        self.tick(get("/sets/1/pulls"), post)
        page = get("/sets/1/record")
        assert "pulled: ¼ CTO" in page.text
        post(next(action for action in page.posts if "/undo" in action), {"from": "record"})
        assert stores.sets.get_set(stage).pulled == ()

    def test_more_of_it_is_to_be_pulled_again(self, stage, get, post, change):
        self.tick(get("/sets/1/pulls?format=Sheet"), post, place=1)
        assert "1 of 2 pulled" in get("/sets/1/pulls?format=Sheet").text
        change(1, openings=panel(3))
        assert "0 of 2 pulled" in get("/sets/1/pulls?format=Sheet").text

    def test_what_hangs_is_no_line_to_tick(self, stage, get, change):
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]))
        assert "0 of 1 pulled" in get("/sets/1/pulls").text

    def test_a_line_that_is_none_is_refused(self, stage, post):
        assert post("/sets/1/pulled", {"line": "", "pulled": "yes"}).status == 422

    def test_sizes_that_are_missing_are_one_banner(self, stage, get, change):
        page = get("/sets/1/pulls")
        assert page.text.count("Sizes missing for 2 sources") == 1
        assert {"/sources/1/openings", "/sources/2/openings"} <= set(page.links)
        change(1, openings=panel())
        change(2, openings=panel())
        assert "Sizes missing" not in get("/sets/1/pulls").text


class TestSpare:
    def send(self, post, page, value, path="/sets/1/spare"):
        return post(path, {"revision": page.fields["revision"], "spare_percent": value})

    def test_it_is_kept_and_counted(self, stage, get, post, stores):
        page = self.send(post, get("/sets/1/pulls"), "20")
        # A fifth of two sheets is less than one: one sheet is spare over both gels.
        assert page.heading == "Pull 3 sheets of 2 gels"
        assert page.text.count("1 cut takes 1 sheet, 2 pulled, 1 of them spare.") == 1
        assert stores.sets.get_set(1).spare_percent == 20

    @pytest.mark.parametrize("typed", ["101", "-1", "a lot", ""])
    def test_what_cannot_be_is_refused_where_it_was_typed(self, stage, get, post, stores, typed):
        page = self.send(post, get("/sets/1/pulls"), typed)
        assert page.status == 422
        assert "0 to 100 %" in page.alerts[0]
        assert page.fields["spare_percent"] == typed
        assert stores.sets.get_set(1).spare_percent == 0

    def test_two_who_change_it_lose_nothing(self, stage, get, post, stores):
        page = get("/sets/1/pulls")
        self.send(post, page, "20")
        second = self.send(post, page, "30")
        assert second.status == 409
        assert "The spare is now 20 %" in second.alerts[0]
        assert second.fields["spare_percent"] == "30"
        self.send(post, second, "30")
        assert stores.sets.get_set(1).spare_percent == 30

    def test_what_was_asked_for_stays(self, stage, sample, get, client):
        page = get("/sets/1/pulls?also=2&format=Roll")
        action = next(a for a in page.posts if "/spare" in a)
        answer = client.post(
            action.replace("&amp;", "&"), data={"revision": page.fields["revision"], "spare_percent": "5"}
        )
        assert answer.location == "/sets/1/pulls?also=2&format=Roll"


class TestCsv:
    def rows(self, client, path="/sets/1/pulls.csv"):
        answer = client.get(path)
        assert answer.mimetype == "text/csv"
        assert "attachment" in answer.headers["Content-Disposition"]
        return list(csv.DictReader(io.StringIO(answer.get_data(as_text=True))))

    def test_a_row_a_cut_and_a_total_a_gel(self, stage, client, change, stock):
        change(1, openings=[Opening(width=0.9, height=0.6, count=2)])
        stock("CTB full", 3)
        rows = self.rows(client, "/sets/1/pulls.csv?format=Sheet")
        assert [(r["row"], r["gel"]) for r in rows] == [
            ("cut", "CTO 1/4"),
            ("total", "CTO 1/4"),
            ("cut", "CTB full"),
            ("total", "CTB full"),
        ]
        cut, total = rows[2:]
        assert (cut["set"], cut["source"], cut["state"]) == ("Stage 4", "Backlight", "to cut")
        assert (cut["openings"], cut["width_m"], cut["height_m"], cut["panels_each"]) == (
            "2",
            "0.9",
            "0.6",
            "2",
        )
        # Two of 0.5 × 0.6 m and two of 0.42 × 0.6 m, which do not lie beside each other.
        assert (total["sheets"], total["stock"], total["short"]) == ("4", "3", "1")

    def test_roll_and_what_hangs(self, stage, client, change):
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]))
        rows = self.rows(client, "/sets/1/pulls.csv?format=Roll")
        assert [r["state"] for r in rows if r["row"] == "cut"] == ["to cut", "hung"]
        assert [float(r["roll_m"]) for r in rows if r["row"] == "total"] == [1.2, 0]

    @pytest.mark.parametrize("sign", ["=", "+", "-", "@"])
    def test_a_name_that_a_spreadsheet_would_take_for_a_formula_is_text(self, stage, client, change, sign):
        change(1, name=f"{sign}1+1")
        names = [r["source"] for r in self.rows(client)]
        assert f"'{sign}1+1" in names

    def test_other_names_stay_as_they_are(self, stage, client, change):
        change(1, name='Ring, "big" – 2')
        assert 'Ring, "big" – 2' in [r["source"] for r in self.rows(client)]
