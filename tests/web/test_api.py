"""The JSON API: its shapes are a contract that other programs lean on."""

import copy
import json

import pytest

from advisor.model import ON_SET
from tests.web.asking import app, ask
from tests.web.schema import faults

__all__ = ["app", "ask"]

ADVICE = {
    "target": {"cct": 5600, "locus": "daylight", "duv_offset": 0.0},
    "tolerance_steps": 3,
    "max_layers": 3,
    "max_stops": None,
    "sources": [
        {"name": "Window", "kind": "daylight", "reading": {"cct": 6800, "duv": 0.004, "lux": 900}},
    ],
    "gels": None,
}
PREDICTION = {
    "source": ADVICE["sources"][0],
    "target": ADVICE["target"],
    "stack": ["CTO 1/2", "Plus green 1/8"],
    "gels": None,
}
NUMBER = (int, float)
SHIFT = {"mired": NUMBER, "duv": NUMBER, "cc": NUMBER, "words": str}
STACK = {
    "gels": list,
    "layers": int,
    "stops": NUMBER,
    "after": {"cct": NUMBER, "duv": NUMBER, "x": NUMBER, "y": NUMBER, "lux": NUMBER},
    "miss": {
        "mired": NUMBER,
        "duv": NUMBER,
        "du_v": NUMBER,
        "delta_uv_prime": NUMBER,
        "steps": NUMBER,
        "expected_steps": NUMBER,
        "seen": str,
        "words": str,
    },
    "cost": NUMBER,
    "within": NUMBER,
    "same_as": (int, type(None)),
    "uncertainty_steps": NUMBER,
    "nominal": {"cct": NUMBER, "duv": NUMBER},
    "read": type(None),
}
GELS = [
    {"family": "CTO", "fraction": "1/4", "mired": 33.5, "cc": 0},
    {"family": "Minus green", "fraction": "1/8", "mired": "", "cc": "-3,5"},
]


def has_shape(value, shape):
    """Whether a value has exactly the keys and types of a shape."""
    if isinstance(shape, dict):
        return set(value) == set(shape) and all(has_shape(value[k], s) for k, s in shape.items())
    return isinstance(value, shape) and not isinstance(value, bool)


def changed(data, path, value):
    """Return a copy of `data` with the value at ``a.0.b`` changed; ... takes it away."""
    data = copy.deepcopy(data)
    at = data
    *steps, last = (int(p) if p.isdecimal() else p for p in path.split("."))
    for step in steps:
        at = at[step]
    if value is ...:
        del at[last]
    else:
        at[last] = value
    return data


def test_an_answer_says_which_stack_pages_hang(ask):
    """`stacks` keeps to the cost, which prefers parts; a gaffer hangs the two halves."""
    bulb = {"name": "Bulb", "kind": "tungsten", "reading": {"cct": 2663, "duv": 0.0003, "lux": 500}}
    middle = {"cct": 4300, "locus": "planckian"}
    accuracy = {**ON_SET.model_dump(), "gel_percent": 5}
    [source] = ask("advice", {"target": middle, "sources": [bulb], "accuracy": accuracy})["sources"]
    stacks = source["stacks"]
    assert stacks[0]["gels"] == ["CTB 1/2", "CTB 1/4", "CTB 1/4"]
    assert stacks[source["first"]]["gels"] == ["CTB 1/2", "CTB 1/2"]
    assert [stack["cost"] for stack in stacks] == sorted(stack["cost"] for stack in stacks)


def test_advice_has_exactly_the_shape_that_was_agreed(ask):
    answer = ask("advice", ADVICE)
    assert set(answer) == {"sources", "gel_table", "target"}
    [source] = answer["sources"]
    assert set(source) == {"name", "needed", "stacks", "allocated", "reached", "held_back"}
    assert source["name"] == "Window"
    assert has_shape(source["needed"], SHIFT)
    assert source["stacks"]
    for place, stack in enumerate(source["stacks"]):
        assert has_shape(stack, STACK), stack
        assert stack["layers"] == len(stack["gels"]) <= 3
        assert stack["same_as"] is None or stack["same_as"] < place
        assert 0 <= stack["within"] <= 1
    costs = [stack["cost"] for stack in source["stacks"]]
    assert costs == sorted(costs)


def test_what_is_near_enough_follows_the_tolerance(ask):
    """The word, the chance and the cost are by the tolerance that was asked for; the distance is not."""
    asked = {**PREDICTION, "stack": []}
    narrow, wide = (ask("prediction", {**asked, "tolerance_steps": steps}) for steps in (1, 50))
    assert narrow["miss"]["steps"] == wide["miss"]["steps"] > 7
    assert (narrow["miss"]["seen"], wide["miss"]["seen"]) == ("obvious", "close")
    assert narrow["within"] == 0 and wide["within"] == 1
    assert narrow["cost"] > wide["cost"]


def test_advice_says_what_a_crew_would_do(ask):
    [source] = ask("advice", ADVICE)["sources"]
    assert source["stacks"][0]["gels"] == ["CTO 1/4"]
    assert [] in [stack["gels"] for stack in source["stacks"]]  # leaving it bare competes
    assert 25 < source["needed"]["mired"] < 40
    assert source["needed"]["cc"] == pytest.approx(1000 * source["needed"]["duv"], abs=0.01)


def test_steps_are_the_distance_in_units_of_0_0011(ask):
    for stack in ask("advice", ADVICE)["sources"][0]["stacks"]:  # CIE TN 001:2014, from memory
        assert stack["miss"]["steps"] == pytest.approx(stack["miss"]["du_v"] / 0.0011, abs=0.01)


def test_what_may_be_left_out_has_its_default(ask):
    short = {"target": {"cct": 5600}, "sources": ADVICE["sources"]}
    assert ask("advice", short) == ask("advice", ADVICE)


def test_without_lux_there_is_none_behind_the_stack(ask):
    answer = ask("advice", changed(ADVICE, "sources.0.reading.lux", ...))
    assert {s["after"]["lux"] for s in answer["sources"][0]["stacks"]} == {None}


def test_the_sources_are_answered_in_their_order(ask):
    sources = [{**ADVICE["sources"][0], "name": name} for name in ("b", "a", "c")]
    answer = ask("advice", {**ADVICE, "sources": sources})
    assert [s["name"] for s in answer["sources"]] == ["b", "a", "c"]
    assert answer["sources"][0]["stacks"] == answer["sources"][2]["stacks"]


def test_a_reading_may_be_x_and_y(ask):
    # CIE 15:2018, table 3: D65 is x 0.31272, y 0.32903; its CCT is 6 503 K (6 500 K with today's c2)
    [source] = ask("advice", changed(ADVICE, "sources.0.reading", {"xy": [0.31272, 0.32903]}))["sources"]
    bare = next(s for s in source["stacks"] if s["gels"] == [])
    assert bare["after"]["cct"] == pytest.approx(6503, abs=3)
    assert bare["after"]["duv"] == pytest.approx(0.0032, abs=1e-4)


def test_a_reading_may_be_a_spectrum(ask):
    # A flat spectrum is illuminant E: x = y = 1/3, 5 455 K (CIE 15:2018)
    flat = {"spectrum": {"start": 380, "step": 5, "values": [1] * 81}}
    [source] = ask("advice", changed(ADVICE, "sources.0.reading", flat))["sources"]
    bare = next(s for s in source["stacks"] if s["gels"] == [])
    assert bare["after"]["cct"] == pytest.approx(5455, abs=3)
    assert bare["after"]["duv"] < -0.003


def test_gels_may_be_given_as_rows_of_the_table(ask):
    [source] = ask("advice", {**ADVICE, "gels": [GELS[0]]})["sources"]
    assert {g for s in source["stacks"] for g in s["gels"]} == {"CTO 1/4"}


def test_the_limits_are_kept(ask):
    stacks = ask("advice", {**ADVICE, "max_layers": 1, "max_stops": 0.25})["sources"][0]["stacks"]
    assert all(s["layers"] <= 1 and s["stops"] <= 0.25 for s in stacks)


def test_the_target_may_be_a_source(ask):
    two = [*ADVICE["sources"], {"name": "Key", "reading": {"cct": 5600, "duv": 0}}]
    answer = ask("advice", {**ADVICE, "sources": two, "target": {"source": "Key"}})
    assert answer["sources"][1]["stacks"][0]["gels"] == []


def test_nothing_is_kept(ask, stores):
    ask("advice", {**ADVICE, "gels": [GELS[0]]})
    ask("prediction", PREDICTION)
    assert stores.sets.list_sets() == []
    assert stores.gels.in_force().version == 0


def test_a_prediction_is_the_stacks_entry_as_it_stands_in_the_advice(ask):
    for stack in ask("advice", ADVICE)["sources"][0]["stacks"]:
        assert ask("prediction", {**PREDICTION, "stack": stack["gels"]}) == stack


def test_a_prediction_may_be_of_any_stack(ask):
    answer = ask("prediction", {**PREDICTION, "stack": ["plus green 1/8", "Minus Green 1/8", "ND 0.3"]})
    assert has_shape(answer, STACK)
    assert sorted(answer["gels"]) == ["Minus green 1/8", "ND 0.3", "Plus green 1/8"]


WRONG = [
    ("advice", "sources.0.reading.cct", 0, "sources[0].reading.cct", "CCT 0 is out of range"),
    ("advice", "sources.0.reading.cct", "5,6OO", "sources[0].reading.cct", "'5,6OO'"),
    ("advice", "sources.0.reading.cct", True, "sources[0].reading.cct", "True is not a number"),
    ("advice", "sources.0.reading.cct", ..., "sources[0].reading", "CCT is missing"),
    ("advice", "sources.0.reading.duv", 0.5, "sources[0].reading.duv", "Duv 0.5 is out of range"),
    ("advice", "sources.0.reading.duv", ..., "sources[0].reading", "Duv is missing"),
    ("advice", "sources.0.reading", {}, "sources[0].reading", "nothing about colour"),
    ("advice", "sources.0.reading", {"xy": [0.1, 0.9]}, "sources[0].reading.xy", "no light can have"),
    ("advice", "sources.0.reading", {"xy": [0.3]}, "sources[0].reading.xy[1]", "missing"),
    ("advice", "sources.0.reading.xy", [0.3, 0.3], "sources[0].reading", "more than one way"),
    ("advice", "sources.0.reading.cri", 95, "sources[0].reading.cri", "cri is not a field here"),
    ("advice", "sources.0.kind", "torch", "sources[0].kind", "'torch' is not known"),
    ("advice", "sources.0.name", ..., "sources[0].name", "name is missing"),
    ("advice", "sources.0.keep", ["Sunset full"], "sources[0].keep[0]", "'Sunset full'"),
    ("advice", "sources", [], "sources", "0 entries"),
    ("advice", "sources", "all", "sources", "not a list"),
    ("advice", "target", ..., "target", "target is missing"),
    ("advice", "target.cct", 3200, "target", "is no daylight"),
    ("advice", "target", {"source": "Moon"}, "target.source", "'Moon'"),
    ("advice", "target.locus", "sun", "target.locus", "'sun' is not known"),
    ("advice", "max_layers", 5, "max_layers", "Layers 5 is out of range"),
    ("advice", "max_layers", 1.5, "max_layers", "not a whole number"),
    ("advice", "tolerance_steps", -1, "tolerance_steps", "out of range"),
    ("advice", "gels", [{"family": "CTO", "fraction": "1/0", "mired": 3}], "gels[0].fraction", "'1/0'"),
    ("advice", "gels", [{"family": "X", "fraction": "full", "mired": 500, "cc": 100}], "gels[0]", "X full"),
    ("prediction", "stack", ["Sunset full"], "stack[0]", "'Sunset full'"),
    ("prediction", "stack", ["CTO 1/8"] * 9, "stack", "9 entries"),
    ("prediction", "source", ..., "source", "source is missing"),
    ("prediction", "source.reading.cct", -5, "source.reading.cct", "CCT −5 is out of range"),
    ("prediction", "target", {"source": "Moon"}, "target.source", "'Moon'"),
]


@pytest.mark.parametrize(("path", "at", "value", "where", "says"), WRONG)
def test_what_is_wrong_is_said_in_the_agreed_shape(ask, path, at, value, where, says):
    answer = ask(path, changed({"advice": ADVICE, "prediction": PREDICTION}[path], at, value), 422)
    assert set(answer) == {"errors"}
    assert all(set(e) == {"where", "says", "allowed"} for e in answer["errors"])
    assert all(isinstance(v, str) and v for e in answer["errors"] for k, v in e.items() if k != "where")
    assert [e for e in answer["errors"] if e["where"] == where and says in e["says"]], answer


@pytest.mark.parametrize(
    "body", ["", "{", "[]", "null", '"x"', "5600", "\xff", '{"target": NaN}', "[" * 9999]
)
@pytest.mark.parametrize("path", ["advice", "prediction"])
def test_a_body_that_is_no_request_is_refused(client, path, body):
    answer = client.post(f"/api/v1/{path}", data=body, content_type="application/json")
    assert answer.status_code == 422
    assert answer.json["errors"]


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_a_number_that_is_none_is_refused(client, number):
    body = json.dumps(ADVICE).replace("6800", number)
    answer = client.post("/api/v1/advice", data=body, content_type="application/json")
    assert answer.status_code == 422
    assert answer.json["errors"][0]["where"] == "sources[0].reading.cct"


@pytest.mark.parametrize(
    ("method", "path", "body", "kind", "status"),
    [
        ("GET", "/api/v1/advice", None, None, 405),
        ("GET", "/api/v1/nothing", None, None, 404),
        ("POST", "/api/v1/advice", "cct=5600", "application/x-www-form-urlencoded", 415),
        ("POST", "/api/v1/advice", "x" * 2_000_001, "application/json", 413),
    ],
)
def test_other_refusals_have_the_same_shape(client, method, path, body, kind, status):
    answer = client.open(path, method=method, data=body, content_type=kind)
    assert answer.status_code == status
    [error] = answer.json["errors"]
    assert set(error) == {"where", "says", "allowed"}
    assert error["says"]


@pytest.mark.parametrize(
    ("cct", "locus"), [(3200, "planckian"), (3999, "planckian"), (4000, "daylight"), ("5.6k", "daylight")]
)
def test_without_a_locus_it_is_planckian_where_daylight_has_none(ask, cct, locus):
    # The daylight locus begins at 4 000 K: CIE 15:2018, 4.1.2.
    answer = ask("advice", {**ADVICE, "target": {"cct": cct}})
    assert answer["target"]["locus"] == locus


class TestItsDescription:
    @pytest.fixture
    def document(self, client):
        return client.get("/api/v1/openapi.json").json

    def test_names_every_operation(self, document):
        assert document["openapi"] == "3.1.0"
        assert {path: set(methods) for path, methods in document["paths"].items()} == {
            "/api/v1/advice": {"post"},
            "/api/v1/prediction": {"post"},
            "/api/v1/gels": {"get"},
            "/api/v1/sets": {"get"},
            "/api/v1/sets/{set_id}": {"get"},
            "/api/v1/sets/{set_id}/sources/{number}/readings": {"post"},
            "/api/v1/plans": {"post"},
            "/api/v1/light": {"post"},
            "/api/v1/heads": {"get", "post"},
            "/api/v1/heads/{head_id}": {"get"},
            "/api/v1/working/{work}": {"get"},
            "/api/v1/working/{work}/stop": {"post"},
        }

    @pytest.mark.parametrize(("path", "data"), [("advice", ADVICE), ("prediction", PREDICTION)])
    def test_fits_what_is_asked_and_answered(self, ask, document, path, data):
        post = document["paths"][f"/api/v1/{path}"]["post"]
        asked = post["requestBody"]["content"]["application/json"]["schema"]
        answered = post["responses"]["200"]["content"]["application/json"]["schema"]
        wrong = post["responses"]["422"]["content"]["application/json"]["schema"]
        assert list(faults(data, asked, document)) == []
        assert list(faults(ask(path, data), answered, document)) == []
        assert list(faults(ask(path, {}, 422), wrong, document)) == []

    def test_shows_what_it_would_refuse(self, document):
        asked = document["paths"]["/api/v1/advice"]["post"]["requestBody"]["content"]["application/json"]
        wrong = changed(changed(ADVICE, "sources.0.reading.cct", 900), "sources.0.name", ...)
        assert len(list(faults(wrong, asked["schema"], document))) >= 2

    def test_every_reference_leads_somewhere(self, document):
        text = json.dumps(document)
        for name in document["components"]["schemas"]:
            text = text.replace(f'"#/components/schemas/{name}"', "")
        assert "#/components" not in text


def test_of_readings_that_say_when_they_were_taken_the_newest_bare_one_counts(ask):
    """The answer is that to the newest alone, in whatever order they stand."""
    newest = {"cct": 5000, "duv": 0.002}
    old = {"cct": 3200, "duv": 0.0, "taken_at": "2026-03-14T15:00:00Z"}
    timed = {**newest, "taken_at": "2026-03-14T17:30:00+01:00"}
    source = {"name": "Key", "kind": "led-white"}
    target = {"cct": 5600}
    alone = ask("advice", {"target": target, "sources": [{**source, "reading": newest}]})
    for reading, other in ((old, timed), (timed, old)):
        both = {**source, "reading": reading, "readings": [other]}
        assert ask("advice", {"target": target, "sources": [both]}) == alone
    mixed = {**source, "reading": newest, "readings": [old]}
    [wrong] = ask("advice", {"target": target, "sources": [mixed]}, 422)["errors"]
    assert (wrong["where"], wrong["allowed"]) == ("sources[0]", "taken_at in all, or none")


def test_the_description_names_the_time(client):
    schemas = client.get("/api/v1/openapi.json").json["components"]["schemas"]
    assert "taken_at" in schemas["Reading"]["properties"]
