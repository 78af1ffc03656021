"""Generated requests, pastes, forms and records: nothing is answered by a mistake, and nothing hangs.

A part of what ``python tests/benchmarks/bench_fuzz.py`` sends, the same in every run.
"""

from collections.abc import Callable, Iterator

import pytest
from werkzeug.routing import Map

from tests.conftest import in_no_hurry_to_disk
from tests.fuzz.door import Door, Tally
from tests.fuzz.form_asks import changing
from tests.fuzz.rounds import api_round, form_round, heads_round, paste_round, record_round
from tests.fuzz.staging import Sender
from tests.thorough import cases

LONGEST = 30.0
"""A request that takes longer hangs. [s] How fast one is, the benchmarks show (`bench_pastes`, `bench_fuzz`).

Lines of numbers alone, read as messages, take some 45 ms each, and the machine may have other things to do.
"""
ROUNDS = {
    "pastes": (paste_round, cases(500, 8)),
    "records": (record_round, cases(250, 6)),
    "heads": (heads_round, cases(120, 2)),
}


@pytest.fixture(scope="module")
def door(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Door]:
    with in_no_hurry_to_disk():
        door = Door(tmp_path_factory.mktemp("fuzz"))
        yield door
        door.close()


def test_the_api_answers_whatever_is_sent(door: Door):
    tally = Tally(LONGEST)
    api_round(door.ask, tally, cases(600), 1)
    assert (tally.faults, tally.slow) == ([], [])
    assert tally.statuses[200] > 10
    assert tally.statuses[422] > 40


def test_every_view_is_sent_the_forms_that_pages_show(door: Door):
    tally, count, routes = Tally(LONGEST), cases(400), door.app.url_map
    form_round(door.ask, tally, count, 1, routes)
    assert (tally.faults, tally.slow) == ([], [])
    assert {rule.endpoint for rule in changing(routes)} == tally.views
    assert tally.statuses[200] > count / 20
    assert tally.statuses[422] > count / 20


@pytest.mark.parametrize(("act", "count"), ROUNDS.values(), ids=ROUNDS)
def test_the_pages_answer_whatever_is_sent(
    door: Door, act: Callable[[Sender, Tally, int, int, Map], None], count
):
    tally = Tally(LONGEST)
    act(door.ask, tally, count, 1, door.app.url_map)
    assert (tally.faults, tally.slow) == ([], [])
    # Not everything is refused, and not everything is taken.
    assert tally.statuses[200] > count / 20
    assert tally.statuses[422] > count / 20
