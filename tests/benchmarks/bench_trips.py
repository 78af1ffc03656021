"""How far a reader has to travel: modules entered and moves between them, for five requests.

Run by hand: ``python tests/benchmarks/bench_trips.py``. A *move* is control passing from one module of the
advisor to another: a function is called, or a generator goes on, whose code stands in another file of the
package than that of the nearest function below it on the stack which is the package's own. What lies between
(Flask, a compiled template, numpy) is passed over, so a filter that a template calls is a move from the page
that renders it. Going back is no move. Code that nobody wrote, as a dataclass's constructor, is in no file
and counts nowhere. *Modules* are those entered at least once.

The set is the invented sample with two plain heads more, eight sources. Its page comes first in a fresh
process, so that nothing at all is kept from before ("cold"), then again ("warm"). Then the page of the head
that was hung and read, a quick check that was not asked before, and a paste of six rows that is looked at and
saved: two requests, counted as one. Below the table stand the pairs of modules between which most moves go.
"""

import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from types import FrameType

sys.path.insert(0, str(Path(__file__).parents[2]))

from flask.testing import FlaskClient

import advisor
from advisor.model import Kind, Reading, Source
from advisor.sample import sample_set
from advisor.web.app import create_app
from tests.benchmarks.short import ARGUMENTS, pick
from tests.conftest import own_pages
from tests.web.page import Page

PACKAGE = Path(advisor.__file__).parent
PAIRS = pick(int(ARGUMENTS[0]) if ARGUMENTS else 12, 3)
"""How many pairs of modules are printed of each request."""
MORE = (
    Source(name="Door lamp", kind=Kind.TUNGSTEN, reading=Reading(cct=3050, duv=0.0006, lux=210)),
    Source(name="Yard tube", kind=Kind.LED_WHITE, reading=Reading(cct=6350, duv=0.0052, lux=330)),
)
GOALS = {"cold set page": 2000, "paste": 300}
"""The most moves that we want."""
TEXT = """name;kind;CCT [K];Duv;illuminance
Window;daylight;6.800;0,0040;900 lx
Key;discharge;5 820;0,0068;1.450 lx
Panel;led-white;5480;-0,0021;410
Tubes;fluorescent;4180;0,0079;300
Back;tungsten;3190;-0,0003;60 fc
Lamps;tungsten;2720;0,0002;
"""


class Trip:
    """The moves of what is done while it is entered, as pairs of modules."""

    def __init__(self) -> None:
        self.moves: Counter[tuple[str, str]] = Counter()
        self.modules: set[str] = set()
        self._at = [""]  # the nearest module of our own, a place for each function on the stack
        self._names: dict[str, str] = {}

    def __enter__(self) -> "Trip":
        sys.setprofile(self._watch)
        return self

    def __exit__(self, *_: object) -> None:
        sys.setprofile(None)

    def _watch(self, frame: FrameType, event: str, _: object) -> None:
        if event == "call":
            here = self._at[-1]
            there = self._name(frame.f_code.co_filename) or here
            if there != here:
                self.modules.add(there)
                self.moves[here, there] += 1
            self._at.append(there)
        elif event == "return" and len(self._at) > 1:
            self._at.pop()

    def _name(self, file: str) -> str:
        """Return what a file is called within the package; empty for one of others."""
        if file not in self._names:
            path = Path(file)
            ours = path.is_relative_to(PACKAGE)
            self._names[file] = path.relative_to(PACKAGE).with_suffix("").as_posix() if ours else ""
        return self._names[file]


def ask(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200, answer.status


def paste(client: FlaskClient) -> None:
    """Look and save: the second request sends what a browser would, the fields of the page."""
    page = Page(client.post("/sets/1/paste", data={"text": TEXT}))
    answer = client.post("/sets/1/paste", data={**page.fields, **dict(page.ticked), "save": "yes"})
    assert answer.status_code == 302, answer.status


REQUESTS: dict[str, Callable[[FlaskClient], None]] = {
    "cold set page": lambda client: ask(client, "/sets/1"),
    "warm set page": lambda client: ask(client, "/sets/1"),
    "head page": lambda client: ask(client, "/sources/5"),
    "quick check": lambda client: ask(client, "/?cct=6810&duv=0.0041&kind=daylight"),
    "paste": paste,
}
"""What is done, in this order."""


def main() -> None:
    trips = {}
    with tempfile.TemporaryDirectory() as data:
        app = create_app(Path(data))
        sample = sample_set()
        sets = app.extensions["advisor"].sets
        sets.create_set(sample.model_copy(update={"sources": [*sample.sources, *MORE]}))
        client = own_pages(app)
        for name, request in REQUESTS.items():
            with Trip() as trips[name]:
                request(client)
        app.extensions["database"].close()
    for name, trip in trips.items():
        print(f"{name}:")
        for (here, there), count in trip.moves.most_common(PAIRS):
            print(f"  {count:5}  {here or 'outside'} → {there}")
    print(f"{'':14} modules  moves")
    for name, trip in trips.items():
        goal = f"  goal: under {GOALS[name]}" if name in GOALS else ""
        print(f"{name:14} {len(trip.modules):7} {trip.moves.total():6}{goal}")


if __name__ == "__main__":
    main()
