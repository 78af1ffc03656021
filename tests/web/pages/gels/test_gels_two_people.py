"""Two people at the gel table: nobody puts another table in the place of one that was not seen."""

import re

import pytest

from tests.web.pages.gels.test_page_gels import HEAD, ROW, gel_names
from tests.web.tables import filled, imported


@pytest.fixture
def shipped(stores):
    return gel_names(stores)


def test_two_who_change_the_table_lose_nothing(get, post, stores):
    seen = get("/gels/edit?name=CTO+1%2F4").fields
    post("/gels/switch", {"name": "CTB 1/4", "on": ""})
    page = post("/gels/edit?name=CTO+1%2F4", {**seen, "mired": "41", "note": "mine", "on": "yes"})
    assert page.status == 200
    rows = {g.name: g for g in stores.gels.in_force().table.rows}
    assert (rows["CTO 1/4"].mired, rows["CTO 1/4"].note) == (41, "mine")
    assert not rows["CTB 1/4"].on


def test_of_one_row_each_keeps_what_they_changed(get, post, stores):
    seen = {**get("/gels/edit?name=CTO+1%2F4").fields, "on": "yes"}
    post("/gels/edit?name=CTO+1%2F4", {**seen, "mired": "41", "known": "swatch"})
    assert post("/gels/edit?name=CTO+1%2F4", {**seen, "stock": "3"}).status == 200
    row = stores.gels.in_force().table.find("CTO 1/4")
    assert (row.mired, row.stock) == (41, 3)


def test_figures_that_both_changed_are_asked_about_with_the_name(client, get, post, stores):
    seen = {**get("/gels/edit?name=CTO+1%2F4").fields, "on": "yes"}
    client.set_cookie("who", "Mia")
    post("/gels/edit?name=CTO+1%2F4", {**seen, "mired": "41", "stock": "2"})
    client.set_cookie("who", "Bo")
    page = post("/gels/edit?name=CTO+1%2F4", {**seen, "mired": "43", "note": "mine"})
    assert page.status == 409
    assert "Mia changed “Figures” too" in page.alerts[0]
    assert "Keep Mia’s: Mired shift 41 Use mine: Mired shift 43" in page.alerts[0]
    assert (page.fields["mired"], page.fields["note"], page.fields["stock"]) == ("43", "mine", "2")
    mine = {**page.fields, "on": "yes", "pick_figures": "mine"}
    assert post("/gels/edit?name=CTO+1%2F4", mine).status == 200
    row = stores.gels.in_force().table.find("CTO 1/4")
    assert (row.mired, row.note, row.stock) == (43, "mine", 2)
    assert "Mia" in get("/gels").text


def test_a_new_row_joins_whatever_was_done_to_the_others(get, post, stores):
    seen = get("/gels/new").fields
    post("/gels/switch", {"name": "CTB 1/4", "on": ""})
    assert post("/gels/new", {**seen, **ROW, "family": "Straw", "fraction": "full"}).status == 200
    rows = {g.name: g for g in stores.gels.in_force().table.rows}
    assert "Straw full" in rows and not rows["CTB 1/4"].on


def test_undo_takes_back_only_what_was_seen(get, post, stores, shipped):
    post("/gels/remove", {"name": "CTO 1/4"})
    seen = get("/gels")
    post("/gels/switch", {"name": "CTB 1/4", "on": ""})
    forms = [f for f in re.findall(r"<form.*?</form>", seen.html, re.DOTALL) if "/gels/back" in f]
    assert len(forms) == 2
    for form in forms:
        page = post("/gels/back", dict(re.findall(r'name="(\w+)" value="([^"]*)"', form)))
        assert page.status == 409
        told = "Somebody changed the table meanwhile (¼ CTB not in use). Nothing was put back."
        assert told in page.alerts[0]
        assert stores.gels.in_force().version == 2
    post("/gels/back", {"version": "0", "seen": page.fields["seen"]})
    assert gel_names(stores) == shipped


def test_an_import_puts_nothing_in_the_place_of_a_table_that_was_not_seen(get, post, stores):
    seen = get("/gels/import").fields
    post("/gels/switch", {"name": "CTB 1/4", "on": ""})
    page = imported(post, {**seen, "text": HEAD + "Amber,full,90,,,,\n"})
    assert page.status == 409
    assert "(¼ CTB not in use). Nothing was imported." in page.alerts[0]
    assert stores.gels.in_force().version == 1
    assert post("/gels/import", filled(page) | {"do": "replace"}).status == 200
    assert gel_names(stores) == ["Amber full"]


def test_a_refused_import_still_knows_what_was_seen(get, post, stores):
    seen = get("/gels/import").fields
    post("/gels/switch", {"name": "CTB 1/4", "on": ""})
    page = post("/gels/import", {**seen, "text": HEAD + "Amber,full,900,,,,\n"})
    assert page.fields["version"] == "0"


@pytest.mark.parametrize("typed", ["x", "-1", "1.0", "9" * 16])
@pytest.mark.parametrize(
    ("path", "data", "field"),
    [
        ("/gels/edit?name=CTO+1%2F4", {**ROW, "fraction": "1/4"}, "version"),
        ("/gels/new", ROW, "version"),
        ("/gels/import", {"text": HEAD + "Amber,full,90,,,,\n"}, "version"),
        ("/gels/back", {"version": "0"}, "seen"),
    ],
)
def test_a_version_that_is_none_is_never_taken_for_one_that_was_seen(
    post, stores, shipped, path, data, field, typed
):
    page = post(path, {**data, field: typed})
    assert page.status == 422
    assert any("is not a version of the table" in alert for alert in page.alerts)
    assert gel_names(stores) == shipped
