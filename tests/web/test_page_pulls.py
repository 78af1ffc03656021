"""The pull list on screen, for a spreadsheet and on paper; openings; sheet and roll sizes; feet."""

import csv
import io
import re

import pytest

from advisor.model import GelTable, Kind, LightSet, Limits, Opening, Reading, Source, Stage, Target, Work
from advisor.model.formats import EXAMPLE_SIZES
from advisor.model.units import FOOT, INCH

ONE_LAYER = Limits(max_layers=1)


@pytest.fixture
def stage(stores):
    """Keep a set of one backlight and one window, which take a full CTB and a quarter CTO."""
    return stores.sets.create_set(
        LightSet(
            name="Stage 4",
            target=Target(cct=5600),
            limits=ONE_LAYER,
            spare_percent=0,
            sources=[
                Source(name="Backlight", kind=Kind.TUNGSTEN, reading=Reading(cct=3200, duv=0)),
                Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=6800, duv=0.003)),
            ],
        )
    )


@pytest.fixture
def change(stores):
    """Change a source behind the page's back."""

    def update(source_id, **fields):
        now = stores.sets.get_source(source_id)
        stores.sets.update_source(source_id, now.source.model_copy(update=fields), revision=now.revision)

    return update


@pytest.fixture
def stock(stores):
    """Count the sheets of one gel."""

    def count(name, sheets):
        rows = stores.gels.in_force().table.rows
        counted = [g.model_copy(update={"stock": sheets}) if g.name == name else g for g in rows]
        stores.gels.replace(GelTable(rows=counted), "counted")

    return count


def panel(count=1):
    return [Opening(width=0.5, height=0.6, count=count)]


class TestList:
    def test_the_heading_is_what_to_pull(self, stage, get):
        assert get("/sets/1/pulls").heading == "Pull 2 sheets of 2 gels"

    def test_what_is_short_stands_in_it_with_what_the_stock_allows(self, stage, get, change, stock):
        change(1, openings=panel(3))
        stock("CTB full", 1)
        page = get("/sets/1/pulls?format=Sheet")
        assert page.heading == "Pull 4 sheets of 2 gels; full CTB is 2 short"
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
        assert "Backlight 2 × 0.9 m × 0.6 m, 2 panels each, 1 seam" in page.text
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

    def test_roll_is_said_to_the_inch(self, stage, client, get):
        client.set_cookie("length", "ft")
        assert get("/sets/1/pulls?format=Roll").heading == "Pull 2 rolls, for 7 ft 11 in, of 2 gels"

    def test_a_roll_is_not_held_against_sheets(self, stage, get, stock):
        stock("CTB full", 1)
        text = get("/sets/1/pulls?format=Roll").text
        assert "The truck's stock counts sheets, 1: cut from sheets to see whether it is enough." in text
        assert "The truck has 1 sheet." in get("/sets/1/pulls").text

    def test_a_format_that_is_gone_is_whichever_wastes_least(self, stage, get):
        page = get("/sets/1/pulls?format=Long+gone")
        assert (page.status, page.fields["format"]) == (200, "")

    def test_what_hangs_already_is_said_and_not_pulled(self, stage, get, change):
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]))
        page = get("/sets/1/pulls")
        assert page.heading == "Pull 1 sheet of 1 gel"
        assert "Full CTB: hangs already" in page.text
        assert page.text.index("¼ CTO:") < page.text.index("Full CTB:"), "what hangs comes last"
        assert page.html.count("☐") == 1, "what hangs has no box to tick"
        change(2, work=Work(stage=Stage.CONFIRMED, gels=["CTO 1/4"]))
        assert get("/sets/1/pulls").heading == "Nothing left to pull: it all hangs"

    def test_what_hangs_has_no_seams_to_tape_and_says_what_the_truck_has_left(
        self, stage, get, change, stock
    ):
        change(1, work=Work(stage=Stage.HUNG, gels=["CTB full"]), openings=[Opening(width=0.9, height=0.6)])
        stock("CTB full", 2)
        text = get("/sets/1/pulls?format=Sheet").text
        assert "to tape" not in text
        assert "The truck has 2 sheets: both hang." in text
        stock("CTB full", 5)
        assert "The truck has 5 sheets: 2 of them hang." in get("/sets/1/pulls?format=Sheet").text

    def test_rolls_are_counted_and_the_spare_that_makes_the_last_one_is_told(
        self, stage, get, change, stores
    ):
        change(1, openings=[Opening(width=1.5, height=2.0, count=3)])
        stores.sets.update_set(stage, spare_percent=10)
        page = get("/sets/1/pulls?format=Wide+roll")
        assert "Full CTB: 2 rolls, for 6.6 m" in page.text
        assert "3 cuts take 6 m alone, 1 roll; the spare makes the last one." in page.text

    def test_a_set_of_none_has_nothing_to_pull(self, post, get):
        post("/sets/new", {"name": "Stage 5", "target_cct": "5600", "target_locus": "daylight"})
        assert get("/sets/1/pulls").heading == "Nothing to pull: all stays bare"

    def test_a_source_without_a_plan_is_named(self, stage, get, change):
        change(1, keep=["Gone full"])
        assert "without a plan: Backlight" in get("/sets/1/pulls").text

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


class TestSpare:
    def send(self, post, page, value, path="/sets/1/spare"):
        return post(path, {"revision": page.fields["revision"], "spare_percent": value})

    def test_it_is_kept_and_counted(self, stage, get, post, stores):
        page = self.send(post, get("/sets/1/pulls"), "20")
        assert page.heading == "Pull 4 sheets of 2 gels"
        assert "1 cut takes 1 sheet; 2 pulled, 1 of them spare." in page.text
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
        assert [r["state"] for r in rows if r["row"] == "cut"] == ["to cut", "hangs"]
        assert [float(r["roll_m"]) for r in rows if r["row"] == "total"] == [1.2, 0]

    @pytest.mark.parametrize("sign", ["=", "+", "-", "@"])
    def test_a_name_that_a_spreadsheet_would_take_for_a_formula_is_text(self, stage, client, change, sign):
        change(1, name=f"{sign}1+1")
        names = [r["source"] for r in self.rows(client)]
        assert f"'{sign}1+1" in names

    def test_other_names_stay_as_they_are(self, stage, client, change):
        change(1, name='Ring, "big" – 2')
        assert 'Ring, "big" – 2' in [r["source"] for r in self.rows(client)]


class TestOpenings:
    PATH = "/sources/1/openings"

    def send(self, get, post, **rows):
        return post(self.PATH, {**get(self.PATH).fields, **rows})

    def test_rows_are_kept(self, stage, get, post, stores):
        assert get(self.PATH).heading == "Backlight: size not given"
        page = self.send(
            get, post, count_0="2", width_0="0,6", height_0="1.2", width_1="60 cm", height_1="24 in"
        )
        assert page.heading.startswith("Pull ")
        assert stores.sets.get_source(1).source.openings == [
            Opening(width=0.6, height=1.2, count=2),
            Opening(width=0.6, height=24 * INCH, count=1),
        ]
        assert get(self.PATH).heading == "Backlight: 3 openings to cover"

    @pytest.mark.parametrize(
        ("typed", "metres"),
        [
            ("0.6 m", 0.6),
            ("60 cm", 0.6),
            ("600mm", 0.6),
            ("1,250 mm", 1.25),
            ("2 ft", 2 * FOOT),
            ("2'", 2 * FOOT),
            ("24 in", 24 * INCH),
            ('24"', 24 * INCH),
            ("24 in.", 24 * INCH),
            ("2 ft 6 in", 30 * INCH),
            ("2ft 6", 30 * INCH),
            ("2'6\"", 30 * INCH),
            ("2′ 6½″", 30.5 * INCH),
            ("2 ft 6 1/2 in", 30.5 * INCH),
            ("2 1/2 ft", 30 * INCH),
            ("1/2 m", 0.5),
            ("2 ft 6.5 in", 30.5 * INCH),
        ],
    )
    def test_lengths_as_people_write_them(self, stage, get, post, stores, typed, metres):
        self.send(get, post, width_0=typed, height_0="1")
        [opening] = stores.sets.get_source(1).source.openings
        assert opening.width == pytest.approx(metres)

    @pytest.mark.parametrize(
        "typed",
        [
            "0 m",
            "400 m",
            "0",
            "400",
            "-1",
            "1312 ft",
            "0 in",
            "",
            "wide",
            "1 yd",
            "1 ft x",
            "1 ft 2 yd",
            "2 yd'",
            "1/0 m",
            "1e9",
        ],
    )
    def test_what_cannot_be_is_refused_and_nothing_typed_is_lost(self, stage, get, post, stores, typed):
        page = self.send(get, post, count_0="2", width_0=typed, height_0="1.2", width_1="3", height_1="4 ft")
        assert page.status == 422
        assert len(page.alerts) == 1
        assert "0.01 to 50 m" in page.alerts[0]
        assert typed in page.alerts[0]
        sent = {"count_0": "2", "width_0": typed, "height_0": "1.2", "width_1": "3", "height_1": "4 ft"}
        assert sent.items() <= page.fields.items()
        assert stores.sets.get_source(1).source.openings == []

    @pytest.mark.parametrize("count", ["0", "501", "1.5", "many"])
    def test_a_count_that_cannot_be_is_refused_beside_its_field(self, stage, get, post, count):
        page = self.send(get, post, count_0=count, width_0="1", height_0="1")
        assert page.status == 422
        assert "1 to 500, whole numbers" in page.alerts[0]
        assert 'id="count_0-note"' in page.html

    def test_every_problem_is_told_at_once(self, stage, get, post):
        page = self.send(get, post, count_0="0", width_0="0", height_1="99")
        assert len(page.alerts) == 5  # the count, the width, a height and a width not given, a height of 99 m

    def test_an_emptied_row_is_taken_out(self, stage, get, post, change, stores):
        change(1, openings=[*panel(), Opening(width=1, height=2, count=3)])
        self.send(get, post, count_0="", width_0=" ", height_0="")
        assert stores.sets.get_source(1).source.openings == [Opening(width=1, height=2, count=3)]

    @pytest.mark.parametrize("unit", ["m", "ft"])
    def test_saving_the_form_as_it_was_changes_nothing(self, stage, client, get, post, change, stores, unit):
        client.set_cookie("length", unit)
        change(1, openings=[Opening(width=0.6123456, height=24 * INCH), Opening(width=1 / 3, height=1)])
        before = stores.sets.get_source(1)
        self.send(get, post)
        assert stores.sets.get_source(1) == before

    def test_twenty_rows_are_the_most(self, stage, get, change):
        change(1, openings=panel() * 20)
        assert "width_19" in get(self.PATH).fields
        assert "width_20" not in get(self.PATH).fields

    def test_two_who_change_them_lose_nothing(self, stage, get, post, change, stores):
        fields = get(self.PATH).fields
        change(1, openings=panel())
        page = post(self.PATH, {**fields, "width_0": "1", "height_0": "2"})
        assert page.status == 409
        assert "It now has 1 × 0.5 m × 0.6 m" in page.alerts[0]
        assert (page.fields["width_0"], page.fields["height_0"]) == ("1", "2")
        post(self.PATH, page.fields)
        assert stores.sets.get_source(1).source.openings == [Opening(width=1, height=2)]

    def test_a_source_that_was_removed_leads_to_its_set(self, stage, client, stores):
        stores.sets.delete_source(1)
        assert client.get(self.PATH).location == "/sets/1?removed=1"


class TestFormats:
    def test_they_start_with_examples(self, get):
        page = get("/formats")
        assert page.heading == "Gel is cut from 4 sizes"
        assert [page.fields[f"name_{i}"] for i in range(4)] == [f.name for f in EXAMPLE_SIZES.rows]
        assert "The sizes to start with are examples" in page.text

    def test_they_can_be_renamed_added_and_taken_out(self, stage, get, post):
        fields = {**get("/formats").fields, "name_0": "Offcut", "width_0": "30 cm", "length_0": "0.4"}
        fields |= {"name_1": "", "width_1": "", "length_1": ""}
        fields |= {"name_4": "Big roll", "form_4": "roll", "width_4": "5 ft", "length_4": "30"}
        page = post("/formats", fields)
        assert "The sizes are kept." in page.text
        assert [page.fields[f"name_{i}"] for i in range(4)] == ["Offcut", "Roll", "Wide roll", "Big roll"]
        assert (page.fields["width_0"], page.fields["form_3"], page.fields["width_3"]) == (
            "0.3",
            "roll",
            "1.52",
        )
        assert "Big roll" in get("/sets/1/pulls").choices["format"]

    def test_saving_the_form_as_it_was_changes_nothing(self, get, post, stores):
        post("/formats", get("/formats").fields)
        assert stores.choices.load("gel formats") == EXAMPLE_SIZES.model_dump_json()

    @pytest.mark.parametrize(
        ("field", "typed", "says", "allowed"),
        [
            ("width_0", "0 m", "Width 0 m is out of range", "0.1 to 10 m"),
            ("length_0", "400 m", "Length 400 m is out of range", "0.1 to 100 m"),
            ("name_0", "", "Name is empty", "1 to 80 characters"),
            ("name_0", "roll", "Roll stands here twice", "each name once"),
            ("form_0", "slab", "form 'slab' is not known", "sheet, roll"),
        ],
    )
    def test_what_cannot_be_is_refused(self, get, post, stores, field, typed, says, allowed):
        page = post("/formats", {**get("/formats").fields, field: typed})
        assert page.status == 422
        assert len(page.alerts) == 1
        assert says in page.alerts[0]
        assert allowed in page.alerts[0]
        assert stores.choices.load("gel formats") is None

    def test_none_at_all_is_refused(self, get, post):
        fields = {
            k: "" if k.startswith(("name", "width", "length")) else v
            for k, v in get("/formats").fields.items()
        }
        page = post("/formats", fields)
        assert page.status == 422
        assert "at least one sheet or roll" in page.alerts[0]

    def test_two_who_change_them_lose_nothing(self, get, post):
        fields = get("/formats").fields
        post("/formats", {**fields, "name_0": "Theirs"})
        page = post("/formats", {**fields, "name_0": "Mine"})
        assert page.status == 409
        assert "Theirs" in page.alerts[0]
        assert page.fields["name_0"] == "Mine"
        assert "Mine" in post("/formats", page.fields).fields.values()


class TestFeet:
    @pytest.fixture(autouse=True)
    def in_feet(self, client):
        client.set_cookie("length", "ft")

    def test_every_length_is_in_them(self, stage, get, change):
        change(1, openings=[Opening(width=2.5 * FOOT, height=2 * FOOT)])
        text = get("/sets/1/pulls?format=Sheet").text
        assert "1 × 2 ft 6 in × 2 ft" in text
        assert "1 ft 7⅝ in × 1 ft 11⅝ in" in text  # the sheet of 0.5 × 0.6 m
        assert not re.search(r"\d m\b", text)

    def test_a_bare_number_is_in_them(self, stage, post, get, stores):
        page = get("/sources/1/openings")
        post("/sources/1/openings", {**page.fields, "width_0": "2.5", "height_0": "6 in"})
        [opening] = stores.sets.get_source(1).source.openings
        assert (opening.width, opening.height) == (pytest.approx(2.5 * FOOT), pytest.approx(6 * INCH))
        assert get("/sources/1/openings").fields["width_0"] == "2 ft 6 in"

    def test_the_range_is_in_them(self, stage, post, get):
        page = post(
            "/sources/1/openings", {**get("/sources/1/openings").fields, "width_0": "0", "height_0": "1"}
        )
        assert "0.0328 to 164 ft" in page.alerts[0]

    def test_inches_never_come_to_twelve(self, stage, get, change):
        change(1, openings=[Opening(width=0.9143, height=0.304)])
        assert "1 × 3 ft × 1 ft" in get("/sets/1/pulls").text

    def test_the_choice_is_made_on_the_phones_own_page(self, get, post):
        assert 'value="ft" checked' in get("/look").html
        post("/look", {"length": "m"})
        assert 'value="m" checked' in get("/look").html
