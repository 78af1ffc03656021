"""A head's test from a table, lines or spectra; all invented."""

import pytest

from tests.heads import PANEL

TABLE = (
    "dim %,modifier,cct,duv,lux\n100,,5813,-0.0014,2000\n50,,5790,-0.001,1000\n100,dish,5701,0.0007,4000\n"
)
SPECTRA = "nm,100% bare,50% dish\n" + "\n".join(f"{nm},1,{nm / 780:.4f}" for nm in range(380, 785, 5))


@pytest.fixture
def head(stores):
    return stores.heads.add_head(PANEL)


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


def test_a_table_is_shown_before_it_is_kept(stores, post, head):
    page = post(f"/heads/{head}/paste", {"text": TABLE, "distance": "3"})
    assert "Understood: 3 readings. Nothing is kept yet." in plain(page)
    assert "100 %, dish: 5 701 K, Duv +0.0007, 4 000 lx" in plain(page)
    assert stores.heads.tests_of(head) == []


def test_a_table_is_kept_as_one_test_that_one_tap_takes_back(stores, post, head):
    page = post(
        f"/heads/{head}/paste", {"text": TABLE, "distance": "3", "meter": "the old one", "save": "yes"}
    )
    assert page.heading == "Panel 3"
    [test] = stores.heads.tests_of(head)
    assert (test.test.levels, test.test.modifiers, test.test.distance) == ([100, 50], ["", "dish"], 3)
    assert test.test.meter == "the old one"
    assert [test.readings[k].reading.lux for k in sorted(test.readings)] == [2000, 1000, 4000]
    change = stores.heads.changes(head)[0]
    post(f"/head-changes/{change.id}/undo")
    assert stores.heads.tests_of(head) == []


def test_lines_are_read(stores, post, head):
    post(f"/heads/{head}/paste", {"text": "100%: 5813 K -0.0014\n50% dish: 5790 -0.001", "save": "yes"})
    [test] = stores.heads.tests_of(head)
    assert [(t.reading.level, t.reading.modifier) for t in test.readings.values()] == [
        (100, ""),
        (50, "dish"),
    ]


def test_spectra_say_level_and_modifier_in_their_names(stores, post, head):
    page = post(f"/heads/{head}/paste", {"text": SPECTRA})
    assert "100 %, bare: " in plain(page)
    assert "50 %, dish: " in plain(page)
    post(f"/heads/{head}/paste", {"text": SPECTRA, "save": "yes"})
    [test] = stores.heads.tests_of(head)
    assert all(t.reading.spectrum for t in test.readings.values())


def test_a_row_without_a_level_is_named_and_left_out(post, head):
    page = post(f"/heads/{head}/paste", {"text": "dim %,cct,duv\n100,5813,-0.0014\n,5790,-0.001\n"})
    assert "Understood: 1 reading." in plain(page)
    assert "the row says no dim level" in page.text


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"text": "hello"}, ""),
        ({"text": ""}, ""),
        ({"text": TABLE, "distance": "far"}, "Distance"),
        ({"text": "dim %,cct,duv\n100,58130,-0.0014\n"}, "58130"),
    ],
)
def test_what_is_no_test_is_refused_and_kept_in_its_field(stores, post, head, typed, says):
    page = post(f"/heads/{head}/paste", {**typed, "save": "yes"})
    assert page.status == 422
    assert says in page.text
    assert typed["text"].strip() in page.html.replace("&#39;", "'")
    assert stores.heads.tests_of(head) == []


def test_dials_in_some_rows_alone_are_asked_for(post, head):
    text = "dim %,cct,duv,dial cct\n100,5813,-0.0014,5600\n50,5790,-0.001,\n"
    page = post(f"/heads/{head}/paste", {"text": text})
    assert page.status == 422
    assert "others do not" in page.text


def test_a_file_is_read(stores, post, head):
    post(f"/heads/{head}/paste", {"save": "yes", "text": ""}, file=TABLE.encode())
    assert len(stores.heads.tests_of(head)) == 1


def test_power_is_read_and_what_is_no_power_is_left_out_and_said(stores, post, head):
    text = "dim %,cct,duv,Power (W)\n100,5813,-0.0014,118.5\n50,5790,-0.001,1.2 kW\n10,5640,0.0031,lots\n"
    page = post(f"/heads/{head}/paste", {"text": text, "save": "yes"})
    [test] = stores.heads.tests_of(head)
    assert [test.readings[k].reading.watts for k in range(3)] == [118.5, 1200, None]
    assert "118.5 W" in plain(page)
    page = post(f"/heads/{head}/paste", {"text": text})
    assert "Duv −0.0010, 1 200 W" in plain(page).replace("\u202f", " ")
    assert "Power" in page.alerts[0] and "lots" in page.alerts[0] and "and is left out" in page.alerts[0]


@pytest.mark.parametrize(
    ("dials", "says"),
    [
        ("9000,0", "CCT on its dial 9 000 is beyond its dial range"),
        ("5600,1.5", "Green dial 1.5 is beyond its dial range"),
    ],
)
def test_dials_beyond_those_of_the_head_are_refused(stores, post, dials, says):
    post("/heads/new", {"name": "Tube", "reach_cct_from": "2700", "reach_cct_to": "6500"})
    text = f"dim %,cct,duv,dial cct,dial green\n100,5513,-0.0014,5600,0\n50,5490,-0.001,{dials}\n"
    page = post("/heads/1/paste", {"text": text, "save": "yes"})
    assert page.status == 422
    said = page.alerts[0].replace("\u202f", " ").replace("\xa0", " ")
    assert says in said
    assert "or change the head" in said
    assert page.fields["text"].strip() == text.strip()
    assert stores.heads.tests_of(1) == []


def test_the_meter_that_any_head_was_tested_with_last_is_proposed(stores, post, get, head):
    other = stores.heads.add_head(PANEL.model_copy(update={"name": "Panel 4"}))
    post(f"/heads/{head}/paste", {"text": TABLE, "meter": "the old one", "save": "yes"})
    post(f"/heads/{other}/paste", {"text": TABLE, "meter": "the new one", "save": "yes"})
    post(f"/heads/{other}/paste", {"text": TABLE, "meter": "", "save": "yes"})
    third = stores.heads.add_head(PANEL.model_copy(update={"name": "Panel 5"}))
    for page in (f"/heads/{head}/test", f"/heads/{third}/test", f"/heads/{third}/paste"):
        assert get(page).fields["meter"] == "the new one"


@pytest.mark.parametrize("first", ["100,5813,-0.0014", "100,58130,-0.0014"])
def test_what_is_left_out_says_its_line(post, head, first):
    text = f"dim %,cct,duv\n{first}\n50,5790,-0.001\n10,27550,0.001\n"
    page = post(f"/heads/{head}/paste", {"text": text})
    assert "Line 4: CCT 27550 is out of range" in plain(page).replace("\u202f", " ")
    assert ("Line 2: CCT 58130" in plain(page).replace("\u202f", " ")) == ("58130" in first)
