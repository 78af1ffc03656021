"""The reading pad: its form, and what it answers while somebody types; what it says is what comes of it."""

import re
from urllib.parse import urlencode

import pytest
from flask import render_template

from advisor.model import Reach, Reading, Setting, Stage
from advisor.web.forms.form import Form
from advisor.web.plans.kept import plan_for
from advisor.web.views.pad.answer import answer_of
from tests.web.page import beside, plain
from tests.web.working import CTO

CTB = ["CTB full"]


@pytest.fixture
def answer(get, sample):
    """Ask what a reading comes to."""
    return lambda number=1, **typed: get(f"/sources/{number}/pad?{urlencode(typed)}")


def first(page) -> str:
    """Return the words of a pad's answer: what to do, and how good that will be."""
    return re.sub(r"<[^>]+>", "", " ".join(re.findall(r"<p.*?</p>", page.html, re.S)))


def test_it_says_what_to_hang_and_keeps_nothing(answer, stores):
    before = stores.sets.get_set(1).revision
    page = answer(cct="5600", duv="0.0033")
    assert page.status == 200
    assert page.text.startswith("Stays bare")
    assert "<html" not in page.html and 'class="strip"' in page.html
    assert stores.sets.get_set(1).revision == before
    assert len(stores.sets.readings_of(1)) == 1


@pytest.mark.parametrize(
    ("number", "hung", "typed"),
    [
        (1, None, {"cct": "5600", "duv": "33"}),
        (1, None, {"cct": "9000", "duv": "0.004", "level": "50"}),
        (5, None, {"cct": "2700", "duv": "0", "modifier": "dish"}),
        (5, CTB, {"cct": "5500", "duv": "-4e-4", "behind": "hung", "hung": CTB[0]}),
        (5, CTB, {"cct": "4900", "duv": "0.004", "lux": "200", "behind": "hung", "hung": CTB[0]}),
        (5, CTB, {"cct": "3300", "duv": "0.001", "behind": "bare", "hung": CTB[0]}),
        (1, CTO, {"cct": "3650", "duv": "0.0036", "behind": "hung", "hung": CTO[0]}),
    ],
)
def test_it_says_what_is_said_once_it_is_kept(answer, act, app, post, stores, number, hung, typed):
    """A second reading: the first one behind what hangs is compared with what the earlier ones tell."""
    post(f"/sources/{number}/reading", {"cct": "6000", "duv": "0.002", "lux": "500"})
    if hung:
        act("hung", hung, number=number)
    asked = answer(number, **typed)
    post(f"/sources/{number}/reading", typed)
    assert len(stores.sets.readings_of(number)) == 3
    owner = stores.sets.get_set(1)
    with app.test_request_context():
        kept = answer_of(plan_for(owner), owner.index_of(number))
        told = plain(render_template("sources/pad_answer.html", answer=kept, form=Form()))
    assert kept.words and asked.html == told


def test_only_save_confirms(answer, act, stores):
    """It said “Confirmed: full CTB” of what stood in the field alone."""
    act("hung", CTB, number=5)
    page = answer(5, cct="5550", duv="0.003", behind="hung", hung=CTB[0])
    assert re.match(r"Hung full\sCTB. Save confirms it. ", page.text)
    assert "Confirmed" not in page.text
    assert stores.sets.get_source(5).source.work.stage is Stage.HUNG


def test_what_is_wrong_is_said_with_what_is_allowed(answer):
    told = first(answer(cct="56000", duv="0")).replace("\u202f", " ")
    assert told == "CCT 56000 is out of range. 1 000 to 25 000 K."
    assert "Duv 4 is out of range. −0.05" in first(answer(cct="5600", duv="4"))
    assert answer(cct="56000", duv="0").alerts == []
    assert re.findall('data-use="(.*?)" value="(.*?)"', answer(cct="56000", duv="4").html) == [
        ("cct", "5600"),
        ("duv", "0.004"),
        ("duv", "0.0004"),
    ]


def test_what_was_taken_off_meanwhile_is_said_before_it_is_saved(answer, act):
    act("hung", CTO)
    assert "hangs on it now" in answer(cct="4700", duv="0", behind="hung", hung="CTB full").text


def test_what_a_refused_form_says_is_not_said_once_more(answer, act, post):
    act("hung", ["CTO 1/4"])
    typed = {"cct": "4700", "duv": "0", "behind": "hung", "hung": "CTB full"}
    page = post("/sources/1/reading", typed)
    assert page.text.count("hangs on it now") == 1 and page.fields["told"] == "behind"
    assert "hangs on it now" not in answer(**typed, told="behind").text


def test_a_source_that_was_removed_has_no_answer(answer, stores):
    stores.sets.delete_source(1)
    assert answer(cct="5600", duv="0").status == 404


def test_it_answers_at_the_dials_that_are_set(answer, change, stores):
    dialled = Reading(cct=5600, duv=0.001, dial=Setting(cct=5600))
    change(3, reach=Reach(cct_from=2700, cct_to=6500), reading=dialled)
    assert answer(3, cct="5000", duv="0.001").text.startswith("Set 6")


class TestForm:
    def test_the_dials_begin_as_they_are_told_to_be_turned(self, sample, get, change):
        """Who sets them as advised and meters then says no more. At the old setting it taught nonsense."""
        read = Reading(cct=5600, duv=0.001, dial=Setting(cct=5600))
        change(3, reach=Reach(cct_from=2700, cct_to=6500), reading=read)
        page = get("/sources/3")
        told = re.search(r"Set ([\d\s]+)\sK", page.text)
        assert told and page.fields["dial_cct"] == re.sub(r"\D", "", told[1]) != "5600"
        assert f"Advised: {told[1]} K. Were at 5 600 K." in plain(page.text)

    def test_bare_or_behind_is_plain(self, sample, get, act):
        form = get("/sources/1").html.split('id="new-reading"')[1]
        assert '<p class="quiet">bare</p>' in form
        act("hung", CTO)
        page = get("/sources/1")
        assert page.choices["behind"] == ["hung", "bare"] and page.fields["behind"] == "hung"
        assert "With ¼ CTO" in page.html.split('id="new-reading"')[1]

    def test_the_keypad_leads_from_cct_to_duv(self, sample, get):
        form = get("/sources/1").html.split('id="new-reading"')[1]
        assert re.search(r'<input id="cct"[^>]*inputmode="decimal"', form)
        assert re.search(r'<input id="cct"[^>]*enterkeyhint="next"', form)
        assert re.search(r'<input id="duv"[^>]*enterkeyhint="done"', form)

    def test_what_is_folded_says_how_it_stands(self, sample, get, post):
        assert "Lux, level, modifier" in get("/sources/1").text
        post("/sources/1/reading", {"cct": "5600", "duv": "0", "level": "60", "modifier": "dish"})
        assert "Lux, level 60 %, dish" in get("/sources/1").text

    def test_refused_it_is_open_with_all_that_is_wrong_in_it(self, sample, post):
        page = post("/sources/1/reading", {"cct": "56000", "duv": "0", "level": "900", "behind": "hung"})
        before = page.html.split('<details id="new-reading" open>')[0]
        assert 'role="alert"' not in before
        page = post("/sources/1/reading", {"cct": "5600", "duv": "0", "level": "900"})
        assert "Dim level 900 is out of range" in beside(page, "level")
        assert "<details open><summary>Lux, level, modifier" in page.html

    def test_what_another_form_was_refused_for_is_not_in_it(self, sample, post):
        page = post("/sources/1/work", {"action": "dance", "revision": "9"})
        before, form = page.html.split('<details id="new-reading">')
        assert 'role="alert"' in before and 'role="alert"' not in form.split("</dialog>")[0]
