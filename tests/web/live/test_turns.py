"""Turns: what several ask for at once is made once; what has another key waits for nobody."""

import threading
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache

from advisor.web.live.turns import Turns

MOST = 30.0
"""How long a test waits for what does come. [s]"""


def test_what_four_ask_for_at_once_is_made_once():
    turns, made, let = Turns(), [], threading.Event()

    @lru_cache
    def make(key):
        made.append(key)
        assert let.wait(MOST)
        return key.upper()

    def asked(key):
        with turns.of(key):
            return make(key)

    with ThreadPoolExecutor(4) as threads:
        answers = [threads.submit(asked, "one") for _ in range(4)]
        let.set()
        assert [answer.result(MOST) for answer in answers] == ["ONE"] * 4
    assert made == ["one"] and not turns._turns


def test_another_key_waits_for_nobody():
    turns = Turns()
    with turns.of("one"), ThreadPoolExecutor(1) as threads:
        threads.submit(lambda: turns.of("two").__enter__()).result(MOST)


def test_the_turn_goes_on_where_it_ended_in_a_mistake():
    turns = Turns()
    for _ in range(2):
        try:
            with turns.of("one"):
                raise ValueError
        except ValueError:
            pass
    assert not turns._turns
