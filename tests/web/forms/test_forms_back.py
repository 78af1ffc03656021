"""Forms that come back: what is wrong is seen without unfolding anything, and told to a screen reader."""

import re
from html.parser import HTMLParser

import pytest

from tests.web.page import Page

SOURCE = {"name": "Neon", "kind": "unknown", "cct": "5600", "duv": "0.001", "shot": "yes", "role": "other"}
SET = {"name": "A", "target_cct": "5600", "target_locus": "daylight", "tolerance_steps": "3",
       "max_layers": "3"}  # fmt: skip


class Folded(HTMLParser):
    """What of a page lies in a closed `details`: the names of fields, and notes of what is wrong."""

    def __init__(self, page: Page) -> None:
        super().__init__()
        self.fields: set[str] = set()
        self.notes = 0
        self._open: list[bool] = []
        self.feed(page.html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if tag == "details":
            self._open.append("open" in found)
        if not all(self._open):
            self.notes += found.get("role") == "alert"
            self.fields |= {found["name"] or ""} if tag in ("input", "select") and "name" in found else set()

    def handle_endtag(self, tag: str) -> None:
        if tag == "details":
            self._open.pop()


@pytest.mark.parametrize(
    "wrong",
    [
        {"dial_green": "x"},
        {"ssi_reference": "x", "ssi": "50"},
        {"reach_green_from": "x"},
        {"reach_cct_step": "x"},
        {"reach_green_step": "x"},
        {"role": "lead"},
        {"over_key": "x"},
    ],
    ids=str,
)
def test_what_is_wrong_with_a_source_is_not_folded_away(sample, post, wrong):
    page = post("/sets/1/sources/new", SOURCE | wrong)
    assert page.status == 422
    assert page.alerts
    folded = Folded(page)
    assert folded.notes == 0
    assert not folded.fields & set(wrong)


def test_what_has_a_value_is_not_folded_away_either(sample, post, get):
    post("/sets/1/sources/new", SOURCE | {"role": "key", "dial_green": "1", "dial_cct": "5600"})
    folded = Folded(get("/sources/7/edit"))
    assert not folded.fields & {"role", "dial_green", "dial_cct"}
    assert folded.fields >= {"reach_cct_from", "ra", "x"}


@pytest.mark.parametrize(
    ("path", "typed", "field"),
    [
        ("/sets/1/sources/new", SOURCE | {"kind": "candle"}, "kind"),
        ("/sets/1/sources/new", SOURCE | {"role": "lead"}, "role"),
        ("/sets/1/edit", SET | {"target_locus": "none", "revision": "1"}, "target_locus"),
        ("/sources/1/use", {"use_level": "", "use_modifier": "with:" + "x" * 200, "revision": "1"},
         "use_modifier"),
    ],
)  # fmt: skip
def test_a_choice_that_is_wrong_is_marked_as_a_field_is(sample, post, path, typed, field):
    post("/sources/1/reading", {"cct": "5600", "duv": "0", "modifier": "grid"})
    page = post(path, typed)
    assert page.status == 422
    select = re.findall(rf'<select id="{field}"[^>]*>', page.html)[0]
    assert 'aria-invalid="true"' in select
    assert f'aria-describedby="{field}-note"' in select
    assert f'<div id="{field}-note">' in page.html


def test_only_the_first_wrong_field_takes_the_focus(sample, post):
    page = post("/sets/1/sources/new", {"name": "", "kind": "unknown", "cct": "x", "duv": "9"})
    assert len(page.alerts) >= 3
    assert page.html.count(" autofocus") == 1
    assert re.search(r'<input id="name"[^>]* autofocus', page.html)


def test_openings_say_what_belongs_to_no_field(sample, post):
    page = post("/sources/1/openings", {"width_0": "1", "height_0": "1", "revision": "x"})
    assert page.status == 422
    assert len(page.alerts) == 1


@pytest.mark.parametrize(
    ("path", "typed"),
    [
        ("/sources/1/use", {"use_level": "900", "revision": "9"}),
        ("/sources/1/work", {"action": "dance", "revision": "9"}),
    ],
)
def test_another_form_that_is_refused_leaves_the_new_reading_as_it_was(sample, get, post, path, typed):
    post("/sources/1/use", {"use_level": "80", "revision": "1"})
    assert get("/sources/1").fields["level"] == "80"
    page = post(path, typed)
    assert page.status == 422
    assert page.alerts
    assert page.fields["level"] == "80"
    folded = Folded(page)
    assert folded.notes == 0
    assert "cct" in folded.fields


def test_a_reading_that_is_refused_unfolds_its_own_form(sample, post):
    page = post("/sources/1/reading", {"cct": "56000", "duv": "0", "level": "50"})
    assert page.fields["level"] == "50"
    assert "cct" not in Folded(page).fields
