"""A gel table is looked at before it is imported: what changes, what is asked, what is mended."""

import re

import pytest

from tests.web.tables import filled, imported

PATH = "/gels/import"
TWO = "Gel,Mired,Sheets\n½ CTO,+81,4\nhalf straw,60,2\n"


def rows(stores):
    return {gel.name: gel for gel in stores.gels.in_force().table.rows}


def test_a_look_changes_nothing_and_says_what_would(post, stores, shipped_rows):
    page = post(PATH, {"text": TWO})
    assert page.status == 200
    assert page.heading == "2 gels read"
    assert "Nothing is changed yet." in page.text
    assert f"1 new, 1 changed, {len(shipped_rows) - 1} as before." in page.text.casefold()
    assert f"1 new, 1 changed, {len(shipped_rows) - 1} gone." in page.text.casefold()
    assert "80 mired → +81 mired" in page.text
    assert stores.gels.in_force().version == 0


@pytest.fixture
def shipped_rows(stores):
    return rows(stores)


def test_adding_leaves_all_that_the_table_does_not_say(post, stores, shipped_rows):
    imported(post, {"text": TWO}, do="add")
    now = rows(stores)
    assert set(now) == set(shipped_rows) | {"CTS 1/2"}
    was = shipped_rows["CTO 1/2"]
    assert (now["CTO 1/2"].mired, now["CTO 1/2"].stock) == (81, 4)
    assert now["CTO 1/2"].note == was.note
    assert now["CTB 1/4"] == shipped_rows["CTB 1/4"]


def test_replacing_leaves_only_what_the_table_says(post, stores):
    imported(post, {"text": TWO}, do="replace")
    assert list(rows(stores)) == ["CTO 1/2", "CTS 1/2"]


WRONG = "Gel,Mired,Sheets\n1/2 CTO,8O,4\nStraw full,60,2\n"


def test_a_wrong_cell_costs_its_row_alone(post, stores):
    page = post(PATH, {"text": WRONG})
    assert page.status == 422
    assert page.heading == "1 gel read, 1 row to fix"
    post(PATH, filled(page) | {"do": "replace"})
    assert list(rows(stores)) == ["CTS full"]


def test_a_cell_is_mended_in_place_or_with_one_tap(post, stores):
    page = post(PATH, {"text": WRONG})
    (tap,) = re.findall(r'name="mend" value="([^"]*)"', page.html)
    assert tap == "cell 1.1=80"
    for mended in ({"mend": tap}, {"cell 1.1": "80"}):
        look = post(PATH, filled(page) | mended)
        assert (look.status, look.heading) == (200, "2 gels read")
    post(PATH, filled(look) | {"do": "replace"})
    assert rows(stores)["CTO 1/2"].mired == 80


def test_what_was_mended_wrongly_is_told_again_and_never_left_out_unseen(post, stores):
    page = post(PATH, {"text": WRONG})
    look = post(PATH, filled(page) | {"cell 1.1": "many"})
    assert "'many' is not a number" in look.alerts[0]
    assert look.fields["cell 1.1"] == "many"
    assert stores.gels.in_force().version == 0


def test_a_sign_against_the_name_is_asked_about_and_may_stand(post, stores):
    page = post(PATH, {"text": "gel,mired\n1/4 CTO,-40\nStraw full,60\n"})
    assert "CTO 1/4 warms; -40 cools" in page.alerts[0]
    taps = dict(reversed(t) for t in re.findall(r'name="mend" value="([^"]*)">([^<]*)<', page.html))
    assert set(taps) == {"Use +40", "Keep -40"}
    turned = post(PATH, filled(page) | {"mend": taps["Use +40"]})
    assert turned.heading == "2 gels read"
    kept = post(PATH, filled(page) | {"mend": taps["Keep -40"]})
    assert kept.heading == "2 gels read"
    post(PATH, filled(kept) | {"do": "replace"})
    assert rows(stores)["CTO 1/4"].mired == -40


def test_another_answer_is_shown_before_it_is_taken(post, stores):
    page = post(PATH, {"text": "gel,mired,stock\n1/4 CTO,40,2 rolls\n"})
    answer = {"q rolls": "sheets", "do": "replace"}
    look = post(PATH, filled(page) | answer)
    assert stores.gels.in_force().version == 0
    post(PATH, filled(look) | {"do": "replace"})
    assert rows(stores)["CTO 1/4"].stock == 2


def test_a_column_is_what_somebody_says(post, stores):
    page = post(PATH, {"text": "gel,mired,first\n1/4 CTO,40,3\n1/2 CTO,80,5\n"})
    assert "Column 'first' is not known." in page.text
    look = post(PATH, filled(page) | {"q column 3": "stock"})
    post(PATH, filled(look) | {"do": "replace"})
    assert [gel.stock for gel in rows(stores).values()] == [3, 5]


def test_a_list_without_figures_has_those_of_the_table_in_force(post, stores, shipped_rows):
    imported(post, {"text": "On board:\n- 1/2 CTO x4\n- full CTB x2 (creased)\n- ND 0.6 x1\n"}, do="add")
    now = rows(stores)
    assert (now["CTO 1/2"].stock, now["CTB full"].stock, now["ND 0.6"].stock) == (4, 2, 1)
    assert now["CTO 1/2"].mired == shipped_rows["CTO 1/2"].mired
    assert now["CTB full"].note == "creased"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("gel,mired\n" + "x" * 20_001, "line 2 has 20 001 characters"),
        ("gel,mired\n" + "\n" * 20_001, "the text has 20003 lines"),
        ("gel,mired\n" + "".join(f"Hue{i} full,9\n" for i in range(501)), "more than 500 rows"),
    ],
)
def test_limits_are_told_at_once(post, text, says):
    page = post(PATH, {"text": text})
    assert page.status == 422
    assert says in page.alerts[0]
    assert "at most" in page.alerts[0]
