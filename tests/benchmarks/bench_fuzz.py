"""What must not be, looked for with generated input: a mistake (5xx), a hang, memory that grows.

Run by hand: ``python tests/benchmarks/bench_fuzz.py [API PASTES FORMS RECORDS HEADS]``, 10 000 requests to
the API, 10 000 pastes, 10 000 forms, 3 000 records and 3 000 files of heads unless said. The application is
in a process of its own, so that its memory is its own: the growth is counted from the end of a first part,
by which all is loaded. Warnings are mistakes there. The machine may be busy with something else, so what was
slow is sent again five times, and only what is slow each time counts: a page as all stands, with no plan
kept from before; a form on a set as it came.
"""

import ctypes
import gc
import os
import re
import resource
import sys
import tempfile
import threading
import time
import warnings
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from werkzeug.routing import Map

sys.path.insert(0, str(Path(__file__).parents[2]))

from advisor.sample import sample_set
from tests.benchmarks.short import ARGUMENTS, pick
from tests.fuzz.door import FORGET, Ask, Door, Tally, Told
from tests.fuzz.rounds import api_round, form_round, heads_round, paste_round, record_round
from tests.fuzz.staging import staged

COUNTS = pick((10_000, 10_000, 10_000, 3_000, 3_000), (5, 0, 0, 0, 0))
A_ROUND = 250
"""Values of one round."""
LONGEST = pick(1.0, 60.0)
"""A request may take no longer; in a short round, whose figures mean nothing, none is sent again. [s]"""
GROWTH = 50
"""Memory may grow by no more. [MB]"""
HUNG = 60
"""After which an application is given up. [s]"""
AGAIN = 5
"""How often what was slow is sent again, with a second between."""


def behind(link: Connection, data: str) -> None:
    """Answer what comes through `link`: requests, and None for the memory in use [MB]."""
    door = Door(Path(data))
    door.app.extensions["advisor"].sets.create_set(sample_set())
    door.ask(Ask("GET", "/sets/1"))  # what is loaded once is not the first request's time
    warnings.simplefilter("error")
    while (ask := link.recv()) != "end":
        link.send(door.ask(ask) if ask is not None else _memory())
    door.close()


def _memory() -> tuple[float, float]:
    """Return what is held, once nothing is under way and what is free was given back, and what was before."""
    before = _resident()
    for thread in threading.enumerate():
        if thread.name.startswith("job "):
            thread.join()
    gc.collect()
    with suppress(OSError, AttributeError):
        ctypes.CDLL("libc.so.6").malloc_trim(0)  # only there; elsewhere free memory counts as held
    return _resident(), before


def _resident() -> float:
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize() / 1e6


class Room:
    """An application in a process of its own."""

    def __init__(self, data: str) -> None:
        # Arrays that were freed go back at once: what malloc keeps of them, in pieces, is no growth of ours.
        os.environ["MALLOC_MMAP_THRESHOLD_"] = "65536"
        context = get_context("spawn")
        self._link, theirs = context.Pipe()
        self._process = context.Process(target=behind, args=(theirs, data))
        self._process.start()
        self.slow_pages = 0

    def ask(self, ask: Ask | None) -> Any:
        """Send a request and return what it came to; ends the run where nothing comes."""
        self._link.send(ask)
        if not self._link.poll(HUNG):
            self._process.kill()
            raise SystemExit(f"No answer in {HUNG} s: {ask}")
        return self._link.recv()

    def patient(self, ask: Ask) -> Told:
        """Send a request; where a page was slow, the least time of all that it is asked for counts."""
        told = self.ask(ask)
        slow = ask.method == "GET" and told.seconds > LONGEST
        self.slow_pages += slow
        tries = AGAIN if slow else 0
        for _ in range(tries):
            time.sleep(1)
            self.ask(Ask(FORGET))
            told = min(told, self.ask(ask), key=lambda one: one.seconds)
        return told

    def close(self) -> None:
        """End the process."""
        self._link.send("end")
        self._process.join()


def run(name: str, count: int, act: Callable[..., None], room: Room, routes: Map) -> bool:
    """Send `count` values in rounds, and print what was seen; return whether all was well."""
    more = () if act is api_round else (routes,)
    tally, began, held, all_of_it = Tally(LONGEST), time.perf_counter(), list[float](), 0.0
    for number in range(-(-count // A_ROUND)):
        act(room.patient, tally, min(A_ROUND, count - number * A_ROUND), number, *more)
        now, before = room.ask(None)
        held.append(now)
        all_of_it = max(all_of_it, before)
    low = max(held[: 1 + len(held) // 10])
    most = max(held) - low
    took = time.perf_counter() - began
    print(
        f"{name}: {tally.statuses.total()} requests in {took:.0f} s; {dict(sorted(tally.statuses.items()))}"
    )
    print(
        f"  memory: {low:.0f} MB after the first tenth, {most:+.1f} MB at most since, {held[-1] - low:+.1f} "
        f"at the end (goal: {GROWTH}); {all_of_it:.0f} MB with what was free or under way"
    )
    for told, ask in tally.slowest:
        print(f"  slowest: {told.seconds:.3f} s, the processor {told.worked:.3f} s: {str(ask)[:200]}")
    slow = [ask for ask in tally.slow if ask.method == "GET" or again(ask, room, routes) > LONGEST]
    for fault in [*tally.faults, *map(str, slow)][:20]:
        print(f"  FAULT {fault}")
    print(f"  {len(tally.faults)} faults (5xx, not as described)")
    once = room.slow_pages + sum(ask.method != "GET" for ask in tally.slow)
    print(f"  {once} took over {LONGEST:g} s once, {len(slow)} of them each time", flush=True)
    room.slow_pages = 0
    return not tally.faults and not slow and most <= GROWTH


def again(ask: Ask, room: Room, routes: Map) -> float:
    """Send a request anew, each time on a set that nothing was done to; return the least time. [s]"""
    times = []
    for _ in range(AGAIN):
        with staged(room.ask, routes) as stage:
            path = ask.path
            for of, name in (("sets", "set_id"), ("sources", "source_id")):
                path = re.sub(rf"/{of}/\d+", f"/{of}/{stage.ids[name][0]}", path)
            times.append(room.ask(replace(ask, path=path)).seconds)
    return min(times)


def main() -> int:
    counts = [int(count) for count in ARGUMENTS] or COUNTS
    acts = {"API": api_round, "pastes": paste_round, "forms": form_round, "records": record_round}
    acts |= {"heads": heads_round}
    well = True
    with tempfile.TemporaryDirectory() as folder:
        door = Door(Path(folder) / "routes")
        routes = door.app.url_map
        door.close()
        room = Room(f"{folder}/data")
        try:
            for (name, act), count in zip(acts.items(), counts, strict=False):
                well = (not count or run(name, count, act, room, routes)) and well
        finally:
            room.close()
    return 0 if well else 1


if __name__ == "__main__":
    raise SystemExit(main())
