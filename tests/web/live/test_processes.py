"""Long work in processes of its own: what comes back, what is told, and what ends it."""

import operator
import os
import threading
import time
from functools import partial

import pytest

from advisor.advice.stacks.watch import NotWanted, tell
from advisor.imports.text.decode import decode
from advisor.model import Refused
from advisor.web.live.processes import Died, Processes, TooLong

LONG = 600.0
"""Work that nobody waits for to the end. [s]"""


@pytest.fixture(scope="module")
def processes():
    own = Processes(most=1)
    yield own
    own.close()


def done(processes, function, *arguments, told=None, wanted=lambda: True, longest=LONG):
    shares = [] if told is None else told
    return processes.do(function, arguments, shares.append, lambda: not wanted(), longest)


def test_it_is_done_in_one_other_process_time_after_time(processes):
    first = done(processes, os.getpid)
    assert first != os.getpid() and done(processes, os.getpid) == first


def test_what_it_raises_is_raised_here(processes):
    with pytest.raises(ZeroDivisionError):
        done(processes, operator.truediv, 1, 0)


def test_a_refusal_comes_back_with_its_problems(processes):
    with pytest.raises(Refused) as no:
        done(processes, partial(decode, where="the box"), "  ")
    assert [(p.where, p.says) for p in no.value.problems] == [("the box", "there is no text")]


def test_it_tells_how_much_is_done(processes):
    told = []
    done(processes, tell, 0.25, told=told)
    assert told == [0.25]


def test_what_cannot_be_sent_is_a_mistake_and_the_process_goes_on(processes):
    before = done(processes, os.getpid)
    with pytest.raises(RuntimeError, match="pickle"):
        done(processes, threading.Lock)
    assert done(processes, os.getpid) == before


def test_what_does_not_listen_when_it_is_stopped_is_ended_with_its_process(processes):
    before = done(processes, os.getpid)
    began = time.monotonic()
    with pytest.raises(NotWanted):
        done(processes, time.sleep, LONG, wanted=lambda: False)
    assert time.monotonic() - began < LONG / 10
    assert done(processes, os.getpid) != before


def test_what_takes_longer_than_it_may_is_ended(processes):
    with pytest.raises(TooLong):
        done(processes, time.sleep, LONG, longest=0.05)


def test_one_that_ended_for_want_of_work_just_then_is_replaced_in_silence(processes, monkeypatch):
    before = done(processes, os.getpid)
    [idle] = processes._idle
    idle._link.send(None)
    idle._process.join(LONG)
    monkeypatch.setattr(type(idle), "waits", property(lambda one: not one._busy))  # as it seemed a moment ago
    assert done(processes, os.getpid) != before


def test_a_process_that_dies_is_told_and_another_takes_its_place(processes):
    with pytest.raises(Died):
        done(processes, os._exit, 1)
    assert done(processes, operator.add, 1, 1) == 2
