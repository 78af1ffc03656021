"""``POST /api/v1/light``: what is asked of the light, to what each source does for it.

By hand, ISO 2720:1974 with ISO 800, 1/48 s and C = 340 lx·s: f/2.8 wants 8 · 340 · 48 / 800 = 163.2 lx.
"""

import copy
import threading
from functools import partial

import pytest

from advisor.advice.light_aims import answer as answer_module
from advisor.web.live import aside
from advisor.web.live.jobs import Jobs
from tests.web.asking import app, ask
from tests.web.schema import faults

__all__ = ["app", "ask"]


def lamp(name, role, lux, **more):
    reading = {"cct": 3200, "duv": 0, "lux": lux}
    return {"name": name, "kind": "led-white", "role": role, "reading": reading, **more}


ASKED = {
    "target": {"cct": 3200},
    "f_number": 2.8,
    "key_to_fill": 4,
    "sources": [lamp("Key", "key", 652.8), lamp("Fill", "fill", 54.4)],
}


@pytest.fixture
def light_of(ask):
    return partial(ask, "light")


def test_it_says_what_each_does_and_what_comes_of_it(light_of):
    told = light_of(ASKED)
    key, fill = told["sources"]
    assert (key["wanted_lux"], key["exact"]) == (163.2, True)
    gel = next(way for way in key["ways"] if way["move"] == "gel")
    assert gel["gels"] == ["ND 0.6"]
    assert gel["lux"] == pytest.approx(163.2, rel=0.02)
    far = next(way for way in key["ways"] if way["move"] == "distance")
    assert far["times"] == pytest.approx(2.0)
    assert told["words"] == "f/2.8"
    # The fill goes by what the key gives with its first way.
    assert fill["wanted_lux"] == pytest.approx(told["key_lux"] / 3, abs=0.01)
    assert told["key_to_fill"] == pytest.approx(4.0, rel=0.02)
    assert told["missing"] == []


def test_it_is_as_the_description_says(light_of, client):
    description = client.get("/api/v1/openapi.json").json
    schema = description["components"]["schemas"]["ToldLight"]
    assert not list(faults(light_of(ASKED), schema, description))


def test_what_is_missing_is_said(light_of):
    told = light_of({**ASKED, "sources": [lamp("Back", "back", 10.0)]})
    assert (told["key_lux"], told["f_number"], told["words"]) == (None, None, "")
    assert told["missing"] == ["No source is the key. Give one that role."]


def test_nothing_asked_is_refused(light_of):
    asked = {"target": {"cct": 3200}, "sources": ASKED["sources"]}
    [error] = light_of(asked, 422)["errors"]
    assert error["says"] == "nothing is asked of the light"


@pytest.mark.parametrize(
    ("field", "value"), [("f_number", 0.1), ("f_number", "dark"), ("key_to_fill", 1.0), ("key_to_fill", 500)]
)
def test_what_is_no_such_number_is_refused_at_its_place(light_of, field, value):
    [error] = light_of({**ASKED, field: value}, 422)["errors"]
    assert error["where"] == field


def test_too_much_to_try_is_refused_before_any_work(light_of, monkeypatch):
    """C(73, 3) = 62 196 stacks of seventy gels in up to three layers, on each of 40 fills (hand-worked)."""
    monkeypatch.setattr(answer_module, "make_plan", lambda *given: 1 / 0)
    gels = [{"family": "CTO", "fraction": f"{k}/99", "mired": 2.0 * k} for k in range(1, 71)]
    many = copy.deepcopy(ASKED)
    many["gels"] = gels
    many["sources"] = [lamp(f"Fill {k}", "fill", 54.4) for k in range(40)]
    [error] = light_of(many, 422)["errors"]
    assert error["says"] == "2\u202f487\u202f840 stacks are to be tried over all levels"


def test_heads_with_dials_count_as_the_work_that_they_are(light_of, monkeypatch):
    """A head's dials at one level take as long as 43 000 stacks: 50 of them are beyond two millions."""
    monkeypatch.setattr(answer_module, "make_plan", lambda *given: 1 / 0)
    many = copy.deepcopy(ASKED)
    reach = {"cct_from": 2700, "cct_to": 6500}
    many["sources"] = [{**lamp(f"Fill {k}", "fill", 54.4), "reach": reach} for k in range(50)]
    [error] = light_of(many, 422)["errors"]
    assert "stacks are to be tried over all levels" in error["says"]


def test_what_takes_long_is_asked_for_again_and_can_be_stopped(client, monkeypatch):
    opened, jobs, make = threading.Event(), Jobs(), answer_module.make_plan

    def held(*given):
        assert opened.wait(30)
        return make(*given)

    monkeypatch.setattr(answer_module, "make_plan", held)
    monkeypatch.setattr("advisor.web.api.light.FEW_TRIED", 0)
    monkeypatch.setattr(aside, "JOBS", jobs)
    monkeypatch.setattr(aside, "PATIENCE", 0.0)
    answer = client.post("/api/v1/light", json=ASKED)
    assert answer.status_code == 503 and answer.headers["Retry-After"] == "1"
    assert answer.json["errors"][0]["says"] == "The light is being worked out: 0 %"
    number = answer.json["working"]["number"]
    assert client.get(f"/api/v1/working/{number}").json["state"] == "running"
    opened.set()
    jobs.look(number).wait(30)
    assert client.post("/api/v1/light", json=ASKED).status_code == 200
