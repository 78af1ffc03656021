"""Forms as the pages show them, filled in by somebody who means no good; and addresses with queries."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import quote, quote_from_bytes, urljoin, urlsplit

from hypothesis import strategies as st
from werkzeug.exceptions import HTTPException
from werkzeug.routing import Map, Rule

from tests.fuzz.api_asks import headers
from tests.fuzz.door import Ask, Who
from tests.fuzz.json_texts import EDGES
from tests.fuzz.pastes import pastes

WRONG = [
    "0",
    "999999",
    str(2**31),
    str(2**63 - 1),
    str(2**63),
    str(10**40),
    "-1",
    "1.5",
    "x",
    "%00",
    "٣",
    "../1",
]
"""Numbers of sets, sources and phones that there are not, and what is no number."""
_TYPED = [
    "", " ", "0", "-1", "5600", "5,6 K", "1e999", "NaN", "∞", "9" * 5000, "1/0", "1/48", "1/1e999", "½",
    "3' 6\"", "2 ft 1/99 in",
    "1e308 km", "٥٦", "yes", "on", "planckian", "source:", "source:Window", "with:", "as-read", "{}", "[]",
    "null",
    '{"gels": ["CTO 1/4"]}', '{"gels": ["CTO 1/4"], "dial": {"cct": 1e999}}', '{"a":' * 3000, "CTO 1/4",
    "CTO 1/4" * 200,
    "<script>alert(1)</script>", "=HYPERLINK(1)", "\ud800", "\x00", "\u202e", "x" * 600, "é" * 90, "🎬" * 30,
    "a\nb\r\nc",
    "{{ 7 * 7 }}", "%s%n", "../../etc", "1;2,3", "380 0.1\n385 0.2", "name,kind\nA,tungsten", str(2**63),
    "-" * 50,
]  # fmt: skip
_QUERIES = [
    "also", "format", "with", "source", "added", "removed", "to", "readings", "part", "job", "gel", "name",
    "next", "out",
    "kept", "first", "second", "cct", "duv", "lux", "x", "y", "kind", "target_cct", "target_locus",
    "target_duv_offset",
]  # fmt: skip
_BOUNDARY = "generated-7d1f"


@dataclass
class Shown:
    """A form on a page: its fields with what stands in them, and what else each offers."""

    action: str
    fields: list[tuple[str, str]] = field(default_factory=list)
    choices: dict[str, list[str]] = field(default_factory=dict)


class _Forms(HTMLParser):
    def __init__(self, path: str, html: str) -> None:
        super().__init__()
        self.path = path
        self.shown: list[Shown] = []
        self._form: Shown | None = None
        self._select, self._text = "", False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {k: v or "" for k, v in attrs}
        if tag == "form" and found.get("method") == "post":
            self._form = Shown(urljoin(self.path, found.get("action", "")))
            self.shown.append(self._form)
        if self._form is None:
            return
        name, value = found.get("name", ""), found.get("value", "")
        if tag in ("input", "textarea", "select", "button") and name:
            self._form.choices.setdefault(name, []).append(value)
            # A button is pressed, or another of its name is; a box is sent where it is ticked.
            once = tag == "button" and name not in dict(self._form.fields)
            if once or tag in ("textarea", "select") or (tag == "input" and _sent(found)):
                self._form.fields.append((name, value))
            self._select, self._text = (name, False) if tag == "select" else ("", tag == "textarea")
        elif tag == "option" and self._select:
            self._form.choices[self._select].append(value)
            if "selected" in found or len(self._form.choices[self._select]) == 2:
                self._form.fields[-1] = (self._select, value)

    def handle_data(self, data: str) -> None:
        if self._form and self._text:
            name, before = self._form.fields[-1]
            self._form.fields[-1] = (name, before + data)

    def handle_endtag(self, tag: str) -> None:
        self._text = self._text and tag != "textarea"
        if tag == "form":
            self._form = None


def _sent(found: Mapping[str, str]) -> bool:
    return found.get("type") not in ("checkbox", "radio", "file") or "checked" in found


def forms_on(path: str, html: str, routes: Map) -> dict[str, list[Shown]]:
    """Return the forms of a page by the views that they go to."""
    found: dict[str, list[Shown]] = {}
    to = routes.bind("localhost")
    for shown in _Forms(path, html).shown:
        try:
            view, _ = to.match(urlsplit(shown.action).path, method="POST")
        except HTTPException:
            view = "(nowhere)"
        found.setdefault(view, []).append(shown)
    return found


def changing(routes: Map) -> list[Rule]:
    """Return the addresses that take forms."""
    return [r for r in routes.iter_rules() if "POST" in (r.methods or ()) and not r.rule.startswith("/api/")]


def showing(routes: Map) -> list[Rule]:
    """Return the addresses of pages."""
    return [r for r in routes.iter_rules() if "GET" in (r.methods or ()) and r.endpoint != "static"]


@st.composite
def _paths(draw: st.DrawFn, rule: Rule, ids: Mapping[str, Sequence[str]]) -> str:
    """Fill in an address; `ids` are those that there are, by the names in the address."""

    def one(found: re.Match[str]) -> str:
        there = list(ids.get(found[1], ["7KQ2-M4XD"]))
        return draw(st.sampled_from(there) if draw(st.integers(0, 7)) else st.sampled_from(WRONG))

    return re.sub(r"<(?:\w+:)?(\w+)>", one, rule.rule)


def _values(offered: Sequence[str]) -> st.SearchStrategy[str]:
    plain = st.sampled_from(_TYPED) | st.sampled_from(EDGES).map(str) | st.text(max_size=20)
    return st.sampled_from(offered) | plain if offered else plain


@st.composite
def _filled(draw: st.DrawFn, shown: Shown, names: Sequence[str]) -> list[tuple[str, str]]:
    """Fill in a form: most fields as they stand there, some not."""
    items: list[tuple[str, str]] = []
    usual = draw(
        st.sampled_from([["keep"], ["keep"] * 9 + ["new"], ["keep", "new", "gone", "twice", "long"]])
    )
    for name, value in shown.fields:
        offered = shown.choices.get(name, [])
        if name in ("revision", "version", "tap") and draw(st.integers(0, 3)):
            continue  # it is stale soon, and then nothing else is looked at
        match draw(st.sampled_from(usual)):
            case "keep":
                items.append((name, value))
            case "new":
                items.append((name, draw(_values(offered))))
            case "twice":
                items += [(name, value), (name, draw(_values(offered)))]
            case "long":
                items.append((name, draw(pastes())))
    further = st.tuples(st.sampled_from(list(names)) | st.text(max_size=8), _values([]))
    most = 0 if usual == ["keep"] else 3 if shown.fields else 6
    return items + draw(st.lists(further, max_size=most))


def urlencoded(items: Sequence[tuple[str, str]]) -> bytes:
    """Write fields as a form sends them; half signs go as bytes that are no UTF-8."""
    coded = [
        tuple(quote_from_bytes(part.encode("utf-8", "surrogatepass")) for part in item) for item in items
    ]
    return "&".join(f"{k}={v}" for k, v in coded).encode()


def multipart(items: Sequence[tuple[str, str]], files: Sequence[tuple[str, str, bytes]]) -> bytes:
    """Write fields and files (field, name, content) as a form with files sends them."""
    parts = [(f'name="{quote(k)}"', v.encode("utf-8", "surrogatepass")) for k, v in items]
    parts += [(f'name="{k}"; filename="{name}"', content) for k, name, content in files]
    body = b"".join(
        f"--{_BOUNDARY}\r\nContent-Disposition: form-data; {head}\r\n\r\n".encode() + content + b"\r\n"
        for head, content in parts
    )
    return body + f"--{_BOUNDARY}--\r\n".encode()


MULTIPART = f"multipart/form-data; boundary={_BOUNDARY}"
FORM = "application/x-www-form-urlencoded"


@st.composite
def page_asks(draw: st.DrawFn, routes: Map, ids: Mapping[str, Sequence[str]], crowd: Sequence[Who]) -> Ask:
    """Make requests that only ask for a page, by one of the `crowd`."""
    who, also = draw(st.sampled_from(list(crowd))), draw(st.just(()) | headers())
    rule = draw(st.sampled_from(showing(routes)))
    return who.asks("GET", draw(_paths(rule, ids)) + draw(_queries()), also=also)


@st.composite
def _queries(draw: st.DrawFn) -> str:
    if draw(st.integers(0, 5)) < 5:
        return ""
    items = draw(st.lists(st.tuples(st.sampled_from(_QUERIES), _values(WRONG)), max_size=4))
    return "?" + urlencoded(items).decode()


@st.composite
def form_asks(
    draw: st.DrawFn,
    rule: Rule,
    forms: Mapping[str, Sequence[Shown]],
    ids: Mapping[str, Sequence[str]],
    crowd: Sequence[Who],
) -> Ask:
    """Make requests that send a form to a view, by one of the `crowd`."""
    who = draw(st.sampled_from(list(crowd)))
    names = sorted({name for many in forms.values() for shown in many for name in shown.choices})
    names += ["revision", "once", "tap", "token", "file", "text", "save", "copy"]
    names += ["showed", "asked", "pick_note", "pick_reading", "taken", "sent"]
    also = draw(st.just(()) | headers())
    offered = forms.get(rule.endpoint, [])
    shown = draw(st.sampled_from(list(offered))) if offered else Shown("")
    items = draw(_filled(shown, names))
    path = (
        shown.action if shown.action and draw(st.booleans()) else draw(_paths(rule, ids)) + draw(_queries())
    )
    match draw(st.sampled_from(["form"] * 4 + ["files"] * 2 + ["other"])):
        case "form":
            return who.asks("POST", path, urlencoded(items), FORM, also)
        case "files":
            kinds = st.sampled_from(["a.csv", "", "b.zip", "../x", "é.json", "x" * 300])
            content = st.binary(max_size=300) | pastes().map(lambda text: text.encode("utf-8", "replace"))
            content |= st.sampled_from(
                [b"PK\x03\x04", b"PK\x05\x06" + bytes(18), b"\xff\xfea", b"\x1f\x8b\x08"]
            )
            files = draw(st.lists(st.tuples(st.sampled_from(["file", "text"]), kinds, content), max_size=3))
            return who.asks("POST", path, multipart(items, files), MULTIPART, also)
        case _:
            kind = draw(
                st.sampled_from([MULTIPART, "multipart/form-data", "application/json", "text/plain", ""])
            )
            return who.asks("POST", path, draw(st.binary(max_size=200)), kind, also)
