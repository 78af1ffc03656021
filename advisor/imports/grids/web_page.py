"""The tables and lines of a web page, as lines of text with tabs between the cells."""

import re
from html.parser import HTMLParser

from ..vocabulary.words import words
from .source_lines import SourceLines, made

_LINES = words("p div br tr li ul ol h1 h2 h3 h4 h5 h6 section article table dt dl caption pre hr")
_SKIPPED = frozenset({"script", "style", "head", "template", "svg"})
_TABLE = re.compile(r"<(?:table|tr|td|th|li|dl|p|div)\b[^<>]{0,500}>", re.IGNORECASE)
_MOST_SPAN = 50


def is_web_page(text: str) -> bool:
    """Whether a text holds tags of a web page."""
    return bool(_TABLE.search(text))


def page_lines(text: str) -> SourceLines:
    """Return what a web page shows, a row of a table being a line with tabs."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    reader.end_line()
    return made(reader.lines, reader.numbers)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.lines: list[str] = []
        self.numbers: list[int] = []
        self.pieces: list[str] = []
        self.cells: list[str] | None = None
        self.started = 0
        self.skipping = 0
        self.span = 1

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _SKIPPED:
            self.skipping += 1
        elif tag in ("td", "th"):
            self._end_cell()
            self.cells = self.cells if self.cells is not None else []
            span = dict(attrs).get("colspan") or "1"
            self.span = min(int(span), _MOST_SPAN) if span.isdigit() and len(span) < 4 else 1
            self.pieces = []
            self.started = self.started or self.getpos()[0]
        elif tag == "br" and self.cells is not None:
            self.pieces.append(" ")
        elif tag in _LINES and not (self.cells is not None and tag in ("p", "div")):
            self.end_line()
        elif tag == "dd":
            self.pieces.append(": ")

    def handle_endtag(self, tag: str) -> None:
        if tag in _SKIPPED:
            self.skipping = max(0, self.skipping - 1)
        elif tag in ("td", "th"):
            self._end_cell()
        elif tag in _LINES and tag != "dt" and not (self.cells is not None and tag in ("p", "div")):
            self.end_line()

    def handle_data(self, data: str) -> None:
        if self.skipping:
            return
        if data.strip() and not self.started:
            self.started = self.getpos()[0]
        self.pieces.append(data)

    def _end_cell(self) -> None:
        if self.cells is None:
            return
        text = " ".join("".join(self.pieces).split())
        if self.pieces:
            self.cells += [text] + [""] * (self.span - 1)
        self.pieces, self.span = [], 1

    def end_line(self) -> None:
        if self.cells is not None:
            self._end_cell()
            line = "\t".join(self.cells)
        else:
            line = " ".join("".join(self.pieces).split())
        if line.strip():
            self.lines.append(line)
            self.numbers.append(self.started or self.getpos()[0])
        self.cells, self.pieces, self.started = None, [], 0
