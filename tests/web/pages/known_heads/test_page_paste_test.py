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
