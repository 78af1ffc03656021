"""Gels and sets for programs: listed, told with their plan, and metered."""

from datetime import UTC, datetime
from time import sleep

import pytest

from advisor.model import Stage, Work
from advisor.sample import sample_set
from tests.web.schema import faults

TARGET = {"cct": 5600}
SOURCE = {"name": "Window", "kind": "daylight", "reading": {"cct": 6800, "duv": 0.004, "lux": 900}}


@pytest.fixture
def get(client):
    def ask(path, status=200):
        answer = client.get(f"/api/v1/{path}")
        assert answer.status_code == status, answer.text
        return answer.json

    return ask


@pytest.fixture
def post(client):
    def ask(path, data, status=200):
        answer = client.post(f"/api/v1/{path}", json=data)
        assert answer.status_code == status, answer.text
        return answer.json

    return ask


@pytest.fixture
def set_id(stores):
    return stores.sets.create_set(sample_set())


def test_the_gels_are_listed_as_they_are_in_force(get, post):
    told = get("gels")
    assert len(told["gels"]) == 27
    cto = next(gel for gel in told["gels"] if gel["name"] == "CTO 1/4")
    assert (cto["family"], cto["fraction"], cto["mired"], cto["known"]) == ("CTO", "1/4", 40, "generic")
    assert cto["measured"] is False
    assert post("advice", {"target": TARGET, "sources": [SOURCE]})["gel_table"] == told["revision"]


def test_another_table_has_another_revision(post):
    gels = [{"family": "CTO", "fraction": "1/4", "mired": 40}]
    asked = {"target": TARGET, "sources": [SOURCE]}
    told = [
        post("advice", {**asked, "gels": g})["gel_table"] for g in (gels, gels, [{**gels[0], "mired": 41}])
    ]
    assert told[0] == told[1] != told[2]


@pytest.mark.parametrize("name", ["CTO 1/4", "1/4 CTO", "¼ CTO", "quarter CTO", "cto  1/4", "CTO quarter"])
def test_a_gel_is_taken_by_any_of_its_names_and_answered_in_one(post, name):
    asked = {"source": SOURCE, "target": TARGET, "stack": [name]}
    assert post("prediction", asked)["gels"] == ["CTO 1/4"]


def test_names_are_taken_as_people_write_them_everywhere(post):
    behind = {"cct": 5500, "duv": 0.003, "gels": ["¼ CTO", "½ diffusion"]}
    source = {**SOURCE, "keep": ["half diffusion"], "readings": [behind], "hung": ["quarter cto"]}
    asked = {"target": TARGET, "exclude_families": ["plusgreen"], "only_gels": ["¼ CTO", "⅛ CTO"]}
    [told] = post("advice", {**asked, "sources": [source]})["sources"]
    assert {gel for stack in told["stacks"] for gel in stack["gels"]} <= {
        "Diffusion 1/2",
        "CTO 1/4",
        "CTO 1/8",
    }
    assert any(stack["read"] for stack in told["stacks"])
    by_table = {
        **asked,
        "exclude_families": ["Plus green"],
        "only_gels": ["CTO 1/4", "CTO 1/8"],
        "sources": [
            {
                **SOURCE,
                "keep": ["Diffusion 1/2"],
                "readings": [{**behind, "gels": ["CTO 1/4", "Diffusion 1/2"]}],
                "hung": ["CTO 1/4"],
            }
        ],
    }
    assert [told] == post("advice", by_table)["sources"]


def test_a_gel_that_there_is_not_is_named_as_it_was_written(post):
    [error] = post("prediction", {"source": SOURCE, "target": TARGET, "stack": ["¼ Teal"]}, 422)["errors"]
    assert error["where"] == "stack[0]"
    assert "no gel is called '¼ Teal'" in error["says"]


def test_the_doubt_is_that_of_a_set_unless_a_request_says_otherwise(post, client):
    asked = {"target": TARGET, "sources": [SOURCE]}
    as_set = {"meter_cct_percent": 2, "meter_duv": 0.001, "gel_percent": 5}
    assert post("advice", asked) == post("advice", {**asked, "accuracy": as_set})
    exact = post("advice", {**asked, "accuracy": {}})["sources"][0]["stacks"][0]
    assert exact["uncertainty_steps"] < post("advice", asked)["sources"][0]["stacks"][0]["uncertainty_steps"]


def test_a_source_that_gel_cannot_bring_in_says_so(post):
    lamp = {"name": "Street", "kind": "sodium", "reading": {"cct": 2000, "duv": 0}}
    street, window = post("advice", {"target": TARGET, "sources": [lamp, SOURCE]})["sources"]
    assert (street["reached"], street["beyond"]) == (False, "Gel can’t fix this one")
    assert window["reached"] is True and "beyond" not in window


def test_the_answer_says_how_many_stacks_it_holds_back(post):
    gels = [{"family": "CTO", "fraction": f"1/{n}", "mired": m} for n, m in ((8, 20), (4, 40), (2, 80))]
    asked = {"target": TARGET, "max_layers": 2, "sources": [SOURCE], "gels": gels}
    [told] = post("advice", asked)["sources"]
    # Of three gels in up to two layers: bare, three single ones, six pairs.
    assert len(told["stacks"]) + told["held_back"] == 10


def test_delta_uv_prime_stands_beside_its_older_name(post):
    miss = post("prediction", {"source": SOURCE, "target": TARGET})["miss"]
    assert miss["delta_uv_prime"] == miss["du_v"] > 0


def test_no_number_is_minus_zero(client):
    on_target = {"name": "Lamp", "reading": {"cct": 3200, "duv": 0}}
    for duv in (0, -1e-9, 1e-9):
        on_target["reading"] = {"cct": 3200, "duv": duv}
        asked = {"target": {"cct": 3200, "locus": "planckian"}, "sources": [on_target]}
        assert "-0.0," not in client.post("/api/v1/advice", json=asked).text


def test_two_sources_of_one_name_are_refused_where_one_is_the_target(post):
    asked = {"target": {"source": "Window"}, "sources": [SOURCE, {**SOURCE, "name": "window"}]}
    [error] = post("advice", asked, 422)["errors"]
    assert "two sources are called 'Window'" in error["says"]
    assert len(post("advice", {**asked, "target": TARGET})["sources"]) == 2


def test_a_set_is_told_with_its_plan(get, stores, set_id):
    [line] = get("sets")["sets"]
    assert (line["id"], line["name"]) == (set_id, stores.sets.get_set(set_id).name)
    told = get(f"sets/{set_id}")
    assert told["gel_table"] == get("gels")["revision"]
    assert len(told["sources"]) == line["sources"]
    for source in told["sources"]:
        assert source["words"] and source["stack"]["gels"] is not None
    assert get("sets/999", 404)["errors"]
    stores.sets.delete_set(set_id)
    assert get(f"sets/{set_id}", 404)["errors"]


def test_a_reading_is_added_and_counts(get, post, stores, set_id):
    number = get(f"sets/{set_id}")["sources"][0]["number"]
    told = post(f"sets/{set_id}/sources/{number}/readings", {"cct": 6100, "duv": 0.002})
    assert told["sources"][0]["reading"]["cct"] == 6100
    assert told == get(f"sets/{set_id}")
    assert post(f"sets/{set_id}/sources/99/readings", {"cct": 6100, "duv": 0.002}, 404)["errors"]
    wrong = post(f"sets/{set_id}/sources/{number}/readings", {"cct": 61, "duv": 0.002}, 422)
    assert wrong["errors"][0]["where"] == "cct"


def test_a_reading_behind_what_hangs_confirms_it(get, post, stores, set_id):
    source = stores.sets.get_set(set_id).sources[0]
    stack = get(f"sets/{set_id}")["sources"][0]["stack"]
    stores.sets.change_source(source.id, {"work": Work(stage=Stage.HUNG, gels=stack["gels"])})
    after = stack["after"]
    read = {"cct": after["cct"], "duv": after["duv"], "gels": stack["gels"]}
    told = post(f"sets/{set_id}/sources/{source.number}/readings", read)["sources"][0]
    assert told["hangs"] == stack["gels"]
    assert told["stage"] == "confirmed"


def test_a_reading_may_say_when_it_was_taken(post, set_id):
    path = f"sets/{set_id}/sources/1/readings"
    before = datetime.now(UTC).isoformat()
    sleep(0.5)  # its age is counted by two looks at the clock, which lie apart on a busy machine
    newest = post(path, {"cct": 6100, "duv": 0.002})["sources"][0]["reading"]
    told = post(path, {"cct": 6000, "duv": 0.002, "taken_at": before})
    assert told["sources"][0]["reading"] == newest
    [error] = post(path, {"cct": 6000, "duv": 0, "taken_at": "2999-01-01T08:00:00Z"}, 422)["errors"]
    assert "still to come" in error["says"]


def test_a_reading_behind_a_gel_that_there_is_not_is_refused(post, set_id):
    read = {"cct": 6000, "duv": 0, "gels": ["¼ Teal"]}
    [error] = post(f"sets/{set_id}/sources/1/readings", read, 422)["errors"]
    assert error["where"] == "gels[0]" and "'¼ Teal'" in error["says"]


def test_what_is_told_fits_its_description(get, set_id):
    document = get("openapi.json")
    for path in ("gels", "sets", f"sets/{set_id}"):
        described = document["paths"][f"/api/v1/{path.replace(str(set_id), '{set_id}')}"]["get"]
        schema = described["responses"]["200"]["content"]["application/json"]["schema"]
        assert list(faults(get(path), schema, document)) == []
