"""Which gels are on the truck: asked once, on one screen; and which of an answer's gels is still a guess."""

import re

import pytest

from advisor.model import GelTable, Known
from tests.web.page import beside
from tests.web.phones import host, joined, open_app
from tests.web.tables import imported
from tests.web.teaching import gel
from tests.web.truck import ASKS, WINDOW, chosen, number, stocked


class TestOffer:
    def test_the_first_page_offers_it_and_works_at_once(self, get):
        page = get("/")
        assert ASKS in page.text and "/gels/truck" in page.links
        assert page.fields["cct"] == ""
        answer = get(WINDOW)
        assert "Hang ¼ CTO" in answer.text and ASKS not in answer.text

    def test_skipping_it_is_remembered_and_changes_no_gel(self, get, post, stores):
        page = post("/gels/truck", {"skip": "yes"})
        assert page.status == 200 and page.fields["cct"] == ""  # the quick check
        assert ASKS not in page.text and ASKS not in get("/").text
        assert stores.gels.in_force().version == 0
        assert "/gels/truck" in get("/gels").links
        assert get("/gels/truck").heading == "Which gels are on the truck?"

    def test_saving_it_as_it_is_answers_it_without_an_entry(self, get, save, stores):
        assert save().status == 200
        assert stores.gels.in_force().version == 0
        assert ASKS not in get("/").text

    def test_who_changed_the_table_knows_it(self, get, post):
        post("/gels/switch", {"name": "CTO 1/4", "on": ""})
        assert ASKS not in get("/").text

    def test_it_can_be_skipped_the_first_time_and_left_later(self, get, post):
        assert 'name="skip"' in get("/gels/truck").html
        post("/gels/truck", {"skip": "yes"})
        again = get("/gels/truck")
        assert 'name="skip"' not in again.html and "Cancel" in again.text

    @pytest.mark.parametrize(("role", "offered"), [("change", True), ("meter", False), ("look", False)])
    def test_it_is_offered_to_those_who_may_change_gels(self, tmp_path, closing, role, offered):
        app = closing(open_app(tmp_path / "open"))
        host(app)
        assert (ASKS in joined(app, role).open("/").text) is offered


class TestSaving:
    def test_all_gels_are_on_one_screen(self, get, stores):
        page = get("/gels/truck")
        rows = stores.gels.in_force().table.rows
        assert [v for k, v in page.fields.items() if k.startswith("gel_")] == [g.name for g in rows]
        assert {v for name, v in page.ticked if name == "on"} == {g.name for g in rows if g.on}
        assert ("families", "CTO") in page.ticked and chosen(page) == ""

    def test_it_is_one_entry_of_the_history_and_one_undo(self, get, post, save, stores):
        page = save(without=["CTO 1/8", "ND 1.2"], also=["CTB 3/4"], stock={"CTB 1/2": "3", "CTO full": "0"})
        assert stores.gels.in_force().version == 1
        assert page.heading == "27 gels, 3 not in use"
        assert "Gels on the truck: 24 of 27. Undo" in page.text
        assert (gel(stores, "CTB 1/2").stock, gel(stores, "CTO full").stock) == (3, 0)
        assert [gel(stores, n).on for n in ("CTO 1/8", "CTB 3/4")] == [False, True]
        before = stores.gels.get(0).table
        undo = re.search(r'<form[^>]*class="undo">.*?</form>', page.html, re.DOTALL)[0]
        post("/gels/back", dict(re.findall(r'name="(\w+)" value="([^"]*)"', undo)))
        assert stores.gels.in_force().table == before

    def test_a_family_that_is_unticked_goes_with_all_of_it(self, get, save, stores):
        save(families=["CTB", "Plus green", "Minus green", "ND", "Diffusion"])
        assert not any(g.on for g in stores.gels.in_force().table.rows if g.family == "CTO")
        assert gel(stores, "CTB 1/4").on
        assert "Hang ¼ CTO" not in get(WINDOW).text
        page = get("/gels/truck")
        assert ("families", "CTO") not in page.ticked
        refused = save(families=[v for name, v in page.ticked if name == "families"] + ["CTO"])
        assert refused.status == 422 and "CTO is ticked, but no gel of it" in refused.alerts[0]
        assert save(families=["CTO"], also=["CTO 1/4"]).status == 200
        assert [g.name for g in stores.gels.in_force().table.rows if g.on] == ["CTO 1/4"]

    def test_a_family_of_which_everything_is_unticked_is_off(self, save, stores):
        save(without=["Diffusion 1/2", "Diffusion full"])
        assert not gel(stores, "Diffusion full").on

    def test_an_empty_stock_is_plenty(self, save, stores):
        save(stock={"CTO 1/2": "2"})
        save(stock={"CTO 1/2": " "})
        assert gel(stores, "CTO 1/2").stock is None

    def test_two_taps_are_one_entry(self, fill, post, stores):
        form = fill(without=["CTO 1/8"])
        for _ in range(2):
            assert post("/gels/truck", form).status == 200
        assert stores.gels.in_force().version == 1

    def test_what_is_wrong_is_said_beside_its_field_and_nothing_typed_is_lost(self, fill, post, stores):
        page = post(
            "/gels/truck",
            fill(
                without=["CTO 1/8"],
                stock={"CTB 1/2": "some", "ND 0.3": "4"},
                mired={"CTB 1/4": "5600"},
                series="stronger",
            ),
        )
        assert page.status == 422 and page.heading == "Not saved: 2 things to fix"
        assert "Stock" in beside(page, f"stock_{number(page, 'CTB 1/2')}")
        assert "out of range" in beside(page, f"mired_{number(page, 'CTB 1/4')}")
        assert len(page.alerts) == 2 and page.html.count(" autofocus") == 1
        assert page.fields[f"stock_{number(page, 'CTB 1/2')}"] == "some"
        assert page.fields[f"stock_{number(page, 'ND 0.3')}"] == "4"
        assert ("book", "yes") in page.ticked and chosen(page) == "stronger"
        assert ("on", "CTO 1/8") not in page.ticked
        assert stores.gels.in_force().version == 0

    def test_two_people_lose_nothing(self, fill, post, stores):
        form = fill(stock={"ND 0.3": "4"})
        post("/gels/remove", {"name": "CTO 1/8"})
        assert post("/gels/truck", form).status == 200
        assert gel(stores, "ND 0.3").stock == 4
        assert "CTO 1/8" not in [g.name for g in stores.gels.in_force().table.rows]

    def test_each_keeps_what_they_changed_gel_by_gel(self, fill, post, stores):
        mine = fill(stock={"ND 0.3": "4"}, without=["CTB 1/8"], mired={"CTO 1/2": "82"})
        post("/gels/truck", fill(stock={"ND 0.6": "2"}, without=["CTO full"], series="lighter"))
        assert post("/gels/truck", mine).status == 200
        assert (gel(stores, "ND 0.3").stock, gel(stores, "ND 0.6").stock) == (4, 2)
        assert [gel(stores, n).on for n in ("CTO full", "CTB 1/8", "CTB 1/4")] == [False, False, True]
        assert gel(stores, "CTO 1/2").mired == 82

    def test_sheets_that_both_counted_are_asked_about_by_name(self, fill, post, stores):
        mine = fill(stock={"ND 0.3": "4", "ND 0.6": "1"})
        stores.gels.by("Mia").replace(
            stocked(stores, "ND 0.3", 5), "gels on the truck", stores.gels.in_force().version
        )
        page = post("/gels/truck", mine)
        assert page.status == 409
        assert "Mia changed “Sheets of ND 0.3” too" in page.alerts[0]
        assert "Keep Mia’s: 5 Use mine: 4" in page.alerts[0]
        unit = page.fields["asked"]
        ticks = {n: sorted(v for k, v in page.ticked if k == n) for n in ("families", "on")}
        form = {**page.fields, **ticks, "series": "", f"pick_{unit}": "theirs"}
        assert post("/gels/truck", form).status == 200
        assert (gel(stores, "ND 0.3").stock, gel(stores, "ND 0.6").stock) == (5, 1)

    def test_a_row_that_was_taught_meanwhile_is_not_overwritten_by_a_book(self, fill, post, stores):
        mine = fill(mired={"CTO 1/2": "81"})
        rows = [
            g.model_copy(update={"mired": 88.0, "known": Known.TAUGHT}) if g.name == "CTO 1/2" else g
            for g in stores.gels.in_force().table.rows
        ]
        stores.gels.by("Mia").replace(GelTable(rows=rows), "half CTO taught")
        page = post("/gels/truck", mine)
        assert page.status == 409 and "Mia changed “Figures of ½ CTO” too" in page.alerts[0]
        assert "88 mired" in page.alerts[0] and "Use mine: 81 mired" in page.alerts[0]
        assert gel(stores, "CTO 1/2").mired == 88

    def test_what_is_refused_is_merged_too(self, fill, post, stores):
        form = fill(stock={"ND 0.3": "four"})
        post("/gels/remove", {"name": "CTO 1/8"})
        page = post("/gels/truck", form)
        assert page.status == 422
        place = f"stock_{number(page, 'ND 0.3')}"
        assert page.fields[place] == "four"
        ticks = {n: sorted(v for k, v in page.ticked if k == n) for n in ("families", "on")}
        assert post("/gels/truck", {**page.fields, **ticks, "series": "", place: "4"}).status == 200
        assert gel(stores, "ND 0.3").stock == 4

    def test_a_table_of_ones_own_is_asked_for_as_it_is(self, get, post, save, stores):
        text = "family,fraction,mired,cc,stops,stock,note\nMoss,full,30,-4,,,\nND,0.3,0,0,1,2,\n"
        imported(post, {"text": text})
        page = get("/gels/truck")
        assert 'name="series"' not in page.html
        assert [k for k in page.fields if k.startswith(("mired_", "cc_"))] == ["cc_0", "mired_0"]
        save(mired={"Moss full": "33"}, cc={"Moss full": "-3"})
        moss = gel(stores, "Moss full")
        assert (moss.mired, moss.cc, moss.known) == (33, -3, Known.SWATCH)


class TestGuess:
    def test_an_answer_says_which_gel_is_a_guess_with_one_tap_to_teach_it(self, get):
        page = get(WINDOW)
        assert "Your ¼ CTO is a guess: teach it, or say which series." in page.text
        assert "/gels/teach?name=CTO+1/4" in page.links and "/gels/truck#series" in page.links
        assert get("/gels/teach?name=CTO+1/4").heading == "Teach ¼ CTO"

    def test_once_the_series_is_said_it_is_only_to_be_taught(self, get, save):
        save(series="lighter")
        page = get(WINDOW)
        assert "Your ¼ CTO is a guess: teach it." in page.text
        assert "series" not in page.text

    def test_what_is_known_better_is_no_guess(self, get, save):
        save(mired={"CTO 1/4": "41"})
        page = get(WINDOW)
        assert "Hang ¼ CTO" in page.text and "a guess" not in page.text

    def test_where_nothing_or_only_nd_hangs_nothing_is_guessed(self, get):
        page = get("/?cct=5600&duv=0.003&kind=daylight")
        assert "Stays bare" in page.text and "a guess" not in page.text

    def test_of_two_gels_the_one_of_the_greater_doubt_is_named(self, get, save):
        """A quarter CTB and ⅛ minus green: 12 % of 35 mired are more to see than 12 % of 3.5 CC."""
        page = get("/?cct=4750&duv=0.0075&kind=daylight")
        assert re.search(r"Hang \S+ CTB and \S+ minus green", page.text)
        assert re.search(r"CTB is a guess: teach it\.", page.text)
        save(mired={f"CTB {fraction}": str(size) for fraction, size in (("1/8", 18), ("1/4", 35))})
        page = get("/?cct=4750&duv=0.0075&kind=daylight")
        assert re.search(r"minus green is a guess: teach it\.", page.text)

    def test_a_head_leads_to_the_lesson_with_its_own_reading(self, sample, get):
        page = get("/sources/1")
        assert "is a guess" in page.text
        [link] = [link for link in page.links if link.startswith("/gels/teach?name=")]
        assert "source=1" in link
        assert get(link).text.count("Bare: Shop window") == 1

    def test_a_head_that_was_read_behind_its_gel_rests_on_no_label(self, act, read, get):
        act("hung", ["CTO 1/4"])
        assert "a guess" in get("/sources/1").text
        read("5600", "0.0033", behind="hung")
        assert "a guess" not in get("/sources/1").text

    def test_the_rows_of_a_set_do_not_say_it(self, sample, get):
        assert "a guess" not in get("/sets/1").text

    def test_who_may_not_teach_is_told_it_without_the_tap(self, tmp_path, closing):
        app = closing(open_app(tmp_path / "open"))
        host(app)
        page = joined(app, "look").open(WINDOW)
        assert "Your ¼ CTO is a guess." in page.text
        assert not [link for link in page.links if "teach" in link]


@pytest.mark.parametrize("page", ["/gels/teach", "/sources/1"])
def test_where_gels_are_chosen_those_that_are_not_on_the_truck_are_marked_and_last(
    sample, get, save, stores, page
):
    save(without=["CTO 1/4"], stock={"CTB 1/2": "0"})
    select = re.split(r'<select id="(?:gel0|name)"', get(page).html)[1].split("</select>")[0]
    words = [" ".join(said.split()) for said in re.findall(r">([^<]+)</option>", select)]
    for name in ("¼ CTO", "½ CTB", "¾ CTO"):
        assert f"{name}, not on the truck" in words and name not in words
    marked = ["not on the truck" in said for said in words]
    assert marked == sorted(marked) and "½ CTO" in words
