"""``POST /api/v1/plans``: a set as it hangs and what changed, to plans with their moves."""

import copy
import threading
from functools import partial

import pytest

from advisor.advice.next_plans import answer as answer_module
from advisor.web.live import aside
from advisor.web.live.jobs import Jobs
from tests.web.asking import app, ask
from tests.web.page import plain
from tests.web.schema import faults

__all__ = ["app", "ask"]


def lamp(number, gels):
    reading = {"cct": 3000 + 20 * number, "duv": 0, "lux": 300}
    return {"name": f"Lamp {number}", "kind": "tungsten", "reading": reading, "hung": gels}


WINDOW = {
    "name": "Window",
    "kind": "daylight",
    "reading": {"cct": 7850, "duv": 0.003, "lux": 500},
    "readings": [{"cct": 7143, "duv": 0.003, "lux": 500}],
}
CTB = ["CTB full", "CTB 1/2"]
DRIFTED = {
    "target": {"source": "Window"},
    "sources": [WINDOW, lamp(1, CTB), lamp(2, CTB)],
    "changed": {"sources": ["Window"]},
}


@pytest.fixture
def plans_of(ask):
    return partial(ask, "plans")


def by_way(answer):
    return {plan["way"]: plan for plan in answer["plans"]}


def with_changed(**changed):
    return {**copy.deepcopy(DRIFTED), "changed": changed}


def test_too_much_to_weigh_is_refused_before_any_work(plans_of, monkeypatch):
    """C(23, 3) = 1 771 stacks of twenty gels in up to three layers, on each of 35 sources (hand-worked)."""
    monkeypatch.setattr(answer_module, "make_plan", lambda *given: 1 / 0)
    gels = [{"family": "CTO", "fraction": f"{k}/99", "mired": 5.0 * k} for k in range(1, 21)]
    sources = [WINDOW, *(lamp(k, ["CTO 9/99"]) for k in range(34))]
    data = {**DRIFTED, "sources": sources, "gels": gels, "max_layers": 3}
    [error] = plans_of(data, 422)["errors"]
    assert error["where"] == "sources"
    assert (
        plain(error["says"]) == "35 sources with 20 gels make 61\N{NARROW NO-BREAK SPACE}985 stacks to weigh"
    )
    assert "fewer sources, fewer gels" in error["allowed"]


def test_more_heads_with_dials_than_a_call_has_time_for_are_refused_before_any_work(plans_of, monkeypatch):
    monkeypatch.setattr(answer_module, "make_plan", lambda *given: 1 / 0)
    reach = {"cct_from": 2700, "cct_to": 6500, "cct_step": 50}
    panels = [{**lamp(k, []), "reach": reach} for k in range(25)]
    [error] = plans_of({**DRIFTED, "sources": [WINDOW, *panels], "max_layers": 1}, 422)["errors"]
    assert error["where"] == "sources"
    assert plain(error["says"]) == "25 sources have a dial range (reach)"
    assert "up to 24 in a call" in error["allowed"]


class TestAside:
    """What takes long holds no thread of the server: it is asked for again, and can be stopped."""

    @pytest.fixture
    def gate(self, monkeypatch):
        opened, jobs, make = threading.Event(), Jobs(), answer_module.make_plan

        def held(*given):
            assert opened.wait(30)
            return make(*given)

        monkeypatch.setattr(answer_module, "make_plan", held)
        monkeypatch.setattr(aside, "JOBS", jobs)
        monkeypatch.setattr(aside, "PATIENCE", 0.0)
        yield opened
        opened.set()
        for thread in threading.enumerate():
            if thread.name.startswith("job "):
                thread.join(30)

    def settle(self, gate):
        gate.set()
        for job in list(aside.JOBS._jobs.values()):
            job.wait(30)

    def test_the_same_request_gets_the_answer_once_it_is_there(self, client, gate):
        answer = client.post("/api/v1/plans", json=DRIFTED)
        assert (answer.status_code, answer.headers["Retry-After"]) == (503, "1")
        assert answer.json["errors"][0]["says"] == "The plan is being worked out: 0 %"
        self.settle(gate)
        answer = client.post("/api/v1/plans", json=DRIFTED)
        assert answer.status_code == 200 and by_way(answer.json)["hold"]

    def test_it_is_stopped_and_begins_anew_when_asked_again(self, client, gate):
        client.post("/api/v1/plans", json=DRIFTED)
        [number] = aside.JOBS._jobs
        client.post(f"/api/v1/working/{number}/stop")
        self.settle(gate)
        assert client.get(f"/api/v1/working/{number}").json["state"] == "stopped"
        client.post("/api/v1/plans", json=DRIFTED)
        self.settle(gate)
        assert client.post("/api/v1/plans", json=DRIFTED).status_code == 200

    def test_what_is_refused_while_it_is_worked_out_is_told_with_its_place(self, client, gate):
        data = copy.deepcopy(DRIFTED)
        data["sources"][1]["reading"] = {"xy": [0.7, 0.29]}
        client.post("/api/v1/plans", json=data)
        self.settle(gate)
        answer = client.post("/api/v1/plans", json=data)
        assert answer.status_code == 422
        assert answer.json["errors"][0]["where"].startswith("sources[1]")


def test_to_hold_corrects_the_window_alone_and_to_follow_leaves_it(plans_of):
    answer = plans_of(DRIFTED)
    plans = by_way(answer)
    hold = {turn["name"]: turn for turn in plans["hold"]["turns"]}
    assert hold["Window"]["hang"] == ["CTO 1/8"]
    assert "source" not in plans["hold"]["target"] or plans["hold"]["target"]["source"] is None
    follow = {turn["name"]: turn for turn in plans["follow"]["turns"]}
    assert (follow["Window"]["hang"], follow["Window"]["take_off"]) == ([], [])
    assert answer["moved"] == ["Window"]


def test_moves_are_those_of_the_turns_and_the_fewest_come_first(plans_of):
    plans = plans_of(DRIFTED)["plans"]
    for plan in plans:
        counted = [len(turn["take_off"]) + len(turn["hang"]) for turn in plan["turns"]]
        assert plan["moves"] == sum(counted)
        assert plan["heads"] == sum(map(bool, counted))
        assert len(plan["new"]) + len(plan["used_again"]) == sum(len(t["hang"]) for t in plan["turns"])
    assert [plan["moves"] for plan in plans] == sorted(plan["moves"] for plan in plans)


def test_what_hung_on_a_head_that_failed_is_used_again(plans_of):
    """A new lamp takes the gels of the dead one: nothing comes from the truck."""
    dead = {**lamp(1, CTB), "name": "Dead"}
    fresh = {**lamp(1, []), "name": "Fresh"}
    target = {"cct": 7143, "locus": "planckian", "duv_offset": 0.003}
    data = {"target": target, "sources": [dead, fresh], "changed": {"failed": ["Dead"]}}
    hold = by_way(plans_of(data))["hold"]
    assert [turn["name"] for turn in hold["turns"]] == ["Fresh"]
    assert set(hold["used_again"]) <= set(CTB)
    assert hold["used_again"]


def test_a_target_that_was_changed_can_be_put_back(plans_of):
    data = with_changed(before={"cct": 7143, "locus": "planckian", "duv_offset": 0.003})
    data["target"] = {"cct": 5600}
    answer = plans_of(data)
    assert answer["target_moved"]
    assert by_way(answer)["hold"]["target"]["cct"] == 7143


def test_where_nothing_moved_there_are_no_plans(plans_of):
    data = with_changed()
    data["sources"] = [lamp(1, CTB)]
    data["target"] = {"cct": 5600}
    assert plans_of(data)["plans"] == []


@pytest.mark.parametrize(
    ("changed", "where", "says"),
    [
        ({"sources": ["Moon"]}, "changed.sources[0]", "no source here is called 'Moon'"),
        ({"failed": ["Moon"]}, "changed.failed[0]", "no source here is called 'Moon'"),
        ({"failed": ["Window", "Lamp 1", "Lamp 2"]}, "changed.failed", "every source failed"),
        ({"before": {"source": "Moon"}}, "changed.before.source", "no source here is called 'Moon'"),
        ({"moon": 1}, "changed.moon", ""),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(plans_of, changed, where, says):
    [wrong] = plans_of(with_changed(**changed), 422)["errors"]
    assert wrong["where"] == where
    assert says in wrong["says"]
    assert wrong["allowed"]


def test_a_source_without_a_white_is_refused_in_its_place(plans_of):
    data = copy.deepcopy(DRIFTED)
    data["sources"][1]["hung"] = ["Nothing 1/2"]
    [wrong] = plans_of(data, 422)["errors"]
    assert wrong["where"].startswith("sources[1]")


def test_it_fits_its_description(plans_of, client):
    document = client.get("/api/v1/openapi.json").json
    post = document["paths"]["/api/v1/plans"]["post"]
    asked = post["requestBody"]["content"]["application/json"]["schema"]
    answered = post["responses"]["200"]["content"]["application/json"]["schema"]
    assert list(faults(DRIFTED, asked, document)) == []
    assert list(faults(plans_of(DRIFTED), answered, document)) == []
