"""What rounds of generated requests act on: a sample set, who may ask, and the forms that the pages show."""

import re
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from werkzeug.routing import Map

from tests.fuzz import lived
from tests.fuzz.door import CODE, HOLD, INVITE, LET_GO, STRANGER, Ask, Told, Who
from tests.fuzz.form_asks import FORM, MULTIPART, Shown, forms_on, multipart, showing, urlencoded
from tests.web.phones import BASE

Sender = Callable[[Ask], Told]
_A_PHONE = "192.168.7.20"
_MOST = 60.0
"""How long the search for the white of two lamps, or a page, may take. [s]"""


@dataclass
class Stage:
    """A sample set to act on, who may ask, and the forms that the pages showed."""

    ids: dict[str, list[str]]
    crowd: list[Who]
    host: Who
    forms: dict[str, list[Shown]] = field(default_factory=dict)


@contextmanager
def staged(send: Sender, routes: Map, *, forms: bool = False) -> Iterator[Stage]:
    """Load a sample set, and take it away afterwards; the gel table is put back.

    With `forms` the pages are brought to where they show what they can, and are looked through for forms.
    """
    walk = Walk(send, with_token(send, Who()), routes)
    if forms:
        walk.look("/sets")
    [set_id] = re.findall(r"/sets/(\d+)", send(walk.host.asks("POST", "/sample")).location)
    sources = walk.sources(set_id)
    walk.lived(sources)
    phone = _joined(send)
    phones = re.findall(r"/host/phones/(\d+)", walk.look("/host").text)
    record = walk.look(f"/sets/{set_id}/record").text
    heads = sorted(set(re.findall(r"/heads/(\d+)", walk.look("/heads").text)), key=int)
    tests = [t for h in heads for t in re.findall(r"/tests/(\d+)", walk.look(f"/heads/{h}").text)]
    ids = {
        "set_id": [set_id],
        "head_id": heads or ["1"],
        "test_id": sorted(set(tests), key=int) or ["1"],
        "source_id": sources,
        "phone_id": phones[-1:] or ["1"],
        "reading_id": re.findall(r"/readings/(\d+)", record),
        "change_id": re.findall(r"/changes/(\d+)", record) or ["1"],
    }
    others = []
    if forms:
        for path in [p for rule in showing(routes) if (p := filled(rule.rule, ids))]:
            walk.look(path)
        others = walk.through(ids)
    yield Stage(ids, [walk.host] * 10 + [phone, STRANGER], walk.host, walk.forms)
    host = with_token(send, Who())
    for form in walk.forms.get("whites.stop_search", []):  # what was begun again works for nobody any more
        send(host.asks("POST", form.action, urlencoded(form.fields), FORM))
    send(host.asks("POST", "/gels/back", b"version=0", FORM))
    for other in [*others, set_id]:
        send(host.asks("POST", f"/sets/{other}/delete"))
    send(host.asks("POST", "/sample/remove"))


@dataclass
class Walk:
    """The host's way over the pages; `forms` are those that they showed, by the views that they go to."""

    send: Sender
    host: Who
    routes: Map
    forms: dict[str, list[Shown]] = field(default_factory=dict)

    def look(self, path: str, who: Who | None = None) -> Told:
        """Open a page, once it is worked out, and keep the first few forms of each view on it."""
        until = time.monotonic() + _MOST
        told = self.send((who or self.host).asks("GET", path))
        while told.works and time.monotonic() < until:
            time.sleep(0.05)
            told = self.send((who or self.host).asks("GET", path))
        return self._kept(path, told)

    def press(self, view: str, **fields: str) -> Told:
        """Send the newest form of a view as it was shown, or with other `fields`, and look where it leads."""
        shown = self.forms[view][-1]
        items = [*((k, v) for k, v in shown.fields if k not in fields), *fields.items()]
        told = self.send(self.host.asks("POST", shown.action, urlencoded(items), FORM))
        return self.look(told.location.partition("#")[0]) if told.location else self._kept(shown.action, told)

    def sources(self, set_id: str) -> list[str]:
        """Return the sources of a set."""
        return sorted(set(re.findall(r'"/sources/(\d+)', self.look(f"/sets/{set_id}").text)), key=int)

    def lived(self, sources: Sequence[str]) -> None:
        """Hang on some sources what is offered, meter one far from that, strike a reading out.

        So pages show the forms that only such a set has.
        """
        for source in sources[:3]:
            page = f"/sources/{source}"
            for form in self._on(page, "work.set_work"):
                self.send(self.host.asks("POST", form.action, urlencoded(form.fields), FORM))
            for cct in (4990, 7100):
                body = urlencoded([("cct", str(cct)), ("duv", "0.001"), ("lux", "800")])
                self.send(self.host.asks("POST", f"{page}/reading", body, FORM))
        for form in self._on(f"/sources/{sources[0]}", "undo.strike_reading"):
            self.send(self.host.asks("POST", form.action, urlencoded(form.fields), FORM))
        new_key(self.send)

    def through(self, ids: dict[str, list[str]]) -> list[str]:
        """Go where the sample does not lead, and return the sets that came for it."""
        self.look("/join", STRANGER)
        self.send(Ask(INVITE))
        self.look("/host")
        for source in ids["source_id"]:
            self.look(f"/sources/{source}")
        for reading in ids["reading_id"]:
            self.look(f"/readings/{reading}/mend")
        self._heads(ids["head_id"][-1])
        for name in ("Single scrim full", "Double scrim full"):
            gone = urlencoded([("name", name)])
            self.send(self.host.asks("POST", "/gels/remove", gone, FORM))
        self.look("/gels")
        pair, many = self._brought(lived.pair()), self._brought(lived.many())
        self._stopped(pair, many)
        signs = self._answered_alike(self._brought(lived.alike()))
        drifted = self._on_set(self._brought(lived.drifted()))
        return [self._removed(self._white(pair)), drifted, many, signs]

    def _heads(self, head: str) -> None:
        self.look(f"/heads/{head}/test")
        self.press("head_tests.new_test", levels="100, 50")
        self.look(f"/heads/{head}")
        self.press("known_heads.delete_head")
        self.press("known_heads.restore_head")

    def _stopped(self, pair: str, many: str) -> None:
        """Stop a search for a white for all, and a plan that is worked out aside."""
        self.send(Ask(HOLD))
        try:
            for page, stop in (
                (f"/sets/{pair}/whites", "whites.stop_search"),
                (f"/sets/{many}", "working.stop"),
            ):
                self._kept(page, self.send(self.host.asks("GET", page)))
                self.press(stop)
        finally:
            self.send(Ask(LET_GO))
        self.press("whites.search_again")

    def _white(self, set_id: str) -> str:
        until, page = time.monotonic() + _MOST, f"/sets/{set_id}/whites"
        while f'action="{page}"' not in self.look(page).text and time.monotonic() < until:
            time.sleep(0.02)
        self.press("whites.adopt_white")
        self.press("whites.take_back")
        return set_id

    def _removed(self, set_id: str) -> str:
        """Remove a source and the set, and bring both back."""
        self.look(f"/sources/{self.sources(set_id)[-1]}")
        self.look(f"/sources/{self.sources(set_id)[-1]}/edit")
        self.press("sources.delete_source")
        self.press("sources.restore_source")
        self.look(f"/sets/{set_id}/edit")
        self.press("sets.delete_set")
        self.press("sets.restore_set")
        return set_id

    def _on_set(self, set_id: str) -> str:
        """Plan what the pages of a set offer: ways on, light that is asked for, heads that match."""
        window, lamp, doubted, key, sign = self.sources(set_id)
        self.look(f"/sources/{window}")
        self.press("sources.be_head")
        self.press("undo.undo_head")
        # As a lamp reads behind half of the gel that is said to hang.
        odd = urlencoded([("cct", "4170"), ("duv", "-0.002"), ("lux", "520"), ("behind", "hung")])
        self.send(self.host.asks("POST", f"/sources/{doubted}/reading", odd, FORM))
        for source in (window, lamp, doubted, sign):
            self.look(f"/sources/{source}")
        self.look(f"/sets/{set_id}/plans")
        self.press("next_plans.adopt_plan")
        self.press("next_plans.take_back")
        self.look(f"/sets/{set_id}/light/asked?f_number=2.8")
        self.press("light_asked.plan_light", **{f"way_{key}": "distance"})
        self.look(f"/sources/{key}")
        self.press("work.move_stand", action="done")
        for action in ("out", "back", "same"):
            self.look(f"/sources/{key}")
            self.press("lamp.set_lamp", action=action)
        # Its gel lets less and less through, and then a bare reading is as if another hung before it.
        self._read(lamp, ("cct", "5690"), ("duv", "0.0003"), ("lux", "350"), ("behind", "hung"))
        self._read(lamp, ("cct", "4540"), ("duv", "0.0017"), ("lux", "420"), ("behind", "hung"))
        self._read(sign, ("cct", "3230"), ("duv", "0"), ("lux", "90"), ("behind", "bare"))
        self._read(sign, ("cct", "5700"), ("duv", "0.0002"), ("lux", "31"), ("behind", "bare"))
        self.look(f"/sets/{set_id}/together?head={lamp}&head={doubted}")
        self.look(f"/sets/{set_id}/order")
        self.send(self.host.asks("POST", f"/sources/{lamp}/take"))
        self.look(f"/sets/{set_id}/order")
        for view in ("orders.wrap", "orders.take_down", "orders.wrap"):
            self.press(view)
        return set_id

    def _read(self, source: str, *reading: tuple[str, str]) -> None:
        """Meter a source, and look at its page."""
        page = f"/sources/{source}"
        self.send(self.host.asks("POST", f"{page}/reading", urlencoded([*reading]), FORM))
        self.look(page)

    def _answered_alike(self, set_id: str) -> str:
        first, second = self.sources(set_id)
        self.look(f"/sources/{first}")
        self.press("work.set_kind", kind="fluorescent", alike=second)
        return set_id

    def _brought(self, text: str) -> str:
        """Bring a set in from its file, and return its number."""
        sent = multipart([("copy", "yes")], [("file", "set.json", text.encode())])
        told = self.send(self.host.asks("POST", "/sets/import", sent, MULTIPART))
        return re.findall(r"/sets/(\d+)", told.location or told.text)[0]

    def _on(self, page: str, view: str) -> list[Shown]:
        html = self.send(self.host.asks("GET", page)).text
        return forms_on(page, html, self.routes).get(view, [])[:1]

    def _kept(self, path: str, told: Told) -> Told:
        for view, found in forms_on(path, told.text, self.routes).items():
            self.forms.setdefault(view, []).extend(found[:3])
        return told


def filled(rule: str, ids: dict[str, list[str]]) -> str:
    """Return an address with the first of `ids` for each of its names."""
    values = {name: there[0] for name, there in ids.items()}
    path = re.sub(r"<(?:\w+:)?(\w+)>", lambda found: values.get(found[1], ""), rule)
    return path.replace("/gels/edit", "/gels/edit?name=CTO+1%2F4")


def with_token(send: Sender, who: Who) -> Who:
    """Return somebody with the token of their forms."""
    page = send(who.asks("GET", "/look")).text
    found = re.search(r'name="token" (?:value|content)="([^"]*)"', page)
    return Who(who.base, who.address, who.cookie, found[1] if found else "")


def new_key(send: Sender) -> str:
    """Make a key for a program that may look."""
    host = with_token(send, Who())
    page = send(host.asks("POST", "/host/keys", urlencoded([("name", "Desk"), ("role", "look")]), FORM)).text
    return re.findall(r'<p class="key">([\w-]+)</p>', page)[-1]


def _joined(send: Sender) -> Who:
    """Join as a phone with the role that new phones have at the time."""
    code = send(Ask(CODE)).text
    stranger = Who(BASE, _A_PHONE)
    page = send(stranger.asks("GET", "/join")).text
    token = re.findall(r'name="token" value="([^"]*)"', page)[0]
    body = urlencoded([("name", "Mia"), ("code", code), ("token", token)])
    answer = send(stranger.asks("POST", "/join", body, FORM))
    return with_token(send, Who(BASE, _A_PHONE, answer.cookie))
