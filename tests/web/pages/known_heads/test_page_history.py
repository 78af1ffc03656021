"""How a head aged, on its page; the head and its tests are invented."""

import re

import pytest

from advisor.model import HeadTest
from tests.heads import PANEL, TEST, read


def plain(page):
    return page.text.replace("\xa0", " ").replace("\u202f", " ")


@pytest.fixture
def head(stores):
    return stores.heads.add_head(PANEL)


def keep(stores, head, at, test=TEST, **white):
    heads = stores.heads.by("Bo", at)
    heads.take_reading(heads.begin_test(head, test), read(test.levels[0], test.modifiers[0], **white))


def test_a_head_is_warmer_since_its_first_test(stores, get, head):
    keep(stores, head, "2024-03-03T10:00:00+00:00", cct=5813, duv=-0.0014)
    keep(stores, head, "2024-06-03T10:00:00+00:00", cct=5770, duv=-0.0012)
    keep(stores, head, "2024-11-20T10:00:00+00:00", cct=5733, duv=0.0004)
    page = get(f"/heads/{head}")
    assert "80 K lower, about half an eighth greener since 3 Mar 2024." in plain(page)
    assert "100 %, bare" in plain(page)
    assert 'aria-label="CCT over time, ' in page.html
    assert 'aria-label="Duv over time, ' in page.html
    assert "20 Nov 2024: 5 733 K, Duv +0.0004" in plain(page)
    assert page.html.count('class="read"') == 6
    # What it came to is in sight; the fold is closed on every head, so that a tap always opens it.
    assert "<details><summary>Over time: 100" in page.html


def test_a_head_that_holds_is_said_to(stores, get, head):
    keep(stores, head, "2024-03-03T10:00:00+00:00", cct=5813)
    keep(stores, head, "2024-06-03T10:00:00+00:00", cct=5810)
    assert "Reads the same since 3 Mar 2024." in plain(get(f"/heads/{head}"))


def test_of_one_test_the_history_is_folded(stores, get, head):
    keep(stores, head, "2024-03-03T10:00:00+00:00")
    page = get(f"/heads/{head}")
    assert "Read once so far." in page.text
    assert "<details><summary>Over time" in page.html


def test_a_test_with_another_modifier_alone_is_no_part_of_it(stores, get, head):
    keep(stores, head, "2024-03-03T10:00:00+00:00", HeadTest(levels=[100], modifiers=["dish"]), cct=5000)
    keep(stores, head, "2024-06-03T10:00:00+00:00", cct=5810)
    page = get(f"/heads/{head}")
    assert "Read once so far at 100 %, bare." in plain(page)
    assert "5 000" not in plain(page).partition("What was done")[0]


def test_a_head_that_was_never_read_has_no_history(stores, get, head):
    stores.heads.begin_test(head, TEST)
    assert "Over time" not in get(f"/heads/{head}").text


def test_two_tests_of_one_day_say_their_times(stores, get, head):
    keep(stores, head, "2024-03-03T10:00:00+00:00", cct=5813)
    keep(stores, head, "2024-03-03T15:30:00+00:00", cct=5700)
    keep(stores, head, "2024-06-03T10:00:00+00:00", cct=5650)
    said, _, over = plain(get(f"/heads/{head}")).partition("Over time")
    over = over.partition("Test it")[0]
    assert re.findall(r"(\d\d:\d\d)?,? ?(\d+ \w+ 2024): 5", over)[1:] == [
        ("15:30", "3 Mar 2024"),
        ("10:00", "3 Mar 2024"),
    ]
    assert "lower since 10:00, 3 Mar 2024." in said


def test_a_reading_kept_elsewhere_is_no_test_and_no_second_reading(stores, get, head):
    """Its one test read full; a set kept a reading at 85 %, of which the test knows nothing."""
    keep(stores, head, "2024-03-03T10:00:00+00:00", cct=5813)
    keep(stores, head, "2024-06-03T10:00:00+00:00", HeadTest(levels=[85], on_set="Night 4"), cct=5790)
    page = plain(get(f"/heads/{head}"))
    assert "1 test, 1 kept from a set" in page and "2 tests" not in page
    assert "Read once so far at 85 %, bare. Test it again" in page


def test_the_list_counts_what_all_tests_of_a_head_read(stores, get, head):
    for at, modifier in (("2024-03-03T10:00:00+00:00", ""), ("2024-03-03T11:00:00+00:00", "dish")):
        heads = stores.heads.by("Bo", at)
        test = heads.begin_test(head, HeadTest(levels=[100, 50], modifiers=[modifier]))
        for level in (100, 50):
            heads.take_reading(test, read(level, modifier))
    heads.take_reading(test, read(50, modifier, cct=5700))  # once more: it counts once
    assert "4 readings in 2 tests" in plain(get("/heads"))
    unfinished = stores.heads.by("Bo", "2024-03-04T11:00:00+00:00")
    unfinished.take_reading(unfinished.begin_test(head, TEST), read(100))
    assert "1 of 6 read, 5 readings in 3 tests" in plain(get("/heads"))


def test_a_head_ages_since_its_newest_lamp(stores, get, head):
    keep(stores, head, "2024-03-03T10:00:00+00:00", cct=5813)
    keep(stores, head, "2024-06-03T10:00:00+00:00", cct=5790)
    lamp = HeadTest(levels=[100], on_set="Loft", new_lamp=True)
    keep(stores, head, "2024-07-01T10:00:00+00:00", lamp, cct=5600)
    said, _, over = plain(get(f"/heads/{head}")).partition("Over time")
    assert "lower" not in said
    assert "New lamp since 10:00, 1 Jul 2024. Test it again to see how it ages." in said
    assert "1 Jul 2024: 5 600 K, Duv −0.0014, new lamp" in over
    assert "3 Mar 2024: 5 813 K" in over
    keep(stores, head, "2024-09-01T10:00:00+00:00", cct=5570)
    assert "30 K lower since 1 Jul 2024." in plain(get(f"/heads/{head}"))
