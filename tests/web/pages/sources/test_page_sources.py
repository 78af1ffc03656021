"""Heads: added, read again, changed, removed and brought back; stacks built by hand."""

import re

import pytest

from advisor.model import Reading, Source

NEW = {"name": "Desk lamp", "kind": "tungsten", "cct": "2900", "duv": "-0,0004", "lux": "", "note": ""}


@pytest.fixture
def add(post, sample):
    return lambda **changed: post(f"/sets/{sample}/sources/new", {**NEW, **changed})


def test_a_source_is_added_by_cct_and_duv(add, get):
    page = add()
    assert page.heading.startswith("Bakery")
    assert "7 Desk lamp" in page.text
    assert "Reads 2 900 K, Duv −0.0004" in get("/sources/7").text


def test_a_source_is_added_by_x_and_y(add, get):
    add(cct="", duv="", x="0,44757", y="0,40745")
    # Illuminant A: CIE 15:2018, table 3 and 2 856 K
    assert "Reads 2 856 K, Duv 0.0000" in get("/sources/7").text


@pytest.mark.parametrize("lux", ["1.200 lx", "1,200", "1 200 lux", "1200"])
def test_the_light_may_be_written_as_meters_write_it(add, stores, lux):
    add(lux=lux)
    assert stores.sets.get_set(1).sources[-1].source.reading.lux == 1200


def test_save_and_add_another_stays_at_the_form(add, post):
    page = add(another="yes")
    assert page.heading == "Add a source"
    assert page.fields["name"] == ""


def test_both_ways_to_give_a_colour_at_once_are_refused(add, stores):
    page = add(x="0.3", y="0.3")
    assert page.status == 422
    assert "more than one way" in page.alerts[0]
    assert (page.fields["cct"], page.fields["x"]) == ("2900", "0.3")
    assert len(stores.sets.get_set(1).sources) == 6


def test_a_name_that_is_taken_is_refused_with_a_free_one(add):
    page = add(name="BACKLIGHT")
    assert page.status == 422
    assert "'BACKLIGHT (2)'" in page.alerts[0]
    assert page.fields["name"] == "BACKLIGHT"


def test_a_head_shows_all_its_ranked_stacks(sample, get):
    page = get("/sources/6")
    assert page.heading == "Shelf lamps"
    numbered = len(re.findall(r'scope="rowgroup" colspan="3">(?:Hang|Stays)', page.html))
    assert numbered > 5 and numbered == page.html.count('class="gauge"')
    assert "more" in page.text


def test_the_next_source_is_asked_for_with_the_last_one_confirmed(sample, post):
    form = {"name": "Lantern", "kind": "unknown", "cct": "2400", "duv": "0", "another": "yes"}
    page = post("/sets/1/sources/new", form)
    assert page.heading == "Add a source" and page.fields["name"] == ""
    assert "Lantern is saved." in page.text and "/sets/1" in page.links
    page = post("/sets/1/sources/new", {**form, "cct": "abc"})
    assert page.heading == "Not saved: 1 thing to fix"


def test_a_new_reading_joins_the_earlier_ones(sample, get, post):
    page = post("/sources/1/reading", {"cct": "5600", "duv": "0,0033", "lux": "500"})
    assert "Reads 5 600 K, Duv +0.0033, 500 lx" in page.text
    assert "Stays bare" in page.text.split("New reading")[0]
    assert "2 readings" in page.text
    assert "7 200 K" in page.text


def test_a_wrong_reading_is_given_back(sample, post, stores):
    page = post("/sources/1/reading", {"cct": "56000", "duv": "0,0033", "lux": "5"})
    assert page.status == 422
    assert "CCT 56000 is out of range" in page.alerts[0]
    assert (page.fields["cct"], page.fields["duv"], page.fields["lux"]) == ("56000", "0,0033", "5")
    assert re.findall(r'data-use="cct" value="5600">Use 5\s600 K<', page.html)
    assert len(stores.sets.readings_of(1)) == 1


def test_the_page_of_a_refused_reading_can_be_opened_again(sample, get):
    assert get("/sources/1/reading").heading == "Shop window"


def test_a_stack_by_hand_is_asked_of_the_heads_own_page(sample, post):
    page = post("/sources/1/reading", {"cct": "", "duv": ""})
    assert 'action="/sources/1#by-hand"' in page.html


def test_a_reading_is_corrected(sample, get, post, stores):
    fields = get("/sources/5/edit").fields
    page = post("/sources/5/edit", {**fields, "cct": "3150"})
    assert "Reads 3 150 K, Duv −0.0003, 640 lx" in page.text
    assert [r.reading.cct for r in stores.sets.readings_of(5)] == [3190, 3150]


def test_saving_the_form_as_it_was_changes_nothing(sample, get, post, stores):
    before = stores.sets.get_source(5)
    shown = get("/sources/5/edit")
    post("/sources/5/edit", {**shown.fields, **dict(shown.ticked)})
    assert stores.sets.get_source(5) == before


def test_a_new_name_leaves_a_long_reading_as_it_is(sample, get, post, stores):
    reading = Reading(xy=(1 / 3, 0.3412345678901), lux=123456.789)
    source = stores.sets.add_source(sample, Source(name="Sky", reading=reading))
    fields = get(f"/sources/{source}/edit").fields
    assert fields["lux"] == "123456.789"
    post(f"/sources/{source}/edit", {**fields, "name": "Skylight"})
    now = stores.sets.get_source(source)
    assert (now.source.name, now.source.reading, now.readings) == ("Skylight", reading, 1)


def test_a_removed_source_can_be_brought_back_to_its_place(sample, get, post):
    order = ["Counter panel", "Oven room tubes", "Backlight"]
    page = post("/sources/4/delete")
    assert "The source is removed." in page.text
    assert "Bring back: Oven room tubes" in page.text
    assert 'href="/sources/4"' not in page.html.partition("<main")[2]
    page = post(next(p for p in page.posts if p.endswith("/restore")))
    places = [page.text.index(name) for name in order]
    assert places == sorted(places)


@pytest.mark.parametrize("path", ["/sources/4", "/sources/4/edit", "/sources/4?gel=CTO+1%2F4"])
def test_the_page_of_a_removed_source_leads_to_bringing_it_back(sample, get, post, path):
    post("/sources/4/delete")
    page = get(path)
    assert page.heading.startswith("Bakery")
    assert "/sources/4/restore" in page.posts


@pytest.mark.parametrize("path", ["/sources/4/edit", "/sources/4/reading"])
def test_a_removed_source_takes_no_change(sample, post, stores, path):
    post("/sources/4/delete")
    assert post(path, NEW).status == 404
    assert len(stores.sets.readings_of(4)) == 1


def test_nd_and_diffusion_hang_only_where_they_are_ticked(sample, get, post):
    assert "ND" not in get("/sets/1").text
    fields = get("/sources/5/edit").fields
    page = post("/sources/5/edit", {**fields, "keep": ["ND 0.3", "Diffusion full"]})
    assert "ND 0.3" in page.text.split("Now:")[0]
    assert "full diffusion" in page.text.split("Now:")[0]
    assert get("/sources/5/edit").ticked == {("keep", "ND 0.3"), ("keep", "Diffusion full")}


def test_a_gel_that_hangs_in_any_case_and_is_gone_is_named(sample, get, post):
    fields = get("/sources/5/edit").fields
    post("/sources/5/edit", {**fields, "keep": ["ND 0.3"]})
    post("/gels/remove", {"name": "ND 0.3"})
    page = get("/sets/1")
    assert page.status == 200
    assert [a for a in page.alerts if "'ND 0.3'" in a]
    assert page.html.count('class="strip"') == 5  # the others are advised on
    form = get("/sources/5/edit")
    assert ("keep", "ND 0.3") in form.ticked and "ND 0.3, not in the table now" in form.text
    assert post("/sources/5/edit", {**form.fields, **dict(form.ticked)}).alerts != []  # it stays ticked
    assert post("/sources/5/edit", form.fields).alerts == []


def test_a_stack_is_built_by_hand(sample, get):
    page = get("/sources/1?gel=CTO+1%2F4&gel=Minus+green+1%2F8&gel=&gel=")
    by_hand = page.text.split("What will it do")[1]
    assert by_hand.lstrip().startswith("Hang ¼ CTO and ⅛ minus green")
    assert "By the labels alone" in by_hand


def test_no_gel_by_hand_is_the_bare_source(sample, get):
    by_hand = get("/sources/1?gel=&gel=&gel=&gel=").text.split("What will it do")[1]
    assert by_hand.lstrip().startswith("Stays bare")


def test_an_unknown_gel_by_hand_is_named(sample, get):
    page = get("/sources/1?gel=Sunset+full")
    assert page.status == 200
    assert "'Sunset full'" in page.alerts[0]


def test_a_gel_that_is_off_may_hang_by_hand_but_is_not_ranked(sample, get, post):
    post("/gels/switch", {"name": "CTO 1/4", "on": ""})
    page = get("/sources/1?gel=CTO+1%2F4")
    assert page.text.split("What will it do")[1].lstrip().startswith("Hang ¼ CTO")
    assert "Hang ¼ CTO" not in page.text.split("Build a stack")[0]
