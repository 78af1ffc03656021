"""What a person finds on a page: its heading, its fields with what stands in them, what is wrong."""

import re
from html.parser import HTMLParser
from typing import Any

from werkzeug.test import TestResponse

_VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}


class Page(HTMLParser):
    """An answer, read as HTML once something that stands on it is asked for."""

    heading: str
    fields: dict[str, str]
    ticked: set[tuple[str, str]]
    choices: dict[str, list[str]]
    alerts: list[str]
    tags: list[str]
    links: list[str]
    posts: list[str]

    def __init__(self, answer: TestResponse) -> None:
        super().__init__()
        self.status = answer.status_code
        self.html = plain(answer.get_data(as_text=True))

    def __getattr__(self, name: str) -> Any:
        """Read the page, of which until now nothing was asked."""
        if name not in {*Page.__annotations__, "_text"} or "tags" in self.__dict__:
            raise AttributeError(name)
        self._read()
        return getattr(self, name)

    def updatepos(self, i: int, j: int) -> int:
        """Count no lines: nobody asks where on a page something stands."""
        return j

    def _read(self) -> None:
        self.heading = ""
        self.fields, self.ticked, self.choices = {}, set(), {}
        self.alerts, self.tags, self.links, self.posts = [], [], [], []
        self._open: list[tuple[str, dict[str, str]]] = []
        self._text: list[str] = []
        self.feed(self.html)
        self.close()

    def row(self, number: int) -> str:
        """Return what the row of a head says on the board of its set."""
        rows = [
            _tidy(re.sub(r"<[^>]+>", " ", row)) for row in re.findall(r"<li .*?</li>", self.html, re.DOTALL)
        ]
        return next(row for row in rows if re.match(rf"[A-Z][a-z ]+: {number} ", row))

    @property
    def text(self) -> str:
        """All text, with single spaces."""
        return _tidy("".join(self._text))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {k: v or "" for k, v in attrs}
        self.tags.append(tag)
        if tag not in _VOID:
            self._open.append((tag, found))
        if found.get("role") == "alert":
            self.alerts.append("")
        if tag == "a":
            self.links.append(found.get("href", ""))
        if tag == "form" and found.get("method") == "post":
            self.posts.append(found.get("action", ""))
        name = found.get("name", "")
        if tag == "input" and found.get("type") == "checkbox":
            if "checked" in found:
                self.ticked.add((name, found.get("value", "on")))
        elif tag == "input" and found.get("type") == "radio":
            self.choices.setdefault(name, []).append(found["value"])
            if "checked" in found:
                self.fields[name] = found["value"]
        elif tag == "input":
            self.fields[name] = found.get("value", "")
        elif tag == "textarea":
            self.fields[name] = ""
        elif tag == "option":
            select = next(a for t, a in reversed(self._open) if t == "select")["name"]
            self.choices.setdefault(select, []).append(found["value"])
            if "selected" in found or len(self.choices[select]) == 1:
                self.fields[select] = found["value"]
        if tag in {"p", "li", "h1", "h2", "div", "br", "label", "td"}:
            self._text.append(" ")

    def handle_endtag(self, tag: str) -> None:
        while self._open:
            if self._open.pop()[0] == tag:
                break

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1][0] == "style":
            return
        self._text.append(data)
        for tag, found in self._open:
            if tag == "h1":
                self.heading = _tidy(self.heading + data)
            if tag == "textarea":
                self.fields[found["name"]] += data
            if found.get("role") == "alert":
                self.alerts[-1] = _tidy(self.alerts[-1] + data)


def plain(text: str) -> str:
    """Return a text as it reads: where it must not break is a matter of the screen."""
    return text.replace("\N{NO-BREAK SPACE}", " ")


def _tidy(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\N{NARROW NO-BREAK SPACE}", " ")).lstrip()


def beside(page: Page, field: str) -> str:
    """Return what stands under a field as its problem or hint."""
    note = re.search(rf'<div id="{field}-note">(.*?)</div>', page.html, re.S)
    return re.sub(r"<[^>]+>|\s+", " ", note[1]).strip() if note else ""
