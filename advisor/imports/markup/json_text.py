"""JSON to lines with tabs: a list of records, records by name, columns, rows, or one record a line."""

import ast
import json
import re
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from ..grids.source_lines import SourceLines, made
from ..vocabulary.gel_names import fractions_of, known_family
from ..vocabulary.headings import MEASURED, Field, understand
from ..vocabulary.words import words

_DEEPEST = 6
_CALLED = frozenset({"name", "label", "title"})
_MOST_CELLS = 8
_LONGEST_PRINTED = 100_000
_NEUTRAL = words(
    "reading readings measurement measurements measured values value data colour color result results "
    "photometry colorimetry colourimetry photometric colorimetric colourimetric optical spectral "
    "details light meter sample"
)
_PAIRS = {
    "xy": ("x", "y"),
    "chromaticity": ("x", "y"),
    "cie1931": ("x", "y"),
    "uv": ("u", "v"),
    "u'v'": ("u'", "v'"),
    "uvprime": ("u'", "v'"),
}
# What a source was dimmed to, where each of its readings goes by it.
_LEVEL = re.compile(r"(?:100|\d{1,2})\s?(?:%|pct|percent)|full|half", re.IGNORECASE)
# A string without an end goes on to the end of its line: so the scan takes time in proportion.
_SCAN = re.compile(r'"(?:[^"\\\n]|\\.)*"?|[{}\n]')


@dataclass
class Element:
    """An object of JSON, or an element of XML, with the line on which it begins."""

    values: dict[str, Any]
    line: int


def _is_measured(headings: Iterable[str]) -> bool:
    return any((h := understand(key)) is not None and h.field in MEASURED for key in headings)


def json_lines(
    text: str,
    is_told: Callable[[Iterable[str]], bool] = _is_measured,
    beside: Callable[[Iterable[str]], Collection[str]] | None = None,
) -> SourceLines | None:
    """Return the records of a JSON text as lines; None if it is no JSON, or holds none.

    `is_told` says whether headings are those of a record: of a reading, if nothing else is said. `beside`
    says which of them belong to something else, and have no column.
    """
    if text.lstrip()[:1] not in ("{", "["):
        return None
    root = _parsed(text)
    return None if root is None else lines_of_entries(root, is_told, beside) or _arrays(root)


def lines_of_entries(
    root: Any,
    is_told: Callable[[Iterable[str]], bool] = _is_measured,
    beside: Callable[[Iterable[str]], Collection[str]] | None = None,
) -> SourceLines | None:
    """Return the records of a tree of entries, lists and texts as lines; None if it holds none."""
    texts: list[str] = []
    numbers: list[int] = []
    for title, records in _tables(root, "", 0, is_told):
        flat = [(_flat(r.values), r.line) for r in records]
        headings = list(dict.fromkeys(key for values, _ in flat for key in values))
        if not is_told(headings):
            continue
        apart = beside(headings) if beside is not None else ()
        headings = [heading for heading in headings if heading not in apart]
        first = flat[0][1]
        texts += [title] * bool(title) + ["\t".join(headings)]
        numbers += [first] * (1 + bool(title))
        texts += ["\t".join(values.get(key, "") for key in headings) for values, _ in flat]
        numbers += [line for _, line in flat]
    return made(texts, numbers) if texts else None


def _arrays(root: Any) -> SourceLines | None:
    """Return rows of a name and its numbers as lines, without headings; None where there are none.

    [["Key", 5480, 0.004], …], or {"Key": [5480, 0.004], …}, alone or as the one such part of an object.
    """
    rows, line = _rows_of(root), 1
    if not rows and isinstance(root, Element):
        inside = [found for value in root.values.values() if (found := _rows_of(value))]
        rows = inside[0] if len(inside) == 1 else []
    if len(rows) < 2 or len({len(row) for row in rows}) != 1 or not 3 <= len(rows[0]) <= _MOST_CELLS:
        return None
    return made(["\t".join(map(_text, row)) for row in rows], [line] * len(rows))


def _rows_of(node: Any) -> list[list[Any]]:
    if isinstance(node, Element) and all(isinstance(value, list) for value in node.values.values()):
        node = [[key, *value] for key, value in node.values.items()]
    if not isinstance(node, list) or not all(isinstance(row, list) for row in node):
        return []
    plain = all(not isinstance(cell, list | Element) for row in node for cell in row)
    return node if plain and all(any(re.search(r"[^\W\d_]", str(c)) for c in row) for row in node) else []


def _of_python(text: str) -> Any:
    """Read lists and entries as Python prints them; None where they are none, or too long for it."""
    if len(text) > _LONGEST_PRINTED or "'" not in text:
        return None
    try:
        return _as_tree(ast.literal_eval(text.strip()))
    except (ValueError, SyntaxError, MemoryError, RecursionError, TypeError):
        return None


def _as_tree(node: Any) -> Any:
    if isinstance(node, dict):
        return Element({str(key): _as_tree(value) for key, value in node.items()}, 1)
    return [_as_tree(item) for item in node] if isinstance(node, list | tuple) else node


def _parsed(text: str) -> Any:
    """Parse JSON, or one JSON object a line; None if it is neither. Objects come out as `Element`."""
    starts = _starts(text)
    try:
        return _loads(text, iter(starts))
    except (ValueError, RecursionError, StopIteration):
        pass
    lines = [line for line in text.split("\n") if line.strip()]
    if len(lines) < 2 or lines[0].strip()[-1:] not in ("}", ",", "]"):
        return _of_python(text)
    try:
        order = iter(starts)
        return [_loads(line.strip().rstrip(","), order) for line in lines]
    except (ValueError, RecursionError, StopIteration):
        return _of_python(text)


def _loads(text: str, starts: Iterator[int]) -> Any:
    return json.loads(
        text,
        parse_float=str,
        parse_int=str,
        parse_constant=str,
        object_pairs_hook=lambda pairs: Element(dict(pairs), next(starts)),
    )


def _starts(text: str) -> list[int]:
    """Return the line on which each object begins, in the order in which they end."""
    line, open_at, found = 1, [], []
    for token in _SCAN.finditer(text):
        match token[0]:
            case "\n":
                line += 1
            case "{":
                open_at.append(line)
            case "}" if open_at:
                found.append(open_at.pop())
    return found


def _tables(
    node: Any, title: str, depth: int, is_told: Callable[[Iterable[str]], bool]
) -> Iterator[tuple[str, list[Element]]]:
    """Find the lists of records in a document, each with what it is called."""
    if depth > _DEEPEST:
        return
    if isinstance(node, list):
        records = [item for item in node if isinstance(item, Element)]
        rows = [item for item in node if isinstance(item, list)]
        if records and any(_measures(record, is_told) for record in records):
            yield title, records
        elif rows and len(rows) == len(node) > 1:
            yield title, _from_rows(rows)
        else:
            for item in node:
                yield from _tables(item, title, depth + 1, is_told)
        return
    if not isinstance(node, Element):
        return
    if rows := _headed_rows(node):
        yield title, _from_rows(rows)
        return
    if _measures(node, is_told):
        columns = [value for value in node.values.values() if isinstance(value, list)]
        plain = {len(c) for c in columns if not any(isinstance(v, list | Element) for v in c)}
        said = any(re.search(r"[^\W\d_]|/", str(v)) for c in columns for v in c if isinstance(v, str))
        if columns and len(plain) == 1 and (plain != {2} or said):  # two numbers may be x and y
            yield title, _from_columns(node, plain.pop())
        else:
            yield title, [node]
        return
    named = {
        key: value
        for key, value in node.values.items()
        if isinstance(value, Element) and _measures(value, is_told)
    }
    if named:
        family = f"{title} " if known_family(title) else ""

        def name(key: str) -> str:
            return family + key if fractions_of(key) else key

        levels = bool(title) and all(map(_LEVEL.fullmatch, named))

        def says(key: str) -> dict[str, str]:
            return {"name": title, "level": key} if levels else {"name": name(key)}

        yield (
            "" if levels else title,
            [Element({**says(k), **record.values}, record.line) for k, record in named.items()],
        )
    for key, value in node.values.items():
        if key not in named:
            own = _of_one(key, value, is_told)
            if own:
                yield title, own
                continue
            yield from _tables(value, "" if key.casefold() in _NEUTRAL else key, depth + 1, is_told)


def _of_one(key: str, value: Any, is_told: Callable[[Iterable[str]], bool]) -> list[Element]:
    """Return the readings of one source under its name: {"Window": {"readings": […]}}; [] of others."""
    if key.casefold() in _NEUTRAL or not isinstance(value, Element):
        return []
    inside = [v for k, v in value.values.items() if k.casefold() in _NEUTRAL]
    if len(inside) != 1 or not isinstance(inside[0], list):
        return []
    records = [item for item in inside[0] if isinstance(item, Element)]
    if not records or not all(_measures(record, is_told) for record in records):
        return []
    if any(h is not None and h.field is Field.NAME for r in records for h in map(understand, r.values)):
        return []
    return [Element({"name": key, **record.values}, record.line) for record in records]


def _measures(record: Element, is_told: Callable[[Iterable[str]], bool]) -> bool:
    return is_told(_flat(record.values))


def _headed_rows(node: Element) -> list[list[Any]]:
    """Return headings and rows that stand beside each other in an object; [] where they do not."""
    lists = [value for value in node.values.values() if isinstance(value, list) and value]
    heads = [v for v in lists if all(isinstance(c, str) and re.search(r"[^\W\d_]", c) for c in v)]
    rows = [v for v in lists if all(isinstance(r, list) for r in v)]
    if len(heads) != 1 or len(rows) != 1 or any(len(r) != len(heads[0]) for r in rows[0]):
        return []
    return [heads[0], *rows[0]]


def _from_rows(rows: list[list[Any]]) -> list[Element]:
    head = [_text(cell) for cell in rows[0]]
    return [Element(dict(zip(head, row, strict=False)), 1) for row in rows[1:]]


def _from_columns(node: Element, count: int) -> list[Element]:
    columns = {k: v for k, v in node.values.items() if isinstance(v, list) and len(v) == count}
    return [Element({k: v[i] for k, v in columns.items()}, node.line) for i in range(count)]


def _flat(values: dict[str, Any], before: str = "", depth: int = 0) -> dict[str, str]:
    """Write a record flat: {"colour": {"cct": 5480}} is "cct", {"target": {"cct": 5600}} "target cct"."""
    out: dict[str, str] = {}
    for key, value in values.items():
        name = " ".join(f"{before} {key}".split())
        pair = _PAIRS.get(key.casefold().replace(" ", ""))
        if isinstance(value, Element):
            inner = {k.casefold(): v for k, v in value.values.items()}
            if "value" in inner and set(inner) <= {"value", "unit", "units"}:
                out[name] = (
                    f"{_text(inner['value'])} {_text(inner.get('unit', inner.get('units', '')))}".strip()
                )
            elif set(inner) & _CALLED and set(inner) <= _CALLED | {"id", "type"} and "name" not in out:
                out["name"] = _text(next(inner[k] for k in inner if k in _CALLED))  # {"fixture": {"name": …}}
            elif depth < _DEEPEST:
                out |= _flat(value.values, before if key.casefold() in _NEUTRAL else name, depth + 1)
        elif isinstance(value, list):
            if pair and len(value) == 2:
                out |= {f"{before} {p}".strip(): _text(v) for p, v in zip(pair, value, strict=True)}
            elif not any(isinstance(v, list | Element) for v in value) and len(value) <= 8:
                out[name] = ", ".join(map(_text, value))
        else:
            out[name] = _text(value)
    return out


def _text(value: Any) -> str:
    if value is None or isinstance(value, list | Element):
        return ""
    return " ".join(str(value).split())
