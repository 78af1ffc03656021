"""Times as a crew reads them: in the laptop's own zone, named once on paper; files keep UTC."""

import re
import time
from datetime import datetime

import pytest

from advisor.web.wording import values

AT = "2026-03-05T22:41:07+00:00"


@pytest.fixture(params=[("UTC0", "UTC", "22:41, 5 Mar"), ("XXX-1", "UTC+1", "23:41, 5 Mar"),
                        ("XXX-5:30", "UTC+5:30", "04:11, 6 Mar"), ("XXX9", "UTC−9", "13:41, 5 Mar")],
                ids=lambda param: param[1])  # fmt: skip
def zone(request, monkeypatch):
    """The laptop in a zone: its name, and what `AT` is there."""
    monkeypatch.setenv("TZ", request.param[0])
    time.tzset()
    yield request.param[1:]
    monkeypatch.undo()
    time.tzset()


def test_a_time_is_the_laptops_own(zone):
    name, said = zone
    assert values.zone() == name
    assert values.when_said(AT, year=True) == f"{said} 2026"
    assert values.when(AT, year=True) == f'<time datetime="{AT}" data-year>{said} 2026</time>'


def test_what_came_in_late_says_when_it_was_taken_and_the_day_once(zone):
    late = re.sub("<[^>]+>", "", values.when_late("2026-03-05T21:31:00+00:00", "2026-03-05T22:29:00+00:00"))
    hours = {"UTC": ("21:31", "22:29, 5 Mar"), "UTC+1": ("22:31", "23:29, 5 Mar")}
    hours |= {"UTC+5:30": ("03:01", "03:59, 6 Mar"), "UTC−9": ("12:31", "13:29, 5 Mar")}
    taken, sent = hours[zone[0]]
    year = "" if datetime.now().year == 2026 else " 2026"
    assert late == f"taken {taken}, sent {sent}{year}"


def test_what_came_in_on_another_day_says_both():
    late = values.when_late("2026-03-04T21:31:00+00:00", "2026-03-05T22:29:00+00:00")
    assert len(re.findall(r"\d\d:\d\d, \d Mar", late)) == 2


def test_the_year_is_said_unless_it_is_this_one():
    now = datetime.now().year
    assert values.when_said(f"{now}-07-01T12:00:00+00:00").endswith(" Jul")
    assert values.when_said(f"{now - 1}-07-01T12:00:00+00:00").endswith(f" Jul {now - 1}")


@pytest.mark.parametrize("path", ["/sets/1/sheet", "/sets/1/record"])
def test_paper_and_record_name_the_zone_once(sample, get, zone, path):
    page = get(path)
    assert page.text.count("Times: ") == 1
    assert f"Times: {zone[0]}." in page.text
    assert page.html.count("<time datetime=") >= 2


def test_no_page_says_utc_beside_each_time(sample, post, get):
    post("/gels/switch", {"name": "CTO 1/4"})
    post("/gels/switch", {"name": "CTO 1/2"})
    for path in ("/gels", "/sets/1/pulls"):
        page = get(path)
        assert not re.search(r"\d UTC", page.text)
        assert "<time datetime=" in page.html


def test_files_keep_utc(sample, client):
    text = client.get("/sets/1/export.json").text
    assert re.search(r"\d\d:\d\d:\d\d(\.\d+)?Z", text)
