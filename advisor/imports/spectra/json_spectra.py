"""Spectra in JSON to lines of wavelengths and values, as tables have them."""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from typing import Any

from ..vocabulary.headings import understand
from .figures import FIELDS

_DEEPEST = 6
_FEWEST = 10
_NAMES = ("name", "source", "lamp", "label", "title", "gel", "filter", "color", "colour", "item")
_FAMILIES = ("family", "type", "series", "kind")
_PARTS = ("fraction", "strength", "grade", "density", "cut", "step")
_LOW, _HIGH = 0.2, 1200.0
"""Wavelengths lie between, in µm or nm."""

_WAVES = re.compile(r"wave|nm|lambda|λ|µm|um", re.IGNORECASE)
_DENSE = re.compile(r"optical[ _-]?density|density|od|absorbance", re.IGNORECASE)

_PLAIN = re.compile(
    r"values?|data|samples?|t|tau|y|curve|spd|power|power[ _]?values|"
    r"transmi(?:ttances?|ssion)(?:[ _](?:pct|percent|values))?",
    re.IGNORECASE,
)
"""Keys that say only that values stand there, and not of what."""
_START = re.compile(
    r"(?:start|from|first|min|begin|low)(?:[ _-]?(?:nm|wavelength|at))?|"
    r"(?:nm|wavelength)[ _-]?(?:start|from|min)",
    re.IGNORECASE,
)
_STEP = re.compile(
    r"(?:step|interval|increment|pitch|spacing|every)(?:[ _-]?(?:nm|size))?|"
    r"(?:nm|wavelength)[ _-]?(?:step|interval)",
    re.IGNORECASE,
)
"""Words for the first wavelength of a list of values, and for the way to the next."""

_Spectra = Iterator[tuple[str, list[Any], list[Any]]]


def with_figures(text: str) -> str | None:
    """Return what `spectral_lines` does, with the figures of a reading that stand in an object above it."""
    return spectral_lines(text, figures=True)


def spectral_lines(text: str, *, figures: bool = False) -> str | None:
    """Return the spectra of a JSON text as blocks of lines, each under its name; None where it holds none.

    Takes two lists of one length, of which one rises or falls as wavelengths do; an object with a value for
    each wavelength; a list of pairs or of objects with two numbers. Others beside the same wavelengths, or
    in objects beneath them, are spectra too.
    """
    if text.lstrip()[:1] not in ("{", "["):
        return None
    try:
        root = json.loads(text)
    except (ValueError, RecursionError):
        return None
    blocks = []
    parts = root if isinstance(root, list) else [root]
    for part in parts if not _pairs(parts) else [root]:
        found = list(_found(part, "", 0))
        told = _figures(part, 0) if figures and len(found) == 1 else []
        for name, waves, values in found:
            rows = [f"{w}\t{v}" for w, v in zip(waves, values, strict=True)]
            blocks.append("\n".join([*told, f"nm\t{' '.join(name.split()) or 'value'}", *rows]))
    return "\n\n".join(blocks) or None


def _figures(node: Any, depth: int) -> list[str]:
    """Return the figures of a reading in an object and in those beneath it, as lines: "CCT: 5480"."""
    if not isinstance(node, dict) or depth > _DEEPEST:
        return []
    lines = list[str]()
    for key, value in node.items():
        meant = understand(key) if isinstance(value, int | float | str) else None
        if meant is not None and meant.field in FIELDS and _number(value) is not None:
            lines.append(f"{key}: {value}")
        lines += _figures(value, depth + 1)
    return lines


def says_curve(headings: Iterable[str]) -> set[str]:
    """Return the headings of a record that only say where the wavelengths of its curve begin and go on."""
    parted = {heading: heading.rpartition(" ") for heading in headings}
    starts = {before for before, _, key in parted.values() if _START.fullmatch(key)}
    counted = {before for before, _, key in parted.values() if before in starts and _STEP.fullmatch(key)}
    listed = [before for before, _, key in parted.values() if _number(key) is not None]
    within = {before for before in {*counted, *listed} if before}
    within = {before for before in within if before in counted or listed.count(before) >= _FEWEST}
    return {
        heading
        for heading, (before, _, key) in parted.items()
        if before in within or (before in counted and (_START.fullmatch(key) or _STEP.fullmatch(key)))
    }


def _found(node: Any, name: str, depth: int, waves: list[Any] | None = None) -> _Spectra:
    if depth > _DEEPEST:
        return
    if isinstance(node, list):
        pairs = _pairs(node)
        if pairs:
            yield name, *pairs
        else:
            for item in node:
                yield from _found(item, name, depth + 1, waves)
    elif isinstance(node, dict):
        own = _name_of(node) or name
        by_wave = [key for key in node if _number(key) is not None]
        if len(by_wave) >= _FEWEST and _are_waves(by_wave):
            yield own, by_wave, [node[key] for key in by_wave]
            return
        yield from _beside(node, own, depth, waves)


def _beside(node: Mapping[str, Any], name: str, depth: int, above: list[Any] | None) -> _Spectra:
    """Find the lists of an object that stand beside one of wavelengths, or beneath those `above` it."""
    lists = {k: v for k, v in node.items() if isinstance(v, list) and len(v) >= _FEWEST and _numbers(v)}
    above = _counted(node, lists) or above
    own = [key for key, values in lists.items() if _are_waves(values) and (not above or _WAVES.match(key))]
    at = next((key for key in own if _WAVES.match(key)), next(iter(own), None))
    waves = lists[at] if at is not None else above
    others = {k: v for k, v in lists.items() if waves is not None and k != at and len(v) == len(waves)}
    for key, values in others.items():
        told = f"{name} ({key})" if name and _DENSE.fullmatch(key) else name
        plain = bool(name) and bool(_PLAIN.fullmatch(key))
        told = key if at is None and not plain and not any(k.casefold() in _NAMES for k in node) else told
        yield told if len(others) == 1 or told == key else f"{name} {key}".strip(), waves or [], values
    for key, value in node.items():
        if key not in lists and isinstance(value, list | dict):
            inner = name or (key if isinstance(value, dict) else "")
            inner = f"{inner} ({key})" if inner and _DENSE.fullmatch(key) else inner
            yield from _found(value, inner, depth + 1, waves)


def _name_of(node: Mapping[str, Any]) -> str:
    """Return what an object calls itself by, in one word or as a family with its fraction; "" if by none."""
    said = {key.casefold(): str(value) for key, value in node.items() if _is_text(value)}
    whole = next((said[key] for key in said if key in _NAMES), "")
    family = whole or next((said[key] for key in said if key in _FAMILIES), "")
    part = next((said[key] for key in said if key in _PARTS), "")
    return f"{family} {part}".strip() if family else ""


def _counted(node: Mapping[str, Any], lists: Mapping[str, list[Any]]) -> list[Any] | None:
    """Return the wavelengths of which an object says the first and the step; None where it does not."""
    said = {key: value for key, value in node.items() if not isinstance(value, list | dict)}
    start = next((_number(v) for k, v in said.items() if _START.fullmatch(k)), None)
    step = next((_number(v) for k, v in said.items() if _STEP.fullmatch(k)), None)
    counts = {len(values) for values in lists.values()}
    if start is None or step is None or len(counts) != 1:
        return None
    waves = [round(start + step * i, 6) for i in range(counts.pop())]
    return waves if _are_waves(waves) else None


def _pairs(node: list[Any]) -> tuple[list[Any], list[Any]] | None:
    rows = [list(item.values()) if isinstance(item, dict) else item for item in node]
    if len(rows) < _FEWEST or not all(isinstance(r, list) and len(r) == 2 and _numbers(r) for r in rows):
        return None
    waves = [row[0] for row in rows]
    return (waves, [row[1] for row in rows]) if _are_waves(waves) else None


def _are_waves(values: list[Any]) -> bool:
    read = [value for value in map(_number, values) if value is not None]
    rising = all(a < b for a, b in pairwise(read))
    falling = all(a > b for a, b in pairwise(read))
    in_range = all(_LOW <= value <= _HIGH for value in read)
    wide = bool(read) and (max(read) - min(read) >= 100 or max(read) < 1.3)
    return len(read) == len(values) and in_range and wide and (rising or falling)


def _numbers(values: list[Any]) -> bool:
    return all(_number(value) is not None for value in values)


def _number(value: Any) -> float | None:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    try:
        return float(str(value).removesuffix("nm").strip())
    except ValueError:
        return None


def _is_text(value: Any) -> bool:
    return isinstance(value, str)
