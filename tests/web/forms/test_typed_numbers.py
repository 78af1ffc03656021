"""A Duv that is typed as its four places, which is how meters print it: common practice, no source."""

import re

import pytest

from advisor.model import Reading, Refused
from advisor.web.forms.form import Form
from advisor.web.forms.typed import PATTERN, likely_meant, places_read, written_out


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("85", "0.0085"),
        (" 85 ", "0.0085"),
        ("+85", "0.0085"),
        ("-85", "−0.0085"),
        ("−85", "−0.0085"),
        ("10", "0.0010"),
        ("500", "0.0500"),
        ("0085", "0.0085"),
        ("-0004", "−0.0004"),
    ],
)
def test_places_are_written_out(typed: str, read: str):
    assert places_read(typed) == written_out(typed) == read
    assert Reading(cct=5600, duv=written_out(typed)).duv == float(read.replace("−", "-"))


@pytest.mark.parametrize(
    "typed", ["", "0", "4", "-9", "501", "085", "8.5", "0.0085", "0,0085", "-0,0085", "8 5", "٨٥", "x"]
)
def test_everything_else_stays_as_it_was_typed(typed: str):
    assert places_read(typed) == ""
    assert written_out(typed) == typed


def test_all_that_is_read_so_is_in_the_range_of_a_duv():
    read = [text for n in range(10_000) for text in {str(n), f"{n:03}", f"{n:04}"} if places_read(text)]
    assert len(read) == 491 + 501  # 10 to 500, and 0000 to 0500 with their zeros
    assert {len(text) for text in read} == {2, 3, 4}
    assert all(Reading(cct=5600, duv=written_out(text)).duv <= 0.05 for text in read)


def test_a_browser_can_read_the_pattern():
    """It has no escape that only one of the two knows."""
    assert re.sub(r"\\d|\\-", "", PATTERN).count("\\") == 0


FIELD = re.compile(r'<output class="hint" for="(\w+)">(.*?)</output>')


def said(page, field: str) -> str:
    return dict(FIELD.findall(page.html))[field]


SOURCE = {"name": "Neon", "kind": "unknown", "cct": "5600"}
TEACH = {"name": "CTO 1/2", "kind": "tungsten", "cct": "5600", "gelled_cct": "4000"}
SET = {
    "name": "A",
    "target_cct": "5600",
    "target_locus": "daylight",
    "tolerance_steps": "3",
    "max_layers": "3",
}


@pytest.mark.parametrize(
    ("path", "typed", "field"),
    [
        ("/sources/1/reading", {"cct": "56000"}, "duv"),
        ("/sets/1/sources/new", SOURCE | {"name": ""}, "duv"),
        ("/sets/1/edit", SET | {"name": "", "revision": "1"}, "target_duv_offset"),
        ("/sets/1/edit", SET | {"name": "", "revision": "1"}, "meter_duv"),
        ("/gels/teach", TEACH | {"duv": "0", "cct": "x"}, "gelled_duv"),
    ],
)  # fmt: skip
def test_every_field_for_one_says_as_what_it_was_read(sample, post, path, typed, field):
    page = post(path, typed | {field: "85"})
    assert page.status == 422 and page.alerts
    assert not any("Duv" in alert for alert in page.alerts)
    assert page.fields[field] == "85"
    assert said(page, field) == "read as 0.0085"
    assert said(post(path, typed | {field: "0.0085"}), field) == ""


def test_the_quick_check_understands_it_too(get):
    page = get("/?cct=5600&duv=-85")
    assert said(page, "duv") == "read as −0.0085"
    assert "magenta" in page.text and not page.alerts


def test_what_is_kept_is_what_was_read(sample, post, stores):
    post("/sources/1/reading", {"cct": "5600", "duv": "-85"})
    assert stores.sets.get_source(1).source.reading.duv == -0.0085
    post("/sets/1/sources/new", SOURCE | {"duv": "0085"})
    assert stores.sets.get_source(7).source.reading.duv == 0.0085
    fields = SET | {"revision": str(stores.sets.get_set(1).revision)}
    post("/sets/1/edit", fields | {"target_duv_offset": "35", "meter_duv": "15"})
    now = stores.sets.get_set(1)
    assert (now.target.duv_offset, now.limits.accuracy.meter_duv) == (0.0035, 0.0015)


def test_of_a_single_digit_both_meanings_are_named(sample, post):
    page = post("/sources/1/reading", {"cct": "5600", "duv": "4"})
    assert "Duv 4 is out of range. 0.0004 or 0.004?" in " ".join(page.alerts)


@pytest.mark.parametrize(
    ("name", "typed", "offered"),
    [
        ("cct", "56", ["5 600 K", "17 857 K, from mired"]),
        ("cct", "5.6", ["5 600 K"]),
        ("target_cct", "560", ["5 600 K", "1 786 K, from mired"]),
        ("cct", "180", ["5 556 K, from mired", "18 000 K"]),
        ("cct", "56000", ["5 600 K"]),
        ("cct", "56OO", ["5 600 K"]),
        ("duv", "4", ["+0.0040", "+0.0004"]),
        ("duv", "−8.5", ["−0.0085"]),
        ("level", "0.5", ["50 %"]),
        ("use_level", "128", ["50 %, 128 of 255"]),
        ("lux", "12OO", ["1 200"]),
        ("lux", "1,2OO", ["1 200"]),
        ("lux", "1.2 klx", ["1 200"]),
        ("cct", "warm", []),
        ("lux", "-3", []),
        ("name", "5", []),
    ],
)
def test_what_a_refused_number_may_mean_is_offered(name: str, typed: str, offered: list[str]):
    """Common practice, no source: what slips when figures of a meter are typed."""
    found = likely_meant(name, typed)
    assert [one.words.replace("\N{NARROW NO-BREAK SPACE}", " ") for one in found] == offered
    values = [one.value.replace("−", "-") for one in found]
    if name == "cct":
        assert all(1000 <= Reading(cct=value, duv=0.0).cct <= 25_000 for value in values)
    if name == "duv":
        assert [Reading(cct=5600, duv=value).duv for value in values] == [float(value) for value in values]


def test_a_target_that_is_no_daylight_is_offered_as_planckian():
    """Daylight begins at 4 000 K (CIE 15:2018, 4.1.2); of 501 K nobody knows which white it is."""
    typed = Form({"target_cct": "3200", "target_locus": "daylight"})
    [offered] = typed.after(Refused.one("target", "3 200 K", "more")).likely("target_cct")
    assert (offered.field, offered.value) == ("target_locus", "planckian")
    assert offered.words.replace("\N{NARROW NO-BREAK SPACE}", " ") == "3 200 K Planckian"
    wrong = Form({"target_cct": "501", "target_locus": "daylight"}).after(Refused.one("target.cct", "", ""))
    assert [one.field for one in wrong.likely("target_cct")] == ["", ""]
