"""A plan is begun once something was written: of that set as it is then, and where it takes no long time."""

import queue

import pytest

from advisor.model import LightSet, Target
from advisor.web.plans import ahead as module
from advisor.web.plans.ahead import Ahead
from tests.bakery import bakery

MOST = 30.0
"""How long a test waits for what does come. [s]"""
READING = {"cct": "4321", "duv": "0.001"}


@pytest.fixture
def made(monkeypatch):
    """Hear of each plan that is made ahead."""
    plans = queue.Queue()
    monkeypatch.setattr(module, "planned", plans.put)
    return plans


@pytest.fixture
def ahead(app):
    own = Ahead(app)
    own.start()
    yield own
    own.stop()
    assert not own._thread.is_alive()


def test_a_reading_is_planned_for_before_a_page_asks(ahead, made, client, sample):
    client.post("/sources/1/reading", data=READING).close()
    asked = made.get(timeout=MOST)
    assert asked.sources[0].reading.cct == 4321 and len(asked.sources) == 6


def test_what_goes_wrong_there_is_left_to_the_page(ahead, made, client, sample):
    ahead._ask(("source_id", 999))
    client.post("/sources/1/reading", data=READING).close()
    assert made.get(timeout=MOST).sources[0].reading.cct == 4321


def test_nothing_is_planned_where_nothing_was_written(app, client, sample):
    own = Ahead(app)
    client.get("/sources/1").close()
    client.post("/sources/1/reading", data={"cct": "none"}).close()
    assert own._asked == {}
    for _ in range(2):
        client.post("/sources/1/reading", data=READING).close()
    assert own._asked == {("source_id", 1): None}


def test_a_plan_that_takes_long_is_left_to_whoever_asks(app, made, stores):
    sources = [one.model_copy(update={"name": f"Head {i}"}) for i in range(3) for one in bakery().sources]
    for i, few in enumerate((sources[:12], sources[:13])):
        named = [one.model_copy(update={"name": f"{one.name} {k}"}) for k, one in enumerate(few)]
        number = stores.sets.create_set(LightSet(name=f"Set {i}", target=Target(cct=5600), sources=named))
        with app.app_context():
            module._plan("set_id", number)
    assert len(made.get_nowait().sources) == 12 and made.empty()
