"""Memory is given back to the system after a large request, and after no other."""

import threading

from flask import Flask

from advisor.web import memory
from advisor.web.live.jobs import Jobs

LARGE = 100_000


def test_it_is_given_back_after_a_large_request_alone(client, monkeypatch):
    given = []
    monkeypatch.setattr(memory, "_trim", lambda: given.append)
    monkeypatch.setattr(memory, "PAUSE", 1e9)
    client.post("/gels/import", data={"text": "x"}).close()
    client.get("/sets").close()
    assert given == []
    client.post("/gels/import", data={"text": "x" * LARGE}).close()
    assert given == [0]


def test_after_large_answers_it_is_now_and_then(client, monkeypatch):
    given, now = [], [100.0]
    monkeypatch.setattr(memory, "_trim", lambda: given.append)
    monkeypatch.setattr(memory.time, "monotonic", lambda: now[0])
    app = Flask("large")
    app.get("/<int:length>")(lambda length: "x" * length)
    memory.give_back(app)
    asker = app.test_client()

    def answered(length, seconds):
        now[0] += seconds
        asker.get(f"/{length}").close()
        return len(given)

    assert [answered(LARGE, 9), answered(LARGE - 1, 1), answered(LARGE, 1), answered(LARGE, 9)] == [
        0,
        0,
        1,
        1,
    ]
    assert answered(LARGE, 1) == 2


def test_it_is_after_what_took_long(monkeypatch):
    given, jobs = [], Jobs()
    monkeypatch.setattr(memory, "_trim", lambda: given.append)
    jobs.ask("1", lambda tell, unwanted: "made").wait(30)
    for thread in threading.enumerate():
        if thread.name == "job 1":
            thread.join(30)
    assert given == [0]


def test_another_c_library_is_let_be(monkeypatch):
    monkeypatch.setattr(memory.sys, "platform", "darwin")
    assert memory._library() is None
