"""What lamp it is: asked before an answer where street lamps and bulbs read alike, or beside it."""

import pytest

from advisor.model import Kind, Reading, Source
from tests.web.page import Page

STREET = "/?cct=1970&duv=-0.0004"
ASKS = "Sodium street light, or a warm bulb?"
HINT = "What lamp is it?"
ANYWAY = "Nobody knows: show it anyway"


@pytest.fixture
def add(sample, stores):
    """Add a source of an unknown kind to the sample set; return its address."""

    def of(cct, duv, name="Outside", **more):
        reading = Reading(cct=cct, duv=duv)
        number = stores.sets.add_source(1, Source(name=name, reading=reading, **more))
        return f"/sources/{number}"

    return of


class TestQuickCheck:
    def test_it_asks_before_it_answers(self, get):
        page = get(STREET)
        before, _, after = page.text.partition(ANYWAY)
        assert ASKS in before and "Hang" not in before
        assert "Hang" in after  # for whom nobody can tell
        assert [link for link in page.links if "kind=sodium" in link and "cct=1970" in link]

    @pytest.mark.parametrize("kind", ["sodium", "tungsten", "led-white"])
    def test_a_tap_answers(self, get, kind):
        [link] = [link for link in get(STREET).links if f"kind={kind}" in link]
        page = get(link)
        assert ASKS not in page.text and ANYWAY not in page.text
        assert page.fields["kind"] == kind and page.fields["cct"] == "1970"

    def test_a_script_gets_the_question_and_taps_that_fill_the_form(self, get):
        part = get(STREET + "&part=answer")
        assert ASKS in part.text and 'data-kind="sodium"' in part.html
        assert not [link for link in part.links if "part=" in link]

    @pytest.mark.parametrize(
        "reading", ["cct=2250&duv=0", "cct=2100&duv=0.02", "cct=1970&duv=-0.0004&kind=tungsten"]
    )
    def test_what_is_no_street_lamp_or_is_known_is_not_asked_about(self, get, reading):
        assert ASKS not in get(f"/?{reading}").text

    def test_the_kind_is_asked_once_beside_an_answer_that_it_would_narrow(self, get):
        page = get("/?cct=3200&duv=0")
        assert page.text.count(HINT) == 1 and "Choose the kind" not in page.text
        assert [link for link in page.links if "kind=tungsten" in link]
        assert HINT not in get("/?cct=3200&duv=0&kind=tungsten").text

    def test_where_it_would_change_little_it_is_not(self, get):
        assert HINT not in get("/?cct=5600&duv=0.0032").text


class TestHead:
    def test_it_asks_before_it_answers_and_a_tap_says_what_it_is(self, add, get, post, stores):
        address = add(1970, -0.0004)
        page = get(address)
        before, _, after = page.text.partition(ANYWAY)
        assert ASKS in before and "Hang" not in before and "Stays bare" in after  # gel cannot bring it in
        assert f"{address}/kind" in page.posts
        answer = post(f"{address}/kind", {"kind": "sodium", "revision": page.fields["revision"]})
        assert ASKS not in answer.text
        assert stores.sets.get_source(int(address.split("/")[-1])).source.kind is Kind.SODIUM

    def test_the_set_the_sheet_and_the_progress_say_so(self, add, get):
        add(1970, -0.0004)
        assert ASKS in get("/sets/1/sheet").text
        assert "say which kind it is" in get("/sets/1").row(7)

    def test_what_was_decided_is_not_asked_about(self, add, get, post):
        address = add(1970, -0.0004)
        post(
            f"{address}/work",
            {"action": "hung", "stack": '{"gels": []}', "revision": get(address).fields["revision"]},
        )
        assert ASKS not in get(address).text

    def test_the_kinds_stand_beside_an_answer_once(self, add, get, post):
        address = add(3200, 0.0)
        page = get(address)
        assert page.text.count(HINT) == 1
        answer = post(f"{address}/kind", {"kind": "led-white", "revision": page.fields["revision"]})
        assert HINT not in answer.text

    def test_a_kind_that_there_is_not_is_refused(self, add, get, post):
        address = add(1970, -0.0004)
        answer = post(f"{address}/kind", {"kind": "candle", "revision": get(address).fields["revision"]})
        assert answer.status == 422 and "candle" in answer.text

    def test_who_came_second_hears_of_it(self, add, get, client, stores):
        address = add(1970, -0.0004)
        revision = get(address).fields["revision"]
        number = int(address.split("/")[-1])
        now = stores.sets.get_source(number)
        stores.sets.update_source(number, now.source.model_copy(update={"kind": Kind.TUNGSTEN}))
        told = client.post(f"{address}/kind", data={"kind": "sodium", "revision": revision})
        assert told.status_code == 409
        assert "Tungsten" in Page(told).text and "Sodium" in Page(told).text


def test_the_api_asks_too(client):
    def answer(**more):
        source = {"name": "Outside", "reading": {"cct": 1970, "duv": -0.0004}} | more
        return client.post("/api/v1/advice", json={"target": {"cct": 5600}, "sources": [source]}).json[
            "sources"
        ][0]

    assert answer()["asks"] == {"words": ASKS, "kinds": ["sodium", "tungsten", "led-white"]}
    assert answer()["stacks"]  # for programs, which may know better
    assert "asks" not in answer(kind="sodium")
    assert "asks" not in answer(reading={"cct": 1970, "duv": -0.0004, "ra": 17})
    schema = client.get("/api/v1/openapi.json").json["components"]["schemas"]
    assert "asks" in schema["SourceAdvice"]["properties"] and "KindQuestion" in schema
