"""Names and figures that stand apart: "key/fill 5480/3190", "CCT key 5480, fill 3190" over a line of Duvs."""

import re
from collections.abc import Mapping, Sequence

from ..vocabulary.headings import Field, understand

_LONGEST = 300
_NAME = r"[^\W\d_][\w '’-]{0,30}?"
_CCT = r"(?:(?:[2-9]|1[0-2])['’ ]?\d{3}|\d{1,2}[.,]\d{1,2}\s?k)\s?K?"
_DUV = r"[-+−]?\s?0?[.,]\d{2,4}|[-+−]\s?\d{1,2}(?:[.,]\d)?"
_STROKES = re.compile(
    rf"\s*(?P<stem>[^\W\d_][\w '’-]{{0,30}}\s)?(?P<one>{_NAME})\s?/\s?(?P<other>{_NAME})\s?[:=]?\s+"
    rf"(?P<cct>{_CCT})\s?/\s?(?P<cct2>{_CCT})"
    rf"(?:[\s,;]+(?:duv\s?[:=]?\s?)?(?P<duv>{_DUV})\s?/\s?(?P<duv2>{_DUV}))?"
    r"(?:[\s,;]+(?P<lux>\d{2,6})\s?/\s?(?P<lux2>\d{2,6})\s?(?P<unit>lx|lux|fc))?\s*[.,;]?\s*",
    re.IGNORECASE,
)
_SIDES = frozenset({"l", "r", "left", "right", "top", "bottom", "front", "back", "a", "b"})
"""What may stand behind the noun of two lights: "windows L/R"."""
_CALLED = re.compile(rf"\s*#?\s?(?P<number>\d{{1,3}})\s?[:=]\s*(?P<rest>{_CCT}(?!\d)[^\n]*)", re.IGNORECASE)
_HASHED = re.compile(rf"\s*#\s?(?P<number>\d{{1,3}})\s+(?P<rest>{_CCT}(?!\d)[^\n]*)", re.IGNORECASE)
_LABEL = re.compile(r"\s*(?P<label>[^\W\d_][^\W\d_ ]*(?:\s?\([^\W\d_]{1,3}\))?)\s?[:=–-]?\s+(?P<rest>\S.*)")
_PAIR = re.compile(
    rf"\s*(?P<name>{_NAME})\s*[:=]?\s+(?P<value>[-+−]?\s?(?:\d[\d.,'’]*(?<=\d)|[.,]\d+)\s?[kK%]?)(?:\s?(?:lx|lux|fc|cc))?\s*(?:[,;/|]|$|(?=\s[^\W\d_]))"
)
_FIRST = frozenset({Field.CCT})
_UNITS = {Field.DUV: "Duv {}", Field.CC: "{} CC", Field.LUX: "{} lx", Field.LEVEL: "at {} %"}
_FEWEST = 2


def with_pairs_told(lines: Sequence[str]) -> list[str]:
    """Return the lines with names beside their figures, as many lines as before; others as they are.

    These are two names before two CCTs with strokes between them, heads called by a number alone, and lines
    that each begin with one quantity, which they give of the same sources by name.
    """
    out = [_apart(line) if len(line) <= _LONGEST else line for line in lines]
    filled = [at for at, line in enumerate(out) if line.strip()]
    for first, at in enumerate(filled[:-1]):
        told = _labelled(out[at])
        if told is None or told[0] not in _FIRST:
            continue
        values = {name: [value] for name, value in told[1].items()}
        used = [at]
        for other in filled[first + 1 : first + 1 + len(_UNITS)]:
            more = _labelled(out[other])
            if more is None or more[0] not in _UNITS or set(more[1]) != set(values):
                break
            for name, value in more[1].items():
                values[name].append(_UNITS[more[0]].format(value.rstrip(" %")))
            used.append(other)
        if len(used) > 1:
            out[at] = "; ".join(" ".join([name, *own]) for name, own in values.items())
            for other in used[1:]:
                out[other] = ""
    return out


def _apart(line: str) -> str:
    found = _STROKES.fullmatch(line)
    if found is None:
        numbered = _CALLED.fullmatch(line) or _HASHED.fullmatch(line)
        return f"No {numbered['number']}: {numbered['rest']}" if numbered else line
    names = found["one"].strip(), found["other"].strip()
    stem = (found["stem"] or "").strip()
    if stem and names[0].casefold() not in _SIDES:
        names, stem = (f"{stem} {names[0]}", names[1]), ""
    called = [f"{stem} {name}".strip() for name in names]
    parts = []
    for name, end in zip(called, ("", "2"), strict=True):
        lux = f" {found['lux' + end]} {found['unit']}" if found["lux"] else ""
        duv = f" {found['duv' + end]}" if found["duv"] else ""
        parts.append(f"{name} {found['cct' + end].strip()}{duv}{lux}")
    return "; ".join(parts)


def _labelled(line: str) -> tuple[Field, Mapping[str, str]] | None:
    """Return what a line gives, and its values by the names of sources; None where it is no such line."""
    found = _LABEL.fullmatch(line) if len(line) <= _LONGEST else None
    known = understand(found["label"]) if found else None
    if found is None or known is None or known.factor != 1.0:
        return None
    values: dict[str, str] = {}
    at, rest = 0, found["rest"]
    while at < len(rest):
        pair = _PAIR.match(rest, at)
        if pair is None or pair["name"].strip() in values:
            return None
        values[pair["name"].strip()] = pair["value"].strip()
        at = pair.end()
    return (known.field, values) if len(values) >= _FEWEST else None
