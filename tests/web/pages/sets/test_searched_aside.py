"""What is searched for long is worked out aside: the page says how far it is, and it can be stopped."""

import threading

import pytest

from advisor.model import Exposure, Kind, LightSet, Reading, Role, Source, Stage, Target, Work
from advisor.web.live import aside
from advisor.web.live.jobs import Jobs
from advisor.web.plans import kept, ways_on
from advisor.web.plans.onward import lamps, light_asked, together
from tests.web.page import Page

MOST = 30.0
"""How long a test waits for what does come. [s]"""


@pytest.fixture
def stage(stores):
    """A key two stops too bright, a tube, and a window that drifted after gel was hung on it."""
    read = Reading(cct=3200, duv=0, lux=652.8)
    was = Reading(cct=5600, duv=0.0033, lux=900)
    sources = [
        Source(name="Key", kind=Kind.LED_WHITE, role=Role.KEY, reading=read),
        Source(name="Tube", kind=Kind.FLUORESCENT, reading=Reading(cct=4100, duv=0.014, lux=100)),
        Source(
            name="Window",
            kind=Kind.DAYLIGHT,
            reading=Reading(cct=7500, duv=0.0033, lux=900),
            readings=[was],
            work=Work(stage=Stage.HUNG, gels=["CTO full"], read_bare=was),
        ),
    ]
    exposure = Exposure(iso=800, frame_rate=24, constant=340)
    kept_set = LightSet(name="Stage", target=Target(cct=3200), sources=sources, exposure=exposure)
    return stores.sets.create_set(kept_set)


@pytest.fixture
def gate(monkeypatch):
    """Search aside whatever is asked, and hold it back until the gate is opened."""
    opened, jobs = threading.Event(), Jobs()

    def held(module, name):
        real = getattr(module, name)

        def wait(*given):
            assert opened.wait(MOST)
            return real(*given)

        wait.__name__ = name
        monkeypatch.setattr(module, name, wait)

    held(light_asked, "solve_light")
    held(together, "match_jointly")
    held(lamps, "other_lamps")
    held(ways_on, "_found")
    monkeypatch.setattr(light_asked, "FEW_TRIED", 0)
    monkeypatch.setattr(together, "FEW_HEADS", 1)
    monkeypatch.setattr(lamps, "FEW_WHITES", 0)
    monkeypatch.setattr(aside, "PATIENCE", 0.0)
    monkeypatch.setattr(aside, "JOBS", jobs)
    monkeypatch.setattr("advisor.web.pages.phones.working.JOBS", jobs)
    ways_on._asked_ways.cache_clear()
    yield opened
    opened.set()
    for thread in threading.enumerate():
        if thread.name.startswith("job "):
            thread.join(MOST)


@pytest.fixture
def large(monkeypatch):
    """Let every set count as one that takes longer than a page waits, but for its plan."""
    monkeypatch.setattr(kept.PlanInputs, "large", True)
    monkeypatch.setattr(kept, "made_aside", lambda number, make, *given: make(*given))


def settle(gate):
    gate.set()
    for job in list(aside.JOBS._jobs.values()):
        job.wait(MOST)


@pytest.mark.parametrize(
    ("path", "what"),
    [
        ("plans", "The list of plans"),
        ("light/asked?f_number=2.8", "The light"),
        ("together?head=1&head=2", "The match"),
        ("lamps", "The list of lamps"),
    ],
)
def test_a_page_says_how_far_the_search_is_and_stops_it(stage, client, gate, large, path, what):
    address = f"/sets/{stage}/{path}"
    answer = client.get(address)
    assert answer.status_code == 503
    page = Page(answer)
    assert page.heading == f"{what} is being worked out"
    [number] = aside.JOBS._jobs
    assert client.post(f"/working/{number}/stop", data={"next": address}).location == address
    assert Page(client.get(address)).heading == f"{what} was stopped"
    client.post(f"/working/{number}/again", data={"next": address})
    assert Page(client.get(address)).heading == f"{what} is being worked out"
    settle(gate)
    assert client.get(address).status_code == 200


def test_the_board_waits_for_no_search(stage, client, gate, large):
    page = Page(client.get(f"/sets/{stage}"))
    assert "Window moved: see the plans" in page.text
    assert not aside.JOBS._jobs


def test_too_much_light_to_solve_is_refused_before_any_work(stage, client, gate, monkeypatch):
    monkeypatch.setattr("advisor.advice.light_aims.answer.MOST_TRIED", 100)
    page = Page(client.get(f"/sets/{stage}/light/asked?f_number=2.8"))
    assert page.status == 200 and not aside.JOBS._jobs
    assert "stacks are to be tried over all levels" in " ".join(page.alerts)
