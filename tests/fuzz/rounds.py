"""Rounds of generated requests, each on a sample set of its own, so that earlier ones do not weigh on it."""

import json
import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any, TypeVar

import hypothesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from werkzeug.routing import Map

from tests.fuzz.api_asks import api_asks
from tests.fuzz.door import READ, READ_TEXT, Ask, Tally, Who
from tests.fuzz.form_asks import (
    FORM,
    MULTIPART,
    changing,
    form_asks,
    forms_on,
    multipart,
    page_asks,
    showing,
    urlencoded,
)
from tests.fuzz.json_texts import damaged, encoded, junk, spoiled
from tests.fuzz.pastes import pastes
from tests.fuzz.staging import Sender, filled, new_key, staged, with_token
from tests.web.phones import BASE
from tests.web.schema import faults

_T = TypeVar("_T")
_A_PROGRAM = "192.168.7.40"
_ENDING = re.compile(r"remove|delete|revoke|restore")


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


def api_round(send: Sender, tally: Tally, count: int, number: int) -> None:
    """Send generated requests to the API; what it answers is to be as its description says.

    Some come from a program on the network, with a key that may only look.
    """
    document = json.loads(send(Ask("GET", "/api/v1/openapi.json")).text)
    key, host = new_key(send), with_token(send, Who())
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
    send(with_token(send, Who()).asks("POST", "/sample/remove"))


def _fits(path: str, described: str) -> bool:
    """Whether an address is one of those that are described, with numbers in the place of names."""
    return re.fullmatch(re.sub(r"{\w+}", r"\\d+", described), path) is not None


def _json(text: str) -> Any:
    """Read an answer; what is no JSON comes back as text, which no description allows."""
    try:
        return json.loads(text, parse_constant=lambda name: f"{name}, which is no JSON")
    except json.JSONDecodeError:
        return text


def paste_round(send: Sender, tally: Tally, count: int, number: int, routes: Map) -> None:
    """Paste generated texts on the page, as text and as files, and read them; some are saved then."""
    with staged(send, routes) as stage:
        set_id = stage.ids["set_id"][0]

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
    """Send generated forms to every view that takes one, and look at where each leads.

    What ends the sample, or puts somebody out, comes last.
    """
    with staged(send, routes, forms=True) as stage:

        def act(ask: Ask) -> None:
            told = tally.add(ask, send(ask))
            if back := _back(told.location):  # else nothing would be left to act on
                send(stage.host.asks("POST", back))
            if told.location.startswith("/"):
                page = Ask("GET", told.location, headers=ask.headers[:3], base=ask.base, address=ask.address)
                tally.add(page, send(page))

        rules = sorted(changing(routes), key=lambda rule: (bool(_ENDING.search(rule.endpoint)), rule.rule))
        each(page_asks(routes, stage.ids, stage.crowd), count // 6, number, act)
        for rule in rules:
            if rule.endpoint in stage.forms:
                tally.views.add(rule.endpoint)
            asks = form_asks(rule, stage.forms, stage.ids, stage.crowd)
            # The first of all is the form as it was shown.
            each(asks, -(-count // len(rules)), number, act)
        for path in [p for rule in showing(routes) if (p := filled(rule.rule, stage.ids))]:
            page = stage.host.asks("GET", path)
            tally.add(page, send(page))


def _back(location: str) -> str:
    """Return where a removal is taken back, if that is what was done."""
    if found := re.fullmatch(r"/sets\?removed=(\d+)", location):
        return f"/sets/{found[1]}/restore"
    found = re.fullmatch(r"/sets/\d+\?removed=(\d+)", location)
    return f"/sources/{found[1]}/restore" if found else ""


def _files_of(good: dict, small: dict) -> st.SearchStrategy[bytes]:
    """Draw files to import, most of them spoiled. One in four is right, however a Hypothesis draws."""
    spoilt = st.sampled_from([good, small, small]).flatmap(spoiled)
    spoilt |= spoilt.flatmap(damaged) | junk().map(json.dumps)
    right = st.just(json.dumps(small))
    return st.sampled_from([right, spoilt, spoilt, spoilt]).flatmap(lambda drawn: drawn).flatmap(encoded)


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

        each(st.tuples(_files_of(good, small), st.booleans()), count, number, act)


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

        for whole in (False, True, True):  # looked at, imported and once more, whatever is drawn then
            act((json.dumps(small).encode(), whole))
        each(st.tuples(_files_of(good, small), st.booleans()), count, number, act)
