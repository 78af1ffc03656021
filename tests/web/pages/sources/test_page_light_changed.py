"""A window whose light changed while gel hung on it: the page says so, and goes by what was read since."""

import re

from advisor.model import Stage
from tests.web.working import CTO, buttons


def test_two_readings_behind_one_stack_that_differ_are_two_lights(act, read, get, work):
    act("hung", CTO)
    predicted = work().predicted
    read(str(predicted.cct), str(predicted.duv), behind="hung", hung="CTO 1/4")
    page = read("8800", "0.004", behind="hung", hung="CTO 1/4")
    told = page.text.split("New reading")[0]
    assert re.search(r"The light changed between \d\d:\d\d and \d\d:\d\d, ", told)
    assert "The light changed: 8 800 K" in told
    assert "off its label" not in told and "as predicted, and" not in told
    assert "Teach ¼ CTO from these readings" not in buttons(page)
    assert "The light changed. Earlier readings no longer count." in get("/sources/1").text
    assert get("/sets/1").row(1).startswith("Needs you: ")


def test_after_a_new_bare_reading_it_is_to_be_metered_again(act, read, get, work):
    act("hung", CTO)
    predicted = work().predicted
    read(str(predicted.cct), str(predicted.duv), behind="hung", hung="CTO 1/4")
    assert work().stage is Stage.CONFIRMED
    page = read("9500", "0.004", behind="bare", hung="CTO 1/4")
    told = page.text.split("New reading")[0]
    assert "The light changed since it was read: meter it again" in told
    assert ", metered" not in told and "as predicted, and" not in told
    line = get("/sets/1").row(1)
    assert "meter it again" in line and ", metered" not in line


def test_daylight_drifts_and_no_gel_is_blamed(act, read, get):
    act("hung", CTO)
    page = read("4900", "0.0040", "700", behind="hung", hung="CTO 1/4")
    assert "off its label" not in page.text
