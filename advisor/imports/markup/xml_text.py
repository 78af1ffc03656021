"""Readings in XML, whatever its elements are called, to lines with tabs.

An element is a record of its attributes and of the elements within it. A document type declaration is refused
before any entity is read.
"""

from dataclasses import dataclass, field
from typing import Any
from xml.sax import SAXException
from xml.sax.handler import ContentHandler
from xml.sax.xmlreader import AttributesImpl, Locator

from defusedxml import DefusedXmlException, sax

from ..grids.source_lines import SourceLines
from .json_text import Element, lines_of_entries

_DEEPEST = 12
_LONGEST = 500
_SPECTRAL = "IESTM2714"
_ABOUT = frozenset({"unit", "units", "uom"})


def xml_lines(text: str) -> SourceLines | None:
    """Return the records of an XML text as lines; None if it is none, or holds no readings."""
    document = text.strip()
    if not document.startswith("<") or _SPECTRAL in document:
        return None
    handler = _Handler(text[: len(text) - len(text.lstrip())].count("\n"))
    try:
        sax.parseString(
            document.encode(), handler, forbid_dtd=True, forbid_entities=True, forbid_external=True
        )
    except (SAXException, DefusedXmlException, ValueError):
        return None
    return lines_of_entries(handler.root) if handler.root is not None else None


@dataclass
class _Open:
    tag: str
    line: int
    values: dict[str, Any] = field(default_factory=dict)
    text: str = ""


class _Handler(ContentHandler):
    """Builds entries of the elements down to a depth beyond which nothing is kept."""

    def __init__(self, above: int) -> None:
        super().__init__()
        self.above = above
        self.open: list[_Open] = []
        self.depth = 0
        self.root: Any = None
        self.locator: Locator | None = None

    def setDocumentLocator(self, locator: Locator) -> None:  # noqa: N802
        self.locator = locator

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        self.depth += 1
        if self.depth <= _DEEPEST:
            line = (self.locator.getLineNumber() or 1) if self.locator is not None else 1
            values = {_plain(key): value[:_LONGEST] for key, value in attrs.items()}
            self.open.append(_Open(_plain(name), line + self.above, values))

    def characters(self, content: str) -> None:
        if self.open and self.depth <= _DEEPEST and len(self.open[-1].text) < _LONGEST:
            self.open[-1].text += content

    def endElement(self, name: str) -> None:  # noqa: N802
        self.depth -= 1
        if self.depth >= _DEEPEST:
            return
        element = self.open.pop()
        node = _node(element)
        if not self.open:
            self.root = node
            return
        values = self.open[-1].values
        if element.tag not in values:
            values[element.tag] = node
        elif isinstance(values[element.tag], list):
            values[element.tag].append(node)
        else:
            values[element.tag] = [values[element.tag], node]


def _node(element: _Open) -> Any:
    """Return what an element holds: its text, or an entry of what is in it."""
    text = " ".join(element.text.split())
    if not element.values:
        return text
    if not text:
        return Element(element.values, element.line)
    if set(element.values) <= _ABOUT:
        return Element({"value": text, "unit": next(iter(element.values.values()))}, element.line)
    return Element({**element.values, "value": text}, element.line)


def _plain(name: str) -> str:
    """Return a name without its namespace."""
    return name.rpartition(":")[2]
