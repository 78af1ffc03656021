"""What goes wrong is told in words, on every page and in the API's shape."""

import re
import sqlite3
from html import unescape

import pytest

from advisor.model import Opening, WantedOffset
from advisor.store import StoreFault
from tests.web.page import Page


@pytest.mark.parametrize(
    "path",
    [
        "/nothing",
        "/sets/99",
        "/sets/99/edit",
        "/sets/99/paste",
        "/sources/99",
        "/sources/99/edit",
        "/sets/x",
        "/sets/" + "9" * 40,
    ],
)
def test_what_is_not_there_says_so_and_leads_back(get, path):
    page = get(path)
    assert page.status == 404
    assert page.heading == "There is no such page"
    assert "/sets" in page.links


@pytest.mark.parametrize(
    "path",
    ["/sets/99/edit", "/sets/99/delete", "/sets/99/restore", "/sets/99/sources/new", "/sources/99/edit",
     "/sources/99/reading", "/sources/99/delete", "/sources/99/restore", "/sources/" + "9" * 40 + "/restore"],
)  # fmt: skip
def test_a_form_to_what_is_not_there_says_so(post, path):
    good = {"name": "A", "cct": "5600", "duv": "0", "target_cct": "5600", "target_locus": "daylight"}
    assert post(path, good).status == 404


def test_a_wrong_kind_of_request_says_what_is_allowed(client):
    answer = client.get("/sample")
    assert answer.status_code == 405
    assert set(answer.allow) == {"POST", "OPTIONS"}
    assert Page(answer).heading == "This address does not take that kind of request"


@pytest.mark.parametrize(
    ("path", "page"),
    [
        ("/sources/2/aim", "/sets/1/compare"),
        ("/sources/2/use", "/sources/2"),
        ("/sources/2/kind", "/sources/2"),
        ("/sources/2/work", "/sources/2"),
        ("/sources/2/reading", "/sources/2"),
        ("/sets/1/exposure", "/sets/1/light"),
        ("/sets/1/spare", "/sets/1/pulls"),
        ("/sets/1/pulled", "/sets/1/pulls"),
        ("/sets/1/spare?also=2", "/sets/1/pulls?also=2"),
        ("/gels/back", "/gels"),
    ],
)
def test_what_shows_a_page_when_something_is_sent_leads_there_when_it_is_opened(sample, client, path, page):
    assert client.get(path).location == page


@pytest.mark.parametrize(
    ("path", "data", "typed"),
    [
        ("/sources/4/edit", {"name": "Tubes at the back", "cct": "4,200", "revision": "1"}, "4,200"),
        ("/sources/4/edit", {"name": "", "cct": "4 200 apples"}, "4 200 apples"),
        ("/sources/4/reading", {"cct": "4210", "duv": "0.008"}, "4210"),
        ("/sources/4/use", {"use_level": "45"}, "45"),
        ("/sources/4/aim", {"wanted": "shift", "mired": "66.9643"}, "66.9643"),
        ("/sources/4/openings", {"width_0": "1.25", "height_0": "2"}, "1.25"),
    ],
)
def test_who_writes_to_what_was_removed_gets_back_what_was_typed(sample, post, stores, path, data, typed):
    stores.sets.by("Mia").delete_source(4)
    page = post(path, data)
    assert page.status == 404
    assert page.heading == "This source was removed meanwhile, so nothing was saved"
    reading = path.endswith("reading")
    do = "Put it back with the reading, or give that to another." if reading else "Put it back and save."
    assert f"{do} What you typed is below." in page.text
    assert typed in page.text.partition("What you typed")[2]
    others = [f"/sources/{number}/reading" for number in (1, 2, 3, 5, 6)] if reading else []
    assert page.posts == ["/sources/4/restore", *others]
    assert post("/sources/4/restore").status == 200
    assert not stores.sets.get_source(4).deleted


TYPED = {"cct": "4210", "duv": "0.008", "level": "60"}


def test_a_reading_of_a_removed_source_goes_in_with_it(sample, post, stores):
    stores.sets.by("Mia").delete_source(4)
    assert "Put Oven room tubes back and save" in post("/sources/4/reading", TYPED).text
    page = post("/sources/4/restore", {**TYPED, "then": "reading"})
    assert page.heading == "Oven room tubes" and "4 210 K" in page.text
    assert [kept.reading.cct for kept in stores.sets.readings_of(4)] == [4180, 4210]


def _sent_on(client, html, source=4):
    """Press the button that puts a source back, with all that it sends."""
    [form] = re.findall(rf'<form[^>]*action="/sources/{source}/restore".*?</form>', html, re.S)
    fields = {name: unescape(value) for name, value in re.findall(r'name="([^"]+)" value="([^"]*)"', form)}
    assert "then" in fields
    return client.post(f"/sources/{source}/restore", data=fields, follow_redirects=True)


@pytest.mark.parametrize(
    ("path", "data", "field", "kept"),
    [
        ("/sources/4/edit", {"name": "Tubes", "role": "fill"}, "name", "Tubes"),
        ("/sources/4/use", {"use_level": "45"}, "level", 45),
        ("/sources/4/aim", {"wanted": "leave"}, "aim", WantedOffset(leave=True)),
        (
            "/sources/4/openings",
            {"width_0": "1.25", "height_0": "2"},
            "openings",
            [Opening(width=1.25, height=2)],
        ),
        ("/sources/4/kind", {"kind": "fluorescent"}, "kind", "fluorescent"),
        ("/sources/4/work", {"action": "hung", "stack": '{"gels": ["CTO 1/4"]}'}, "hanging", ["CTO 1/4"]),
        ("/sources/4/lamp", {"action": "out"}, "lamp_out", True),
    ],
)
def test_what_else_was_typed_for_it_goes_in_with_it(sample, client, get, stores, path, data, field, kept):
    shown = get(path).fields if path.endswith(("edit", "openings")) else {}
    data = {**shown, **data, "revision": str(stores.sets.get_source(4).revision)}
    stores.sets.by("Mia").delete_source(4)
    html = client.post(path, data=data).get_data(as_text=True)
    assert "Put Oven room tubes back and save" in html and "Give it to another" not in html
    assert _sent_on(client, html).status_code == 200
    now = stores.sets.get_source(4)
    assert not now.deleted and getattr(now.source, field) == kept


def test_a_reading_that_is_fixed_goes_in_with_it(sample, client, get, stores):
    [reading] = [one.id for one in stores.sets.readings_of(4)]
    fields = {**get(f"/readings/{reading}/mend").fields, "cct": "4190"}
    stores.sets.by("Mia").delete_source(4)
    html = client.post(f"/readings/{reading}/mend", data=fields).get_data(as_text=True)
    assert _sent_on(client, html).status_code == 200
    assert stores.sets.get_source(4).source.reading.cct == 4190


def test_a_reading_of_another_source_is_not_fixed_by_it(sample, client, stores):
    [other] = [one.id for one in stores.sets.readings_of(6)][:1]
    before = stores.sets.get_source(6).source
    stores.sets.delete_source(4)
    client.post(
        "/sources/4/restore", data={"then": "mended", "of_reading": str(other), "cct": "9000", "duv": "0"}
    )
    assert stores.sets.get_source(6).source == before


def test_what_is_wrong_in_it_is_told_once_the_source_is_back(sample, post, stores):
    stores.sets.by("Mia").delete_source(4)
    page = post("/sources/4/restore", {**TYPED, "cct": "421", "then": "reading"})
    assert page.status == 422 and page.fields["cct"] == "421"
    assert not stores.sets.get_source(4).deleted


def test_it_is_given_to_another_source_without_what_was_said_of_its_own(sample, client, stores):
    stores.sets.by("Mia").delete_source(4)
    html = client.post("/sources/4/reading", data=TYPED).get_data(as_text=True)
    [form] = re.findall(r'<form[^>]*action="/sources/5/reading".*?</form>', html, re.S)
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    assert "level" not in fields
    client.post("/sources/5/reading", data=fields)
    assert stores.sets.get_source(5).source.reading.cct == 4210


def test_so_with_a_set(sample, get, post, stores):
    fields = get("/sets/1/edit").fields
    stores.sets.by("Mia").delete_set(1)
    page = post("/sets/1/edit", {**fields, "note": "at dusk"})
    assert page.status == 404
    assert page.heading == "This set was removed meanwhile, so nothing was saved"
    assert "at dusk" in page.text.partition("What you typed")[2]
    assert "Target CCT 5600" in page.text.partition("What you typed")[2], "fields are called as elsewhere"
    assert page.fields["token"] not in page.text
    assert page.posts == ["/sets/1/restore"]


@pytest.mark.parametrize("its_source", [False, True])
def test_a_reading_for_a_set_that_was_removed_is_given_back(sample, post, stores, its_source):
    """No source of such a set can take it, be the source itself removed before or not."""
    if its_source:
        stores.sets.by("Mia").delete_source(4)
    stores.sets.by("Mia").delete_set(1)
    page = post("/sources/4/reading", TYPED)
    assert page.status == 404 and "was removed meanwhile, so nothing was saved" in page.heading
    assert "4210" in page.text.partition("What you typed")[2]
    assert "back and save" not in page.text


def test_a_removal_between_two_looks_is_told_as_one(sample, get, stores, monkeypatch):
    """Mia removes the source after it was looked up and before its set was."""
    get_set = type(stores.sets).get_set

    def meanwhile(sets, set_id):
        sets.delete_source(2)
        return get_set(sets, set_id)

    monkeypatch.setattr(type(stores.sets), "get_set", meanwhile)
    page = get("/sources/2")
    assert (page.status, page.heading) == (404, "This source was removed")
    assert page.posts == ["/sources/2/restore"]


def test_too_much_is_refused_before_it_is_used(post):
    page = post("/sets/new", {"name": "x" * 2_000_001})
    assert page.status == 413
    assert "At most 1 MB" in page.text


@pytest.fixture
def broken(app):
    def view(**_):
        raise ZeroDivisionError("not for the person at the phone")

    app.view_functions["quick.quick_check"] = app.view_functions["api.post_advice"] = view


def test_a_mistake_of_ours_says_that_nothing_was_lost(broken, get):
    page = get("/")
    assert page.status == 500
    assert page.heading == "The advisor made a mistake. What was saved before is unharmed"
    assert "not for the person" not in page.html
    assert "Traceback" not in page.html


@pytest.mark.parametrize(
    ("method", "path", "status", "says"),
    [
        ("GET", "/api/v1/nothing", 404, "The API has no such address"),
        ("GET", "/api/v1/advice", 405, "This address does not take that kind of request"),
    ],
)
def test_the_api_leads_a_program_to_its_description(client, method, path, status, says):
    answer = client.open(path, method=method)
    assert answer.status_code == status
    [problem] = answer.json["errors"]
    assert problem["says"] == says
    assert "/api/v1/openapi.json" in problem["allowed"]


@pytest.mark.parametrize(
    ("path", "says", "lists"),
    [
        ("/api/v1/sets/41", "There is no set 41", "/api/v1/sets"),
        ("/api/v1/heads/42", "There is no head 42", "/api/v1/heads"),
    ],
)
def test_what_is_not_there_is_named_with_where_the_others_are(client, path, says, lists):
    answer = client.get(path)
    assert answer.status_code == 404
    [problem] = answer.json["errors"]
    assert (problem["says"], problem["allowed"]) == (says, f"one of those that GET {lists} lists")


def test_a_mistake_of_ours_on_the_api(broken, client):
    answer = client.post("/api/v1/advice", json={})
    assert answer.status_code == 500
    assert answer.json["errors"][0]["says"].startswith("The advisor made a mistake")


@pytest.mark.parametrize(
    ("error", "says"),
    [
        (StoreFault("The disk is full. Free some space."), "The disk is full"),
        (sqlite3.OperationalError("odd"), "mistake"),
    ],
)
def test_a_disk_that_is_full_is_told_as_such(app, stores, monkeypatch, post, error, says):
    def fail(*_, **__):
        raise error

    monkeypatch.setattr(type(stores.sets), "create_set", fail)
    page = post("/sets/new", {"name": "At dusk", "target_cct": "5600", "target_locus": "daylight"})
    assert page.status == (503 if isinstance(error, StoreFault) else 500)
    assert says in page.heading
    assert "At dusk" in page.text.partition("What you typed")[2]
