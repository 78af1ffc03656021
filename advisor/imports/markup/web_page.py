"""The tables and lines of a web page, as lines of text with tabs between the cells.

One regular expression finds the tags, and no text can slow it down. Some texts do slow down the html.parser
of older Pythons.
"""

import html
import re
from bisect import bisect_right

from ..grids.source_lines import SourceLines, made
from ..vocabulary.words import words

_LINES = words(
    "p div br tr li ul ol h1 h2 h3 h4 h5 h6 section article table dt dl caption pre hr tbody thead"
)
_SKIPPED = words("script style head template svg")
_TAG = re.compile(r"<(?:tr|td|th|li|dd)\b[^<>]{0,500}>", re.IGNORECASE)
_BEGINS = re.compile(
    r"\s*<(?:!doctype|html|head|body|table|div|p|ul|ol|dl|tr|td|th|meta|section)\b", re.IGNORECASE
)
_PIECE = re.compile(
    r"(?P<comment><!--)|<(?P<end>/?)(?P<tag>[a-zA-Z][a-zA-Z0-9]{0,20})(?P<attributes>(?:[\s/][^<>]{0,2000})?)>"
    r"|<[!?][^<>]{0,500}>|(?P<text>[^<]+|<)"
)
_SPAN = re.compile(r"colspan\s*=\s*[\"']?(\d{1,3})", re.IGNORECASE)
_DOWN = re.compile(r"rowspan\s*=\s*[\"']?(\d{1,3})", re.IGNORECASE)
_MOST_SPAN = 50
_MOST_DOWN = 500


def is_web_page(text: str) -> bool:
    """Whether a text holds tags of a web page."""
    return _BEGINS.match(text) is not None or _TAG.search(text) is not None


def page_lines(text: str) -> SourceLines:
    """Return the lines that a web page shows; a row of a table is one line, with tabs between its cells."""
    reader = _Reader()
    breaks = [found.start() for found in re.finditer("\n", text)]
    at = 0
    while found := _PIECE.match(text, at):
        reader.line = bisect_right(breaks, at - 1) + 1
        at = found.end()
        if found["comment"]:
            end = text.find("-->", at)
            at = len(text) if end < 0 else end + 3
        elif found["text"]:
            reader.text(found["text"])
        elif found["tag"]:
            tag = found["tag"].casefold()
            if tag in _SKIPPED and not found["end"]:
                closing = re.compile(rf"</{tag}\b", re.IGNORECASE).search(text, at)
                at = closing.start() if closing else len(text)
            elif found["end"]:
                reader.close(tag)
            else:
                reader.open(tag, found["attributes"])
    reader.end_line()
    return made(reader.lines, reader.numbers)


class _Reader:
    """What was read of a page: the lines so far, and the cells and pieces of text of the present line.

    `line` is the number of the line of the text that is being read, `started` the number of the one where the
    present line began, 0 while that is empty. `span` and `down` count the columns and the rows that the
    present cell covers. `reaching` has, by column, the text of a cell that reaches down from a row above,
    and how many rows are left to it, the row read last among them.
    """

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.numbers: list[int] = []
        self.pieces: list[str] = []
        self.cells: list[str] | None = None
        self.line, self.started, self.span, self.down = 1, 0, 1, 1
        self.reaching: dict[int, tuple[str, int]] = {}

    def open(self, tag: str, attributes: str) -> None:
        """Take an opening tag."""
        if tag in ("td", "th"):
            self._end_cell()
            self.cells = self.cells if self.cells is not None else []
            span = _SPAN.search(attributes)
            self.span = min(int(span[1]), _MOST_SPAN) if span else 1
            down = _DOWN.search(attributes)
            self.down = min(int(down[1]), _MOST_DOWN) if down else 1
            self.pieces = [""]
            self.started = self.started or self.line
        elif (tag == "br" and self.cells is not None) or (tag in _LINES and self._within_cell(tag)):
            self.pieces.append(" ")
        elif tag == "dd":
            self.pieces.append(": ")
        elif tag in _LINES and not self._within_cell(tag):
            self.end_line()
            self.reaching = {} if tag == "table" else self.reaching

    def close(self, tag: str) -> None:
        """Take a closing tag."""
        if tag in ("td", "th"):
            self._end_cell()
        elif tag in _LINES and tag != "dt" and not self._within_cell(tag):
            self.end_line()

    def text(self, text: str) -> None:
        """Take a piece of text."""
        if text.strip() and not self.started:
            self.started = self.line
        self.pieces.append(html.unescape(text) if "&" in text else text)

    def _within_cell(self, tag: str) -> bool:
        return self.cells is not None and tag in ("p", "div", "ul", "li")

    def _end_cell(self) -> None:
        if self.cells is not None and self.pieces:
            self._add_reaching(self.cells)
            text = " ".join("".join(self.pieces).split())
            if self.down > 1:
                self.reaching |= {
                    len(self.cells) + i: (text if i == 0 else "", self.down) for i in range(self.span)
                }
            self.cells += [text] + [""] * (self.span - 1)
        self.pieces, self.span, self.down = [], 1, 1

    def _add_reaching(self, cells: list[str]) -> None:
        """Add the cells that reach down from rows above, as far as the column of the row's own next cell."""
        while (at := len(cells)) in self.reaching and self.reaching[at][1] > 1:
            text, left = self.reaching[at]
            self.reaching[at] = (text, left - 1)
            cells.append(text)

    def end_line(self) -> None:
        """End the present line, if anything stands on it."""
        if self.cells is not None:
            self.pieces = self.pieces if "".join(self.pieces).strip() else []
            self._end_cell()
            self._add_reaching(self.cells)
            line = "\t".join(self.cells)
        else:
            line = " ".join("".join(self.pieces).split())
        if line.strip():
            self.lines.append(line)
            self.numbers.append(self.started or self.line)
        self.cells, self.pieces, self.started = None, [], 0
