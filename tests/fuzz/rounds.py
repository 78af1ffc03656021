"""Rounds of generated requests, each on a sample set of its own, so that earlier ones do not weigh on it."""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import hypothesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from werkzeug.routing import Map

from tests.fuzz.api_asks import api_asks
from tests.fuzz.door import CODE, READ, READ_TEXT, STRANGER, Ask, Tally, Told, Who
from tests.fuzz.form_asks import FORM, MULTIPART, Shown, form_asks, forms_on, multipart, showing, urlencoded
from tests.fuzz.json_texts import damaged, encoded, junk, spoiled
from tests.fuzz.pastes import pastes
from tests.web.phones import BASE
from tests.web.schema import faults

Sender = Callable[[Ask], Told]
_T = TypeVar("_T")
_A_PHONE, _A_PROGRAM = "192.168.7.20", "192.168.7.40"


def each(strategy: st.SearchStrategy[_T], count: int, number: int, act: Callable[[_T], None]) -> None:
    """Act on `count` values of a strategy, the same ones for the same `number`."""

    @hypothesis.seed(number)
    @settings(
        max_examples=count,
        phases=[Phase.generate],
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(strategy)
    def go(value: _T) -> None:
        act(value)

    go()


@dataclass
class Stage:
    """A sample set to act on, who may ask, and the forms that the pages about it show."""

    ids: dict[str, list[str]]
    crowd: list[Who]
    forms: dict[str, list[Shown]]
    host: Who


@contextmanager
def staged(send: Sender, routes: Map) -> Iterator[Stage]:
    """Load a sample set, and take it away afterwards; the gel table is put back."""
    host = _with_token(send, Who())
    made = send(host.asks("POST", "/sample"))
    [set_id] = re.findall(r"/sets/(\d+)", made.location)
    sources = sorted(
        set(re.findall(r'"/sources/(\d+)', send(host.asks("GET", f"/sets/{set_id}")).text)), key=int
    )
    _lived(send, host, sources, routes)
    phone = _joined(send)
    phones = re.findall(r"/host/phones/(\d+)", send(host.asks("GET", "/host")).text)
    record = send(host.asks("GET", f"/sets/{set_id}/record")).text
    heads = sorted(set(re.findall(r"/heads/(\d+)", send(host.asks("GET", "/heads")).text)), key=int)
    tests = [
        t for h in heads for t in re.findall(r"/tests/(\d+)", send(host.asks("GET", f"/heads/{h}")).text)
    ]
    ids = {
        "set_id": [set_id],
        "head_id": heads or ["1"],
        "test_id": sorted(set(tests), key=int) or ["1"],
        "source_id": sources,
        "phone_id": phones[-1:] or ["1"],
        "reading_id": re.findall(r"/readings/(\d+)", record),
        "change_id": re.findall(r"/changes/(\d+)", record) or ["1"],
    }
    forms: dict[str, list[Shown]] = {}
    for path in [p for rule in showing(routes) if (p := _filled(rule.rule, ids))]:
        for view, found in forms_on(path, send(host.asks("GET", path)).text, routes).items():
            forms.setdefault(view, []).extend(found[:3])
    yield Stage(ids, [host] * 10 + [phone, STRANGER], forms, host)
    host = _with_token(send, Who())
    send(host.asks("POST", "/gels/back", b"version=0", FORM))
    send(host.asks("POST", f"/sets/{set_id}/delete"))
    send(host.asks("POST", "/sample/remove"))


def _lived(send: Sender, host: Who, sources: Sequence[str], routes: Map) -> None:
    """Hang on some sources what is offered, meter one far from that, strike a reading out, undo a change.

    So pages show the forms that only such a set has.
    """
    for source in sources[:3]:
        page = f"/sources/{source}"
        shown = forms_on(page, send(host.asks("GET", page)).text, routes)
        for form in shown.get("work.set_work", [])[:1]:
            send(host.asks("POST", form.action, urlencoded(form.fields), FORM))
        for cct in (4990, 7100):
            body = urlencoded([("cct", str(cct)), ("duv", "0.001"), ("lux", "800")])
            send(host.asks("POST", f"{page}/reading", body, FORM))
    page = f"/sources/{sources[0]}"
    for form in forms_on(page, send(host.asks("GET", page)).text, routes).get("undo.strike_reading", [])[:1]:
        send(host.asks("POST", form.action, urlencoded(form.fields), FORM))
    _key(send)


def _filled(rule: str, ids: dict[str, list[str]]) -> str:
    values = {name: there[0] for name, there in ids.items()}
    path = re.sub(r"<(?:\w+:)?(\w+)>", lambda found: values.get(found[1], ""), rule)
    return path.replace("/gels/edit", "/gels/edit?name=CTO+1%2F4")


def _with_token(send: Sender, who: Who) -> Who:
    page = send(who.asks("GET", "/look")).text
    found = re.search(r'name="token" (?:value|content)="([^"]*)"', page)
    return Who(who.base, who.address, who.cookie, found[1] if found else "")


def _joined(send: Sender) -> Who:
    """Join as a phone with the role that new phones have at the time."""
    code = send(Ask(CODE)).text
    stranger = Who(BASE, _A_PHONE)
    page = send(stranger.asks("GET", "/join")).text
    token = re.findall(r'name="token" value="([^"]*)"', page)[0]
    body = urlencoded([("name", "Mia"), ("code", code), ("token", token)])
    answer = send(stranger.asks("POST", "/join", body, FORM))
    return _with_token(send, Who(BASE, _A_PHONE, answer.cookie))


def api_round(send: Sender, tally: Tally, count: int, number: int) -> None:
    """Send generated requests to the API; what it answers is to be as its description says.

    Some come from a program on the network, with a key that may only look.
    """
    document = json.loads(send(Ask("GET", "/api/v1/openapi.json")).text)
    key, host = _key(send), _with_token(send, Who())
    [set_id] = re.findall(r"/sets/(\d+)", send(host.asks("POST", "/sample")).location)
    ids = {"set_id": [set_id], "number": ["1", "2", "3"]}

    def act(drawn: tuple[Ask, bool]) -> None:
        ask, away = drawn
        if away:
            kept = tuple(header for header in ask.headers if header[0] != "Origin")
            ask = replace(
                ask, base=BASE, address=_A_PROGRAM, headers=(*kept, ("Authorization", f"Bearer {key}"))
            )
        told = tally.add(ask, send(ask))
        path = ask.path.partition("?")[0]
        known = (does for told_of, does in document["paths"].items() if _fits(path, told_of))
        does = next(known, {}).get(ask.method.lower() if ask.method.isupper() else "", {})
        if str(told.status) in does.get("responses", ()):
            schema = does["responses"][str(told.status)]["content"]["application/json"]["schema"]
            wrong = list(faults(_json(told.text), schema, document))
            tally.faults += [f"{told.status} {wrong[:2]}: {ask}"] if wrong else []

    away = st.sampled_from([False, False, True])
    each(st.tuples(api_asks(document, ids), away), count, number, act)
    send(_with_token(send, Who()).asks("POST", "/sample/remove"))


def _fits(path: str, described: str) -> bool:
    """Whether an address is one of those that are described, with numbers in the place of names."""
    return re.fullmatch(re.sub(r"{\w+}", r"\\d+", described), path) is not None


def _key(send: Sender) -> str:
    """Make a key for a program that may look."""
    host = _with_token(send, Who())
    page = send(host.asks("POST", "/host/keys", urlencoded([("name", "Desk"), ("role", "look")]), FORM)).text
    return re.findall(r'<p class="key">([\w-]+)</p>', page)[-1]


def _json(text: str) -> Any:
    """Read an answer; what is no JSON comes back as text, which no description allows."""
    try:
        return json.loads(text, parse_constant=lambda name: f"{name}, which is no JSON")
    except json.JSONDecodeError:
        return text


def paste_round(send: Sender, tally: Tally, count: int, number: int, routes: Map) -> None:
    """Paste generated texts on the page, as text and as files, and read them; some are saved then."""
    with staged(send, routes) as stage:
        [set_id] = stage.ids["set_id"]

        def act(drawn: tuple[str, str, bool]) -> None:
            text, way, save = drawn
            path, body = f"/sets/{set_id}/paste", text.encode("utf-8", "surrogatepass")
            match way:
                case "read":
                    ask = Ask(READ, body=text.encode("utf-16" if save else "utf-8", "replace"))
                case "read text":
                    ask = Ask(READ_TEXT, body=body)
                case "file":
                    sent = multipart([], [("file", "a.csv", body)])
                    ask = stage.host.asks("POST", path, sent, MULTIPART)
                case "gels":
                    ask = stage.host.asks("POST", "/gels/import", urlencoded([("text", text)]), FORM)
                case _:
                    ask = stage.host.asks("POST", path, urlencoded([("text", text)]), FORM)
            told = tally.add(ask, send(ask))
            if save and way == "page" and told.status == 200:
                again = _saved(told.text, path, routes)
                told = tally.add(ask, send(stage.host.asks("POST", path, again, FORM)))
                if told.location:
                    page = stage.host.asks("GET", told.location)
                    tally.add(page, send(page))

        ways = st.sampled_from(["page"] * 4 + ["file", "read", "read text", "gels"])
        each(st.tuples(pastes(), ways, st.sampled_from([False] * 7 + [True])), count, number, act)


def _saved(html: str, path: str, routes: Map) -> bytes:
    """Return what the page's form sends when it is saved as it stands."""
    [shown, *_] = forms_on(path, html, routes)["paste.paste_readings"]
    buttons = ("save", "set", "open", "forget", "untick")
    return urlencoded([*((k, v) for k, v in shown.fields if k not in buttons), ("save", "yes")])


def form_round(send: Sender, tally: Tally, count: int, number: int, routes: Map) -> None:
    """Send generated forms to every view that takes one, and look at where each leads."""
    with staged(send, routes) as stage:

        def act(ask: Ask) -> None:
            told = tally.add(ask, send(ask))
            if back := _back(told.location):  # else nothing would be left to act on
                send(stage.host.asks("POST", back))
            if told.location.startswith("/"):
                page = Ask("GET", told.location, headers=ask.headers[:3], base=ask.base, address=ask.address)
                tally.add(page, send(page))

        each(form_asks(routes, stage.forms, stage.ids, stage.crowd), count, number, act)
        for path in [p for rule in showing(routes) if (p := _filled(rule.rule, stage.ids))]:
            page = stage.host.asks("GET", path)
            tally.add(page, send(page))


def _back(location: str) -> str:
    """Return where a removal is taken back, if that is what was done."""
    if found := re.fullmatch(r"/sets\?removed=(\d+)", location):
        return f"/sets/{found[1]}/restore"
    found = re.fullmatch(r"/sets/\d+\?removed=(\d+)", location)
    return f"/sources/{found[1]}/restore" if found else ""


def record_round(send: Sender, tally: Tally, count: int, number: int, routes: Map) -> None:
    """Import spoiled records of a set; a set that one of them restored is looked at, and goes."""
    with staged(send, routes) as stage:
        good = json.loads(send(stage.host.asks("GET", f"/sets/{stage.ids['set_id'][0]}/export.json")).text)
        small = {
            **good,
            "gels": good["gels"][:2],
            "history": good["history"][:2],
            "sources": good["sources"][:2],
        }

        def act(drawn: tuple[bytes, bool]) -> None:
            data, copy = drawn
            fields = [("copy", "yes")] if copy else []
            sent = multipart(fields, [("file", "set.json", data)])
            ask = stage.host.asks("POST", "/sets/import", sent, MULTIPART)
            told = tally.add(ask, send(ask))
            for set_id in (
                re.findall(r"/sets/(\d+)", told.location or told.text)[:1] if told.status < 400 else []
            ):
                for path in (f"/sets/{set_id}", f"/sets/{set_id}/record", f"/sets/{set_id}/export.json"):
                    page = stage.host.asks("GET", path)
                    tally.add(page, send(page))
                send(stage.host.asks("POST", f"/sets/{set_id}/delete"))

        texts = st.sampled_from([good, small, small]).flatmap(spoiled)
        texts |= st.just(json.dumps(small)) | texts.flatmap(damaged) | junk().map(json.dumps)
        each(st.tuples(texts.flatmap(encoded), st.booleans()), count, number, act)


def heads_round(send: Sender, tally: Tally, count: int, number: int, routes: Map) -> None:
    """Import spoiled files of heads, some of them to the end; what came is looked at."""
    with staged(send, routes) as stage:
        good = json.loads(send(stage.host.asks("GET", "/heads/export.json")).text)
        small = {**good, "heads": good["heads"][:1]}

        def act(drawn: tuple[bytes, bool]) -> None:
            data, whole = drawn
            sent = multipart([], [("file", "heads.json", data)])
            ask = stage.host.asks("POST", "/heads/import", sent, MULTIPART)
            told = tally.add(ask, send(ask))
            shown = forms_on("/heads/import", told.text, routes).get("head_exchange.import_heads", [])
            if whole and told.status == 200 and shown:
                ask = stage.host.asks("POST", "/heads/import", urlencoded(shown[0].fields), FORM)
                told = tally.add(ask, send(ask))
            if told.location:
                for path in ("/heads", *(f"/heads/{head}" for head in stage.ids["head_id"])):
                    page = stage.host.asks("GET", path)
                    tally.add(page, send(page))

        texts = st.sampled_from([good, small, small]).flatmap(spoiled)
        texts |= st.just(json.dumps(small)) | texts.flatmap(damaged) | junk().map(json.dumps)
        each(st.tuples(texts.flatmap(encoded), st.booleans()), count, number, act)
