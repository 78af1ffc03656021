"""What people paste, and what comes along: tables, pairs, spectra, junk, very long lines, deep repeats."""

import json

from hypothesis import strategies as st

from advisor.imports import TEMPLATE
from tests.imports.spectral_writers import LIGHT, columns, rows, samples, tm27

_MOST = 1_000_100
"""A little more than is read. [characters]"""
_HEADINGS = [
    "name", "Kind", "CCT", "CCT [K]", "Tcp", "duv", "Δuv", "Duv x1000", "x", "y", "CIE x", "u'", "v'", "u",
    "v", "X", "Y",
    "Z", "lux", "Ev (lx)", "fc", "klx", "mired", "CC", "Ra", "R9", "Rf", "Rg", "SSI[P3200]", "dim %", "level",
    "modifier", "dial cct", "dial green", "note", "", "R1", "380nm", "Wavelength (nm)", "780", "date",
    "=cmd()", "x" * 200,
]  # fmt: skip
_NUMBERS = [
    "0", "-0", "5600", "5 600", "5.600", "5,600", "5600K", "5600 K", "3,2e3", "3.2×10³", "1e999", "-1e-999",
    "NaN", "inf",
    "0.0042", "−0.0042", "0,3127", "4.2", "1/4", "½", "٥٦٠٠", "５６００", "9" * 400, "1" + "'000" * 30,
    "1,000,000,0",
    "25000", "25001", "999.99999", "0x1F", "1_000", "--", "n/a", "-", "±5", "5600±50", "3200/5600", "1e308",
    "5e-324",
]  # fmt: skip
_WORDS = [
    "Window", "tungsten", "led-white", "CTO 1/4", "dim 50%", "with softbox", "behind", "<b>", "=1+1",
    "\u202e", "\u0000",
    "é\u0301", "🎬", "\ud800", "\u2028", "\x0b", "\x1c", "\x85", "ß", "İ", "\ufeff", '"', '""', "'", ";", "#",
    "|", "\\",
]  # fmt: skip
_SENSE = {
    "name": ["Window", "Window", "Key", "Bakery lamp (invented)", ""],
    "kind": ["tungsten", "led-white", "daylight", ""],
    "cct": ["5600", "3 200 K", "2700", "6500.5"],
    "duv": ["0", "0.0042", "-0.003", "−0.001"],
    "lux": ["900", "84 fc", "1 200", ""],
    "dim %": ["100", "50", "", "0"],
    "modifier": ["softbox", "", "grid"],
    "dial cct": ["5600", "3200", ""],
    "dial green": ["0", "-10", ""],
    "note": ["invented", "", "at the door"],
}
"""Headings, each with cells that go with it."""
_MARKS = [",", ";", "\t", "|", " ", "  ", ", ", ":"]
_FRAGMENTS = [
    "5600 ", "5600K ", "1,", "1.", "1 ", "1'", "a", "a ", "(", "((", ")", '"', "'", "\t", ",", ";", ":", "\n",
    "\r", "\r\n",
    " ", "\u00a0", "-", "−", "x", "x 0.31 y 0.32 ", "CCT: 5600 K, ", "Duv ", "Duv: 0.001\n", "380 0.1\n",
    "380,", "1e",
    "×10", "/", "1/", "%", "½", "=", "<", "<a>", "&amp;", "\u0300", "\u200b", "🎬", "\ufeff", "name,",
    "cct,duv\n",
    "nm ", "{", "[", "u' ", "5 5.5,5 ", "5600/0.001 ", "dim 5% ", "#", "|", "0" * 40, "9 ", "lx\n", "K\n",
    "A1 ",
]  # fmt: skip


def _cells() -> st.SearchStrategy[str]:
    return (
        st.sampled_from(_NUMBERS)
        | st.sampled_from(_WORDS)
        | st.text(max_size=12)
        | st.floats().map(repr)
        | st.integers(1000, 25000).map(str)
        | st.floats(0, 1).map(lambda value: f"{value:.4f}")
    )


@st.composite
def _tables(draw: st.DrawFn) -> str:
    mark, end = draw(st.sampled_from(_MARKS)), draw(st.sampled_from(["\n", "\r\n", "\r", "\n\n"]))
    width = draw(st.integers(1, 9))
    heads = draw(st.lists(st.sampled_from(_HEADINGS), min_size=width, max_size=width))
    body = draw(st.lists(st.lists(_cells(), min_size=max(0, width - 1), max_size=width + 1), max_size=6))
    lines = [mark.join(heads), *(mark.join(row) for row in body)]
    return end.join(lines[draw(st.integers(0, 1)) :])


@st.composite
def _likely(draw: st.DrawFn) -> str:
    """Write a table that makes sense but for a cell or two."""
    mark = draw(st.sampled_from([",", ";", "\t"]))
    heads = draw(st.lists(st.sampled_from(sorted(_SENSE)), min_size=3, max_size=8, unique=True))
    lines = [[draw(st.sampled_from(_SENSE[head])) for head in heads] for _ in range(draw(st.integers(1, 6)))]
    for _ in range(draw(st.integers(0, 2))):
        draw(st.sampled_from(lines))[draw(st.integers(0, len(heads) - 1))] = draw(_cells())
    return "\n".join(mark.join(line) for line in [heads, *lines])


@st.composite
def _pairs(draw: st.DrawFn) -> str:
    mark = draw(st.sampled_from([": ", "=", " ", "\t", " - ", ""]))
    one = st.tuples(st.sampled_from(_HEADINGS), _cells()).map(mark.join)
    between = draw(st.sampled_from(["\n", ", ", "; ", " ", "\n\n"]))
    return between.join(draw(st.lists(one, min_size=1, max_size=12)))


@st.composite
def _spectra(draw: st.DrawFn) -> str:
    named = draw(st.sampled_from([(), ("Light",), ("<b>",), ("",)]))
    mark, decimal = draw(st.sampled_from([",", ";", "\t", " "])), draw(st.sampled_from([".", ","]))
    match draw(st.sampled_from(["columns", "rows", "document", "free"])):
        case "columns":
            return columns([LIGHT], named, mark=mark, decimal=decimal)
        case "rows":
            return rows([LIGHT], named, mark=mark, decimal=decimal)
        case "document":
            values = samples(LIGHT)[: draw(st.integers(0, 81))]
            return tm27(
                [*values, (draw(_cells()), draw(_cells()))],
                prefix=draw(st.sampled_from(["", "ies:"])),
                bandwidth=draw(_cells()),
                quantity=draw(_cells()),
                description=draw(_cells()),
            )
        case _:
            start, step = (
                draw(st.sampled_from(EDGE_WAVES)),
                draw(st.sampled_from([0, 0.1, 1, 5, 10, -5, 1e-9])),
            )
            count = draw(st.integers(0, 120))
            return "\n".join(
                f"{start + step * k}{mark}{draw(_cells()) if k < 3 else k}" for k in range(count)
            )


EDGE_WAVES = [0, 200, 360, 379.9, 380, 400, 780, 1100, -380, 1e9]
"""Wavelengths to begin with. [nm]"""


@st.composite
def _repeats(draw: st.DrawFn) -> str:
    """Repeat a few signs up to the largest text: what takes more than its time shows itself."""
    part = "".join(draw(st.lists(st.sampled_from(_FRAGMENTS), min_size=1, max_size=3)))
    long = draw(st.sampled_from([10, 100, 1000, 1000, 10_000, 10_000, 100_000, _MOST]))
    before = draw(st.sampled_from(["", "name,cct,duv\n", "CCT: ", "380 ", '"', "Wavelength (nm),A\n", "\n"]))
    after = draw(st.sampled_from(["", "x", "\n5600 0.001", '"', "\n", "K"]))
    return before + part * max(1, long // len(part)) + after


@st.composite
def _spoiled(draw: st.DrawFn) -> str:
    """Take something that is right, and cut it, double lines of it, or put signs into it."""
    text: str = draw(st.just(TEMPLATE) | _spectra() | _tables())
    for _ in range(draw(st.integers(1, 3))):
        at, to = sorted((draw(st.integers(0, len(text))), draw(st.integers(0, len(text)))))
        match draw(st.sampled_from(["cut", "again", "put", "turned", "lines"])):
            case "cut":
                text = text[:at] + text[to:]
            case "again":
                text = text[:to] + text[at:to] * draw(st.sampled_from([1, 3, 30])) + text[to:]
            case "put":
                text = text[:at] + draw(_cells() | st.sampled_from(_FRAGMENTS)) + text[at:]
            case "turned":
                text = text[:at] + text[at:to][::-1] + text[to:]
            case _:
                text = "\n".join(sorted(text.splitlines()))
        text = text[:100_000]
    return text


_SAID = [
    "key", "fill left", "5480", "5480K", "5.48k", "+.004", "-0,003", "plus", "minus three", "point oh four",
    "850 lx", "80fc", "8M", "+4 CC", "60%", "at full", "1/2 CTO", "ND.6", "duv", "cct", "lux", "x .33",
    "set to 5600",
    "softbox", "tungsten", "±30", "5480,0,003", "1,250", "3'200", "a bit green", "and", "[14:05] Bo:",
    "Bo:", "> ", "- ", "1. ", "ISO 800", "T2.8",
]  # fmt: skip


@st.composite
def _messages(draw: st.DrawFn) -> str:
    mark = draw(st.sampled_from([" ", ", ", "/", " / ", "; ", "\t", ","]))
    words = st.sampled_from(_SAID) | _cells()
    lines = st.lists(words, min_size=1, max_size=9).map(mark.join)
    return "\n".join(draw(st.lists(lines, min_size=1, max_size=6)))


@st.composite
def _turned_or_tagged(draw: st.DrawFn) -> str:
    """Write a table with a reading in each column, or as JSON, or as a web page, or one cell a line."""
    heads = draw(st.lists(st.sampled_from(sorted(_SENSE)), min_size=2, max_size=6, unique=True))
    rows = [[draw(st.sampled_from(_SENSE[head])) for head in heads] for _ in range(draw(st.integers(1, 4)))]
    if draw(st.booleans()):
        draw(st.sampled_from(rows))[0] = draw(_cells())
    match draw(st.sampled_from(["turned", "json", "page", "cells", "beside"])):
        case "turned":
            mark = draw(st.sampled_from([",", ";", "\t", "  "]))
            return "\n".join(mark.join(cells) for cells in zip(heads, *rows, strict=True))
        case "json":
            text = json.dumps([dict(zip(heads, row, strict=True)) for row in rows], ensure_ascii=False)
            return text[: draw(st.integers(len(text) - 3, len(text)))]
        case "page":
            lines = ["<tr>" + "".join(f"<td>{cell}</td>" for cell in row) for row in [heads, *rows]]
            return "<table>" + "\n".join(lines)
        case "cells":
            return "\n".join(cell for row in [heads, *rows] for cell in row)
        case _:
            return "\n".join(";".join([*row, "", *row]) for row in [heads, *rows])


def pastes() -> st.SearchStrategy[str]:
    """Make texts to paste."""
    junk = st.text(max_size=200) | st.lists(_cells() | st.sampled_from(_FRAGMENTS), max_size=60).map("".join)
    return st.one_of(
        _messages(),
        _turned_or_tagged(),
        _likely(),
        _likely(),
        _tables(),
        _pairs(),
        _spectra(),
        _spoiled(),
        _spoiled(),
        junk,
        _repeats(),
    )
