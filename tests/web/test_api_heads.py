"""Known heads in the API: tests kept, heads told, and asked for in place of a reading."""

import pytest

from tests.heads import keep_tested, read
from tests.web.asking import ask
from tests.web.schema import faults

__all__ = ["ask"]

TARGET = {"cct": 5600}
DOCUMENT = {
    "head": {"name": "Panel 3", "kind": "led-white"},
    "begun_at": "2026-03-14T15:00:00Z",
    "readings": [
        {"level": 100, "cct": 5813, "duv": -0.0014, "lux": 2000, "watts": 120},
        {"level": 10, "cct": 5640, "duv": 0.0031, "lux": 200},
        {"level": 100, "modifier": "dish", "cct": 5701, "duv": 0.0007, "lux": 4000},
    ],
}


@pytest.fixture
def head(stores):
    return keep_tested(stores.heads)[0]


def advice(ask, status=200, **source):
    answer = ask("advice", {"target": TARGET, "sources": [{"name": "Key", **source}]}, status)
    return answer["sources"][0] if status == 200 else answer["errors"]


def test_a_test_is_kept_as_one_document(ask, client, stores):
    told = ask("heads", DOCUMENT)
    [line] = client.get("/api/v1/heads").json["heads"]
    assert line == {
        "id": told["id"],
        "name": "Panel 3",
        "kind": "led-white",
        "group": "",
        "tested_at": "2026-03-14T15:00:00.000000Z",
        "readings": 3,
    }
    assert client.get(f"/api/v1/heads/{told['id']}").json == told
    [test] = stores.heads.tests_of(told["id"])
    assert (test.test.levels, test.test.modifiers) == ([100, 10], ["", "dish"])
    assert test.unread == [3]


def test_the_same_document_again_adds_nothing_and_more_readings_join_it(ask, stores):
    told = ask("heads", DOCUMENT)
    assert ask("heads", DOCUMENT) == told
    test = {"levels": [100, 10], "modifiers": ["", "dish"]}
    more = {"level": 10, "modifier": "dish", "cct": 5600, "duv": 0.003}
    ask("heads", {**DOCUMENT, "test": test, "readings": [*DOCUMENT["readings"], more]})
    [kept] = stores.heads.tests_of(told["id"])
    assert kept.unread == []


def test_without_a_time_it_is_now_and_a_head_that_is_there_stays_as_it_is(ask, head, stores):
    document = {k: v for k, v in DOCUMENT.items() if k != "begun_at"} | {
        "head": {"name": "PANEL 3", "note": "x"}
    }
    assert ask("heads", document)["head"]["name"] == "Panel 3"
    assert len(stores.heads.tests_of(head)) == 2


@pytest.mark.parametrize(
    ("changed", "where", "says", "allowed"),
    [
        ({"head": {}}, "head.name", "name is missing", "give name"),
        ({"readings": []}, "readings", "readings holds 0 entries", "at least 1"),
        ({"readings": [{"cct": 5600, "duv": 0}]}, "readings[0].level", "level is missing", "give level"),
        (
            {"readings": [{"level": 100, "cct": 500, "duv": 0}]},
            "readings[0].cct",
            "CCT 500 is out of range (5\u202f000 K, or 2\u202f000 K from mired?)",
            "1\u202f000 to 25\u202f000 K",
        ),
        (
            {"test": {"levels": [50]}},
            "",
            "a reading is at 100\u202f%, bare, which its test does not ask for",
            "50\u202f%, bare",
        ),
        (
            {"readings": [{"level": k + 1, "cct": 5600, "duv": 0} for k in range(13)]},
            "",
            "the readings are not one test: levels holds 13 entries",
            "at most 12",
        ),
        ({"begun_at": "March"}, "begun_at", "'March' is not a time with its zone", "ISO 8601"),
        ({"lamp": 1}, "lamp", "lamp is not a field here", "check the spelling"),
    ],
)
def test_a_document_with_a_fault_says_what_is_allowed(ask, stores, changed, where, says, allowed):
    [error] = ask("heads", {**DOCUMENT, **changed}, 422)["errors"]
    assert (error["where"], error["says"]) == (where, says)
    assert allowed in error["allowed"]
    assert stores.heads.list_heads() == []


def test_a_removed_head_is_not_tested_by_accident(ask, head, stores):
    stores.heads.delete_head(head)
    [error] = ask("heads", DOCUMENT, 422)["errors"]
    assert (error["where"], error["says"]) == ("head.name", "Panel 3 was removed")


def test_a_head_that_is_not_there_is_not_found(client):
    answer = client.get("/api/v1/heads/7")
    assert answer.status_code == 404 and answer.json["errors"][0]["says"]


@pytest.mark.parametrize("named", [1, "Panel 3", " panel 3 "])
def test_a_head_in_place_of_a_reading_is_advised_on_as_it_was_read(ask, head, named):
    answer = advice(ask, head=named, level=100)
    bare = next(s for s in answer["stacks"] if not s["gels"])
    assert (bare["after"]["cct"], bare["after"]["duv"]) == (5813, -0.0014)
    assert bare["after"]["lux"] == 2000


def test_the_modifier_and_the_level_that_are_asked_for_count(ask, head):
    dish = next(s for s in advice(ask, head=head, modifier="dish")["stacks"] if not s["gels"])
    assert (dish["after"]["cct"], dish["after"]["duv"]) == (5701, 0.0007)
    between = next(s for s in advice(ask, head=head, level=25)["stacks"] if not s["gels"])
    assert 5640 < between["after"]["cct"] < 5790 and 200 < between["after"]["lux"] < 1000


def test_a_head_that_was_tested_long_ago_is_less_sure_than_a_reading(ask, stores):
    ask("heads", {**DOCUMENT, "begun_at": "2024-03-14T15:00:00Z"})
    first = DOCUMENT["readings"][0]
    reading = {k: first[k] for k in ("cct", "duv", "lux")}
    tested = advice(ask, head=1, level=100)["stacks"][0]
    metered = advice(ask, kind="led-white", reading=reading)["stacks"][0]
    assert tested["uncertainty_steps"] > metered["uncertainty_steps"] + 1


def test_the_kind_and_the_dial_range_are_the_heads_unless_the_source_says_otherwise(ask, head):
    as_white, as_mix = advice(ask, head=head), advice(ask, head=head, kind="led-mix")
    assert as_white["stacks"] != as_mix["stacks"]


def test_a_setting_of_the_dials_that_was_read_counts(ask):
    readings = [
        {"level": 100, "cct": 3260, "duv": -0.0012, "dial": {"cct": 3200}},
        {"level": 100, "cct": 5480, "duv": -0.0021, "dial": {"cct": 5600}},
    ]
    ask("heads", {"head": {"name": "Dials"}, "readings": readings})
    for dial, cct in ((3200, 3260), (5600, 5480)):
        stacks = advice(ask, head="Dials", dial={"cct": dial})["stacks"]
        assert next(s for s in stacks if not s["gels"])["after"]["cct"] == cct
    [error] = advice(ask, 422, head="Dials", dial={"cct": 4300})
    assert error["where"] == "sources[0].dial"
    assert error["says"] == "Dials was not read with its dials at 4\u202f300\u00a0K"
    assert error["allowed"] == "one of: 3\u202f200\u00a0K, 5\u202f600\u00a0K"


@pytest.mark.parametrize(
    ("source", "where", "says"),
    [
        ({"head": 9}, "sources[0].head", "there is no head 9"),
        ({"head": "Nobody"}, "sources[0].head", "there is no head 'Nobody'"),
        ({"head": True}, "sources[0].head", "True is not a known head"),
        ({"head": ""}, "sources[0].head", "'' is not a known head"),
        ({"head": 1, "level": 4}, "sources[0].level", "the lowest level read is 10"),
        ({"head": 1, "modifier": "grid"}, "sources[0].modifier", "no reading was taken with 'grid'"),
        (
            {"head": 1, "reading": {"cct": 5600, "duv": 0}},
            "sources[0]",
            "the source gives a head and readings",
        ),
        ({"dial": {"cct": 5600}}, "sources[0]", "dial is given without head"),
        ({}, "sources[0].reading", "reading is missing"),
    ],
)
def test_what_cannot_be_known_of_a_head_is_refused(ask, head, source, where, says):
    [error] = advice(ask, 422, **source)
    assert error["where"] == where and says in error["says"] and error["allowed"]


def test_a_head_without_a_test_is_refused(ask, head, stores):
    stores.heads.add_head(stores.heads.get_head(head).head.model_copy(update={"name": "New"}))
    [error] = advice(ask, 422, head="New")
    assert error["says"] == "New was not tested"


def test_a_stack_on_a_head_is_predicted(ask, head):
    source = {"name": "Key", "head": head, "level": 100}
    answer = ask("prediction", {"source": source, "target": TARGET, "stack": ["CTO 1/4"]})
    assert answer["gels"] == ["CTO 1/4"] and answer["after"]["cct"] < 5300
    [error] = ask("prediction", {"source": {**source, "head": 9}, "target": TARGET}, 422)["errors"]
    assert error["where"] == "source.head"


def test_what_is_told_fits_the_description(ask, client, head, stores):
    stores.heads.take_reading(1, read(100, xy=(0.32, 0.33), cct=None, duv=None))
    document = client.get("/api/v1/openapi.json").json
    for path, answer in {
        "/api/v1/heads": client.get("/api/v1/heads"),
        "/api/v1/heads/{head_id}": client.get(f"/api/v1/heads/{head}"),
    }.items():
        schema = document["paths"][path]["get"]["responses"]["200"]["content"]["application/json"]["schema"]
        assert list(faults(answer.json, schema, document)) == []
    post = document["paths"]["/api/v1/heads"]["post"]
    asked = post["requestBody"]["content"]["application/json"]["schema"]
    assert list(faults(DOCUMENT, asked, document)) == []
    assert list(faults({**DOCUMENT, "readings": []}, asked, document))
    source = {"name": "Key", "head": 1, "level": 50, "modifier": "dish", "dial": {"cct": 5600}}
    advice_asked = document["paths"]["/api/v1/advice"]["post"]["requestBody"]["content"]["application/json"]
    request = {"target": TARGET, "sources": [source]}
    assert list(faults(request, advice_asked["schema"], document)) == []


def test_a_page_elsewhere_cannot_keep_a_test(client, stores):
    answer = client.post("/api/v1/heads", json=DOCUMENT, headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403 and stores.heads.list_heads() == []
