"""Spectra in JSON to lines of wavelengths and values, as tables have them."""

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
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
_NOT_NAMES = re.compile(
    r"spectr(?:um|a|al)\w*|readings?|measure(?:d|ments?)|meter|wavelengths?|samples?|figures?|lights?|sources?|gels?",
    re.IGNORECASE,
)
"""Keys that say what stands beneath them, and not of which source."""
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

_Spectra = Iterator[tuple[str, list[Any], list[Any], list[str]]]
"""The name, the wavelengths, the values, and lines of the figures of its reading."""


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
    found = list(_found(root, _Place("")))
    blocks = []
    for name, waves, values, told in found:
        rows = [f"{w}\t{v}" for w, v in zip(waves, values, strict=True)]
        alone = figures and sum(told is other for _, _, _, other in found) == 1
        above = told if alone else []
        blocks.append("\n".join([*above, f"nm\t{' '.join(name.split()) or 'value'}", *rows]))
    return "\n\n".join(blocks) or None


def _figures(node: Mapping[str, Any], depth: int = 0) -> list[str]:
    """Return the figures of a reading in an object and in plain ones beneath it, as lines: "CCT: 5480"."""
    lines = list[str]()
    for key, value in node.items():
        meant = understand(key) if isinstance(value, int | float | str) else None
        if meant is not None and meant.field in FIELDS and _number(value) is not None:
            lines.append(f"{key}: {value}")
        plain = isinstance(value, dict) and not any(isinstance(v, list | dict) for v in value.values())
        if plain and depth < _DEEPEST and len(value) < _FEWEST:
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


@dataclass(frozen=True)
class _Place:
    """Where an object stands: what it is called, whether it says so itself, and what those above it tell."""

    name: str
    said: bool = False
    depth: int = 0
    waves: list[Any] | None = None
    told: list[str] = field(default_factory=list)

    def beneath(self, key: str = "", waves: list[Any] | None = None, *, listed: bool = False) -> "_Place":
        """Return the place of what stands under a key, whose name it has where nothing says another."""
        plain = listed or not key or _PLAIN.fullmatch(key) or _NOT_NAMES.fullmatch(key)
        name = self.name if self.said or plain else key
        name = f"{self.name} ({key})" if self.name and key and _DENSE.fullmatch(key) else name
        return replace(self, name=name, depth=self.depth + 1, waves=waves or self.waves)


def _found(node: Any, at: _Place) -> _Spectra:
    if at.depth > _DEEPEST:
        return
    if isinstance(node, list):
        pairs = _pairs(node)
        if pairs:
            yield at.name, *pairs, at.told
        else:
            for item in node:
                yield from _found(item, at.beneath())
    elif isinstance(node, dict):
        own = _name_of(node)
        at = replace(at, name=own or at.name, said=bool(own) or at.said, told=_figures(node) or at.told)
        by_wave = [key for key in node if _number(key) is not None]
        if len(by_wave) >= _FEWEST and _are_waves(by_wave):
            yield at.name, by_wave, [node[key] for key in by_wave], at.told
            return
        yield from _beside(node, at)


def _beside(node: Mapping[str, Any], at: _Place) -> _Spectra:
    """Find the lists of an object that stand beside one of wavelengths, or beneath those of one above it."""
    lists = {k: v for k, v in node.items() if isinstance(v, list) and len(v) >= _FEWEST and _numbers(v)}
    above, name = _counted(node, lists) or at.waves, at.name
    own = [key for key, values in lists.items() if _are_waves(values) and (not above or _WAVES.match(key))]
    by = next((key for key in own if _WAVES.match(key)), next(iter(own), None))
    waves = lists[by] if by is not None else above
    others = {k: v for k, v in lists.items() if waves is not None and k != by and len(v) == len(waves)}
    for key, values in others.items():
        told = f"{name} ({key})" if name and _DENSE.fullmatch(key) else name
        plain = bool(name) and bool(_PLAIN.fullmatch(key))
        told = key if by is None and not plain and not any(k.casefold() in _NAMES for k in node) else told
        called = told if len(others) == 1 or told == key else f"{name} {key}".strip()
        yield called, waves or [], values, at.told
    for key, value in node.items():
        if key not in lists and isinstance(value, list | dict):
            yield from _found(value, at.beneath(key, waves, listed=isinstance(value, list)))


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
