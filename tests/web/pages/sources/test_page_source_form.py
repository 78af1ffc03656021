"""The form of a source: what is typed there is kept, or given back beside what is wrong with it."""

import pytest

from tests.web.page import beside

BACKLIGHT = 5


@pytest.fixture
def source(stores):
    return lambda number=BACKLIGHT: stores.sets.get_source(number).source


def test_its_part_in_the_shot_is_kept(sample, get, post, source):
    part = {"role": "back", "over_key": "-1,5", "watts": "650 W", "tolerance_steps": "6"}
    fields = get("/sources/5/edit").fields | part
    post("/sources/5/edit", fields)
    now = source()
    assert (now.role.value, now.over_key, now.watts, now.tolerance_steps) == ("back", -1.5, 650, 6)
    assert (now.on_subject, now.lights_subject) == (None, False), "a back light, by its role"
    shown = get("/sources/5/edit")
    assert (shown.fields["over_key"], shown.fields["on_subject"]) == ("-1.5", "")
    for said, falls in (("yes", True), ("no", False), ("", None)):
        post("/sources/5/edit", get("/sources/5/edit").fields | {"on_subject": said})
        assert source().on_subject is falls
        assert get("/sources/5/edit").fields["on_subject"] == said


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("over_key", "11", "Stops over the key 11 is out of range"),
        ("over_key", "much", "is not a number"),
        ("watts", "0", "Power 0 is out of range"),
        ("tolerance_steps", "1/3 CTO", "&#39;1/3 CTO&#39; is not a gel fraction"),
        ("tolerance_steps", "three", "is not a number"),
        ("tolerance_steps", "0", "Tolerance 0 is out of range"),
        ("reach_cct_from", "9000", "the reach of CCT begins at"),
        ("reach_green_step", "0", "Step of green 0 is out of range"),
    ],
)
def test_what_is_wrong_stands_beside_its_field(shipped, get, post, stores, field, typed, says):
    before = stores.sets.get_source(3)
    page = post("/sources/3/edit", get("/sources/3/edit").fields | {field: typed})
    assert page.status == 422
    assert says in beside(page, field)
    assert page.fields[field] == typed
    assert stores.sets.get_source(3) == before


def test_a_reach_needs_both_ends(sample, get, post):
    page = post("/sources/3/edit", get("/sources/3/edit").fields | {"reach_cct_from": "2700"})
    assert page.status == 422
    said = beside(page, "reach_cct_to")
    assert "CCT to is empty" in said
    assert "the dial&#39;s highest CCT, 500 to 50 000 K" in said
    page = post("/sources/3/edit", get("/sources/3/edit").fields | {"reach_green_to": "10", "name": ""})
    assert "the dial&#39;s lowest CCT" in beside(page, "reach_cct_from")
    assert "Name is empty" in beside(page, "name")


def test_a_reach_is_taken_away_by_emptying_it(shipped, get, post, source):
    fields = get("/sources/3/edit").fields
    assert fields["reach_cct_from"] == "2700"
    post("/sources/3/edit", {k: "" if k.startswith("reach_") else v for k, v in fields.items()})
    assert source(3).reach is None


@pytest.mark.parametrize("number", range(1, 7))
def test_saving_the_form_as_it_was_changes_nothing(shipped, get, post, stores, number):
    before = stores.sets.get_source(number)
    shown = get(f"/sources/{number}/edit")
    post(f"/sources/{number}/edit", {**shown.fields, **dict(shown.ticked)})
    assert stores.sets.get_source(number) == before
