"""A long text is read in a process of its own: a page says so, its form comes again with all that it held."""

import re
import threading

import pytest

from advisor.web.live import aside
from advisor.web.live.jobs import Jobs
from tests.bakery import bakery
from tests.web.page import Page
from tests.web.phones import joined, open_app

MOST = 30.0
"""How long a test waits for what does come. [s]"""
ROWS = "name,CCT,Duv\n" + "".join(f"Head {i},{3000 + i},0.001\n" for i in range(200))
GELS = "family,fraction,mired,cc\n" + "".join(f"Fam {i},full,{i / 2},{i % 9}\n" for i in range(1, 261))


class Held:
    """Processes that do nothing before they are let; the work is done in the thread that asks."""

    def __init__(self):
        self.let, self.raising = threading.Event(), None

    def do(self, function, arguments, tell, unwanted, longest=0.0):
        while not self.let.wait(0.01):
            if unwanted():
                raise RuntimeError("stopped")
        if self.raising:
            raise self.raising
        return function(*arguments)

    def settle(self):
        self.let.set()
        for job in list(aside.JOBS._jobs.values()):
            job.wait(MOST)


@pytest.fixture
def held(app, monkeypatch):
    """Hold what is read apart until it is let."""
    own = app.extensions[aside.PROCESSES] = Held()
    monkeypatch.setattr(aside, "JOBS", jobs := Jobs())
    monkeypatch.setattr("advisor.web.pages.phones.working.JOBS", jobs)
    monkeypatch.setattr(aside, "PATIENCE", 0.0)
    yield own
    own.let.set()
    for thread in threading.enumerate():
        if thread.name.startswith("job "):
            thread.join(MOST)


def again(client, page):
    """Send the form of a page that waits once more."""
    action = re.search(r'<form method="post" action="([^"]*)" id="again">', page.html)[1]
    return client.post(action, data=page.fields)


def test_a_paste_is_read_aside_and_comes_again_whole(client, sample, held):
    answer = client.post("/sets/1/paste", data={"text": ROWS})
    page = Page(answer)
    assert answer.status_code == 503 and page.heading == "The text is being worked out"
    assert len(answer.data) < 64_000 and ROWS[:200] not in answer.text
    held.settle()
    assert "200" in Page(again(client, page)).heading


def test_a_gel_table_and_its_curves_come_again(client, held):
    answer = client.post("/gels/import", data={"text": GELS})
    page = Page(answer)
    assert answer.status_code == 503 and page.heading == "The table is being worked out"
    held.settle()
    read = Page(again(client, page))
    assert read.status == 200 and "260" in read.heading


def test_what_is_too_much_is_refused_at_once(client, sample, held):
    for path in ("/sets/1/paste", "/gels/import"):
        answer = client.post(path, data={"text": "1\t" * 200_000})
        assert answer.status_code == 422 and "at most" in answer.text
    assert not aside.JOBS._jobs


def test_it_can_be_stopped_and_begun_again(client, sample, held):
    page = Page(client.post("/sets/1/paste", data={"text": ROWS}))
    [number] = aside.JOBS._jobs
    stopped = Page(client.post("/sets/1/paste", data={**page.fields, "stop": number}))
    assert stopped.heading == "The text was stopped" and stopped.status == 503
    assert client.get(f"/working/{number}").json["state"] == "stopped"
    begun = Page(again(client, stopped))
    assert begun.heading == "The text is being worked out"
    held.settle()
    assert "200" in Page(again(client, begun)).heading


@pytest.mark.parametrize("ended", [aside.TooLong(), aside.Died()])
def test_what_takes_too_long_says_what_to_do(client, sample, held, ended):
    held.raising = ended
    page = Page(client.post("/sets/1/paste", data={"text": ROWS}))
    held.settle()
    answer = again(client, page)
    assert answer.status_code == 422 and "Give it in parts" in answer.text


def test_of_one_phone_only_so_many_wait(client, sample, held):
    texts = [ROWS + f"Head {300 + i},5000,0.002\n" for i in range(9)]
    codes = [client.post("/sets/1/paste", data={"text": text}).status_code for text in texts]
    assert codes == [503] * 8 + [422]


def test_another_phone_does_not_get_the_text(tmp_path, closing, held):
    app = closing(open_app(tmp_path / "lan"))
    app.extensions[aside.PROCESSES] = held
    app.extensions["advisor"].sets.create_set(bakery())
    mine, other = joined(app, "change"), joined(app, "change")
    page = Page(mine.post("/sets/1/paste", {"text": ROWS}))
    held.settle()
    fields = {k: v for k, v in page.fields.items() if k != "token"}
    assert other.post("/sets/1/paste", fields).status_code == 422


ADVICE = {
    "target": {"cct": 5600},
    "sources": [{"name": f"S{i}", "reading": {"cct": 3200 + i, "duv": 0.001}} for i in range(5)],
}


def test_a_program_asks_again_for_advice_and_may_stop_it(client, held):
    answer = client.post("/api/v1/advice", json=ADVICE)
    assert answer.status_code == 503 and answer.headers["Retry-After"] == "1"
    number = answer.json["working"]["number"]
    assert answer.json["working"] == {"number": number, "state": "running", "percent": 0}
    assert client.get(f"/api/v1/working/{number}").json == answer.json["working"]
    assert client.post(f"/api/v1/working/{number}/stop").json["state"] == "stopped"
    assert client.post("/api/v1/advice", json=ADVICE).json["working"]["state"] == "running"
    held.settle()
    assert len(client.post("/api/v1/advice", json=ADVICE).json["sources"]) == 5


def test_short_advice_is_worked_out_at_once(client, held):
    asked = ADVICE | {"sources": ADVICE["sources"][:4]}
    assert client.post("/api/v1/advice", json=asked).status_code == 200
