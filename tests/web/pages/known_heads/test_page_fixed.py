"""A finished test of an invented head corrected: each reading from its sheet, and from what was done."""

import re

import pytest

from tests.heads import keep_tested


def plain(text):
    return text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def tested(stores):
    return keep_tested(stores.heads)


def test_each_reading_on_the_sheet_can_be_fixed_and_the_sheet_comes_next(tested, stores, get, client):
    page = get("/tests/1/sheet")
    assert "Fix: 50 %, bare" in plain(page.text)
    assert re.findall(r'href="/tests/1\?at=(\d)&amp;fix=yes"', page.html) == ["0", "1", "2", "3"]
    form = get("/tests/1?at=1&fix=yes")
    assert "Fix 50 %, bare" in plain(form.text)
    assert (form.fields["cct"], form.fields["level"], form.fields["modifier"]) == ("5790", "50", "")
    answer = client.post("/tests/1?at=1&fix=yes", data={**form.fields, "cct": "5795"})
    assert answer.location == "/tests/1/sheet"
    read = stores.heads.get_test(1).readings
    assert (read[1].reading.cct, read[1].reading.lux, len(read)) == (5795, 1000, 4)


def test_what_is_asked_about_while_fixing_stays_a_fix(tested, post, stores):
    page = post("/tests/1?at=1&fix=yes", {"cct": "5790", "duv": "0.0150", "level": "50"})
    assert page.status == 422
    assert "Right as it is" in page.text
    assert "/tests/1?at=1&amp;fix=yes" in page.html
    assert stores.heads.get_test(1).readings[1].reading.duv == -0.0010


def test_a_reading_of_another_level_or_modifier_is_moved_there(tested, stores, post):
    post("/tests/1?at=1", {"cct": "5780", "duv": "-0.0010", "lux": "1000"})  # read twice
    post(
        "/tests/1?at=1&fix=yes",
        {"cct": "5780", "duv": "-0.0010", "lux": "1900", "modifier": "Dish", "sure": "yes"},
    )
    read = stores.heads.get_test(1).readings
    assert sorted(read) == [0, 2, 3, 4]
    assert (read[4].reading.level, read[4].reading.modifier, read[4].reading.cct) == (50, "Dish", 5780)


def test_a_reading_is_not_moved_over_another(tested, stores, post):
    page = post("/tests/1?at=1&fix=yes", {"cct": "5790", "duv": "-0.0010", "level": "10"})
    assert page.status == 422
    assert "10 %, bare is read already" in plain(page.text)
    assert sorted(stores.heads.get_test(1).readings) == [0, 1, 2, 3]


def test_what_was_done_says_what_was_read_and_where(tested, get):
    text = plain(get("/heads/1").text)
    assert "Reading taken: 50 %, bare: 5 790 K, Duv −0.0010, 1 000 lx" in text
    assert "Reading taken: 100 %, dish: 5 701 K, Duv +0.0007, 4 000 lx" in text


def lines(page):
    """Return what was done as the page lists it, with the button of each line."""
    done = page.html.partition('id="done"')[2].partition("</ul>")[0]
    said = [re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", one)) for one in done.split("<li>")[1:]]
    return [plain(one).strip() for one in said]


def test_an_undo_moves_no_line_and_can_be_taken_back_in_its_place(tested, stores, get, client):
    before = lines(get("/heads/1"))
    change = stores.heads.changes(1)[0].id
    answer = client.post(f"/head-changes/{change}/undo")
    assert answer.location == "/heads/1?done=yes#done"
    page = get(answer.location)
    assert '<details id="done" open>' in page.html
    after = lines(page)
    assert len(after) == len(before)
    assert after[1:] == before[1:]
    assert "Undone" in after[0] and "Bring back" in after[0]
    assert 3 not in stores.heads.get_test(1).readings
    (undo,) = re.findall(r"/head-changes/(\d+)/undo", page.html.partition('id="done"')[2])[:1]
    assert lines(get(client.post(f"/head-changes/{undo}/undo").location))[0] == before[0]
    assert 3 in stores.heads.get_test(1).readings


def test_a_reading_taken_twice_counts_once_in_the_list(tested, stores, post, get):
    assert "4 of 6 read" in plain(get("/heads").text)
    post("/tests/1?at=1", {"cct": "5780", "duv": "-0.0010", "lux": "1000"})
    assert "4 of 6 read" in plain(get("/heads").text)
    for step in (4, 5):
        post(f"/tests/1?at={step}", {"cct": "5700", "duv": "0.0007", "sure": "yes"})
    assert "6 readings" in plain(get("/heads").text)


def test_the_big_button_goes_on_with_a_test_that_was_interrupted(tested, stores, get, post):
    html = get("/heads/1").html
    assert re.search(r'class="button main" href="/tests/1">Go on testing', html)
    assert re.search(r'class="button" href="/heads/1/test">\s*Test it again', html)
    for step in (4, 5):
        post(f"/tests/1?at={step}", {"cct": "5700", "duv": "0.0007", "sure": "yes"})
    html = get("/heads/1").html
    assert "Go on testing" not in html
    assert re.search(r'class="button main" href="/heads/1/test">\s*Test it<', html)
