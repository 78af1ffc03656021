"""What a person finds on a page: its heading, its fields with what stands in them, what is wrong."""

import re
from functools import cached_property

from selectolax.lexbor import LexborHTMLParser, LexborNode
from werkzeug.test import TestResponse

_APART = {"p", "li", "h1", "h2", "div", "br", "label", "td"}
"""Elements that a person sees standing apart from what is before them."""
_IMPLIED = {"html", "head", "body"}


class Page:
    """An answer, read as HTML, as browsers read it, once something that stands on it is asked for."""

    def __init__(self, answer: TestResponse) -> None:
        self.status = answer.status_code
        self.html = plain(answer.get_data(as_text=True))

    @cached_property
    def _root(self) -> LexborNode:
        root = LexborHTMLParser(self.html).root
        assert root is not None
        return root

    def row(self, number: int) -> str:
        """Return what the row of a head says on the board of its set."""
        rows = [
            _tidy(re.sub(r"<[^>]+>", " ", row)) for row in re.findall(r"<li .*?</li>", self.html, re.DOTALL)
        ]
        return next(row for row in rows if re.match(rf"[A-Z][a-z ]+: {number} ", row))

    @cached_property
    def text(self) -> str:
        """All text, with single spaces."""
        parts = []
        within = ""
        for node in self._root.traverse(include_text=True):
            if node.is_text_node:
                if within != "style":
                    parts.append(node.text_content or "")
                continue
            within = node.tag or ""
            if within in _APART:
                parts.append(" ")
        return _tidy("".join(parts))

    @cached_property
    def heading(self) -> str:
        """The text of h1."""
        return _tidy("".join(node.text() for node in self._root.css("h1")))

    @cached_property
    def alerts(self) -> list[str]:
        """What is told as wrong, or at once."""
        return [_tidy(node.text()) for node in self._root.css("[role=alert]")]

    @cached_property
    def tags(self) -> list[str]:
        """The elements by name; of those that a browser adds to a part of a page, html, head and body not."""
        written = {tag for tag in _IMPLIED if f"<{tag}" in self.html}
        named = [node.tag or "" for node in self._root.traverse()]
        return [tag for tag in named if tag not in _IMPLIED or tag in written]

    @cached_property
    def links(self) -> list[str]:
        """Where links lead."""
        return [node.attributes.get("href") or "" for node in self._root.css("a")]

    @cached_property
    def posts(self) -> list[str]:
        """Where forms that change something are sent."""
        return [node.attributes.get("action") or "" for node in self._root.css("form[method=post]")]

    @property
    def fields(self) -> dict[str, str]:
        """What stands in fields, by name; a box to tick is none of them."""
        return self._form[0]

    @property
    def ticked(self) -> set[tuple[str, str]]:
        """The boxes that are ticked: names and values."""
        return self._form[1]

    @property
    def choices(self) -> dict[str, list[str]]:
        """What may be chosen, by the name of a field."""
        return self._form[2]

    @cached_property
    def _form(self) -> tuple[dict[str, str], set[tuple[str, str]], dict[str, list[str]]]:
        fields: dict[str, str] = {}
        ticked: set[tuple[str, str]] = set()
        choices: dict[str, list[str]] = {}
        for node in self._root.css("input, textarea, select"):
            found = {name: value or "" for name, value in node.attributes.items()}
            name = found.get("name", "")
            kind = found.get("type") if node.tag == "input" else node.tag
            if kind == "checkbox":
                if "checked" in found:
                    ticked.add((name, found.get("value", "on")))
            elif kind == "radio":
                choices.setdefault(name, []).append(found["value"])
                if "checked" in found:
                    fields[name] = found["value"]
            elif kind == "textarea":
                fields[name] = node.text()
            elif kind == "select":
                options = [option.attributes for option in node.css("option")]
                values = [option["value"] or "" for option in options]
                choices.setdefault(name, []).extend(values)
                chosen = [
                    value for value, option in zip(values, options, strict=True) if "selected" in option
                ]
                if values:
                    fields[name] = chosen[-1] if chosen else values[0]
            else:
                fields[name] = found.get("value", "")
        return fields, ticked, choices


def plain(text: str) -> str:
    """Return a text as it reads: where it must not break is a matter of the screen."""
    return text.replace("\N{NO-BREAK SPACE}", " ")


def _tidy(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\N{NARROW NO-BREAK SPACE}", " ")).lstrip()


def beside(page: Page, field: str) -> str:
    """Return what stands under a field as its problem or hint."""
    note = re.search(rf'<div id="{field}-note">(.*?)</div>', page.html, re.S)
    return " ".join(re.sub(r"<[^>]+>", " ", note[1]).split()) if note else ""
