"""Requests to the API: from its own description, from models, right and spoiled, and no JSON at all."""

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

import schemathesis
from hypothesis import strategies as st
from schemathesis import Case, GenerationMode

from advisor.model import Limits, Reading, Target
from tests.fuzz.door import HOST, Ask
from tests.fuzz.json_texts import damaged, encoded, junk, spoiled
from tests.strategies import gels, limits, readings_cct_duv, sources, targets

PATHS = ("/api/v1/advice", "/api/v1/prediction", "/api/v1/plans", "/api/v1/heads")
_METHODS = ["GET", "HEAD", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "POST", "BREW", "post"]
_KINDS = [
    "application/json", "application/json; charset=utf-8", "application/json; charset=nonsense", "text/json",
    "",
    "application/x-www-form-urlencoded", "multipart/form-data", "multipart/form-data; boundary=x",
    "text/plain",
    "application/problem+json", "a/b;" * 200, "application/json;" + "é" * 20,
]  # fmt: skip
_HEADERS: dict[str, list[str]] = {
    "Accept": ["text/html", "*/*;q=x", "application/xml", ",;,"],
    "Accept-Encoding": ["gzip;q=0", "br", "gzip, " * 100, "*"],
    "Content-Encoding": ["gzip", "deflate"],
    "Content-Length": ["-1", "0", "x", "99999999", "33000000"],
    "Cookie": ["look=day; light=fc", "=;=;", "advisor_phone=" + "x" * 4000, "who=%ff%00; look=\xff"],
    "Idempotency-Key": ["a" * 16, "x", "é" * 20, "k" * 65],
    "If-Match": ['"1"', "*", "W/x", '"' + "9" * 400 + '"'],
    "If-None-Match": ["*", '"x"', 'W/"'],
    "Range": ["bytes=0-1", "bytes=-", "x"],
    "Origin": ["http://elsewhere.example", "null", HOST],
    "Transfer-Encoding": ["chunked"],
    "X-Forwarded-For": ["127.0.0.1", "x" * 5000],
}
"""What may stand in headers that the server looks at, and in some that it does not."""


def headers() -> st.SearchStrategy[tuple[tuple[str, str], ...]]:
    """Make a few headers, mostly none."""
    one = st.sampled_from(sorted(_HEADERS)).flatmap(
        lambda name: st.sampled_from(_HEADERS[name]).map(lambda value: (name, value))
    )
    return st.just(()) | st.lists(one, max_size=3, unique_by=lambda header: header[0]).map(tuple)


def described(document: dict[str, Any]) -> st.SearchStrategy[Ask]:
    """Make requests from the API's own OpenAPI document, as it allows and as it does not."""
    schema = schemathesis.openapi.from_dict(document)
    schema.config.update(base_url=HOST)
    return st.one_of(
        schema[path][method].as_strategy(generation_mode=mode).map(_asked)
        for path, methods in document["paths"].items()
        for method in map(str.upper, methods)
        for mode in GenerationMode
    )


def _asked(case: Case) -> Ask:
    sent = case.as_transport_kwargs()
    body = sent.get("data", b"")
    if "json" in sent:
        body = json.dumps(sent["json"])
    if isinstance(body, str):
        body = body.encode("utf-8", "surrogatepass")
    given = tuple(
        (k, v)
        for k, v in sent["headers"].items()
        if k.lower() not in ("user-agent", "x-schemathesis-testcaseid")
    )
    return Ask(sent["method"], case.path, body if isinstance(body, bytes) else b"", given)


def _white() -> st.SearchStrategy[Reading]:
    """Make readings as meters show them of lamps: near white."""
    return st.builds(Reading, cct=st.floats(1800, 12_000), duv=st.floats(-0.01, 0.01))


@st.composite
def tested(draw: st.DrawFn) -> dict[str, Any]:
    """Make a test of a head as one document, of a few heads, so that some come twice."""
    reading = st.builds(
        lambda white, level, modifier: {
            **white.model_dump(mode="json"),
            "level": level,
            "modifier": modifier,
        },
        _white() | readings_cct_duv(),
        st.sampled_from([100, 50, 10]),
        st.sampled_from(["", "dish"]),
    )
    head = {"name": draw(st.sampled_from(["Panel 3", "panel 3", "Fresnel"]))}
    begun = draw(st.none() | st.just("2026-03-14T15:00:00Z"))
    return {"head": head, "begun_at": begun, "readings": draw(st.lists(reading, min_size=1, max_size=4))}


@st.composite
def right(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """Make what an operation takes, with its path; most of it means something, some lights are none."""
    of = st.none() | st.just(readings_cct_duv()) | st.just(_white())
    lamps = draw(
        of.flatmap(
            lambda reading: st.lists(
                sources(reading=reading), min_size=1, max_size=3, unique_by=lambda lamp: lamp.name.casefold()
            )
        )
    )
    rows = draw(st.none() | st.lists(gels(), max_size=5, unique_by=lambda gel: gel.name.casefold()))
    white = draw(targets([lamps[0].name]) | st.just(Target(cct=5600.0)))
    own = None if rows is None else [row.model_dump(mode="json") for row in rows]
    asked: dict[str, Any] = {"target": white.model_dump(mode="json"), "gels": own}
    kept = {} if draw(st.integers(0, 4)) == 0 else {"keep": []}  # what a lamp is to keep is seldom there
    written = [{**lamp.model_dump(mode="json"), **kept} for lamp in lamps]
    if draw(st.integers(0, 5)) == 0:
        named = draw(st.sampled_from([1, "Panel 3", "fresnel", 2**40]))
        written[0] = {
            "name": written[0]["name"],
            "head": named,
            "level": draw(st.sampled_from([None, 100, 25, 3])),
        }
    if draw(st.booleans()):
        limited: Limits = draw(limits())
        asked |= {"sources": written, **limited.model_dump(mode="json")}
        return draw(st.sampled_from([PATHS[0], PATHS[2]])), asked
    if draw(st.integers(0, 3)) == 0:
        return PATHS[3], draw(tested())
    hung = [row.name for row in rows] if rows else ["CTO 1/4", "CTB full", "Nothing 1/8"]
    stack = draw(st.lists(st.sampled_from(hung), max_size=4))
    return PATHS[1], asked | {"source": written[0], "stack": stack}


@st.composite
def exemplary(
    draw: st.DrawFn, document: dict[str, Any], ids: Mapping[str, Sequence[str]]
) -> tuple[str, dict[str, Any]]:
    """Make what an operation takes after the example in its description, for what there is by its `ids`."""
    shown = {
        path: does["post"]["requestBody"]["content"]["application/json"]["example"]
        for path, does in document["paths"].items()
        if "requestBody" in does.get("post", {})
    }
    path = draw(st.sampled_from(sorted(shown)))
    return path.format(**_numbers(draw, path, ids)), shown[path]


def _numbers(draw: st.DrawFn, path: str, ids: Mapping[str, Sequence[str]]) -> dict[str, str]:
    """Return what stands in a path for each of its names: mostly what there is."""
    wrong = ["0", "-1", str(2**63), "x", "%00"]
    return {
        name: draw(st.sampled_from([*ids.get(name, ["1"]) * 4, *wrong]))
        for name in re.findall(r"{(\w+)}", path)
    }


@st.composite
def near(draw: st.DrawFn, values: st.SearchStrategy[tuple[str, dict[str, Any]]]) -> Ask:
    """Make requests that are right, as `values` are, or were so before something was done to them."""
    path, value = draw(values)
    how = draw(st.sampled_from(["right", "right", "spoiled", "spoiled", "damaged"]))
    text = json.dumps(value) if how != "spoiled" else draw(spoiled(value))
    if how == "damaged":
        text = draw(damaged(text))
    kind = draw(st.sampled_from(["application/json"] * 12 + _KINDS))
    also = draw(headers())
    return Ask("POST", path, draw(encoded(text)), (("Content-Type", kind), *also) if kind else also)


@st.composite
def far(draw: st.DrawFn) -> Ask:
    """Make requests with any method, kind of content and body, to the API's addresses and nearby."""
    path = draw(
        st.sampled_from(
            [*PATHS, "/api/v1/openapi.json", "/api/v1/", "/api/v1/advice/", "/api/v2/%00", "/api//"]
        )
    )
    query = draw(
        st.just("") | st.text(st.characters(max_codepoint=127, exclude_characters="#\r\n"), max_size=20)
    )
    body = draw(st.binary(max_size=200) | junk().map(lambda value: json.dumps(value).encode()))
    method, kind = draw(st.sampled_from(_METHODS)), draw(st.sampled_from(_KINDS))
    also = draw(headers())
    return Ask(method, path + (f"?{query}" if query else ""), body, (("Content-Type", kind), *also))


@st.composite
def looked(draw: st.DrawFn, document: dict[str, Any], ids: Mapping[str, Sequence[str]]) -> Ask:
    """Make requests that look at what there is, and at what there is not."""
    path = draw(st.sampled_from(sorted(path for path, does in document["paths"].items() if "get" in does)))
    return Ask("GET", path.format(**_numbers(draw, path, ids)), headers=draw(headers()))


def api_asks(document: dict[str, Any], ids: Mapping[str, Sequence[str]]) -> st.SearchStrategy[Ask]:
    """Make requests to the API, of which `document` is the description; `ids` are those that there are."""
    ways = [
        described(document), described(document), near(right()), near(exemplary(document, ids)), far(),
        looked(document, ids),
    ]  # fmt: skip

    @st.composite
    def chosen(draw: st.DrawFn) -> Ask:
        # Not one of them all: that would choose among the many of the first.
        return draw(ways[draw(st.integers(0, len(ways) - 1))])

    return chosen()
