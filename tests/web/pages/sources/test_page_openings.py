"""What gel has to cover, and the sizes that it is cut from; both in metres or in feet."""

import re

import pytest

from advisor.model import Opening
from advisor.model.gels.formats import EXAMPLE_SIZES
from tests.web.pulling import panel

FOOT = 0.3048
"""[m]"""
INCH = 0.0254
"""[m]"""


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
            Opening(width=0.6, height=0.6096, count=1),
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
        assert (
            "Keep theirs: Count 1, Width 0.5, Height 0.6 Use mine: Count empty, Width 1, Height 2"
            in page.alerts[0]
        )
        assert (page.fields["width_0"], page.fields["height_0"]) == ("1", "2")
        post(self.PATH, {**page.fields, "pick_opening_0": "mine"})
        assert stores.sets.get_source(1).source.openings == [Opening(width=1, height=2)]

    def test_a_source_that_was_removed_leads_to_its_set(self, stage, client, stores):
        stores.sets.delete_source(1)
        assert client.get(self.PATH).location == "/sets/1?removed=1"


class TestFormats:
    def test_they_start_with_examples(self, get):
        page = get("/formats")
        assert page.heading == "Gel is cut from 4 sizes"
        assert [page.fields[f"name_{i}"] for i in range(4)] == [f.name for f in EXAMPLE_SIZES.rows]
        assert "These sizes are examples" in page.text

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
        assert "Mine" in post("/formats", {**page.fields, "pick_size_0": "mine"}).fields.values()


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
