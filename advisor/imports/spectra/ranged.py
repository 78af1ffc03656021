"""Spectra whose wavelengths are said once, "380 to 780 nm", or each with its value, "380:0.01 390:0.02"."""

import re

from .samples import FEWEST, WIDEST_STEP

_RANGE = re.compile(
    r"(?:^|(?<=[\s(\[,;:]))(\d{3,4})\s?(?:nm)?\s?(?:to|bis|à|a|t/m|-|–|—|\.\.\.?|…)\s?(\d{3,4})(?!\d)\s?(?:nm)?",
    re.IGNORECASE,
)
_STEP = re.compile(
    r"(?:step|steps of|every|each|schritt\w*|pas|paso|passo|stap|@|/)\D{0,6}(\d{1,2}(?:[.,]\d)?)|"
    r"(\d{1,2}(?:[.,]\d)?)\s?nm\s?(?:steps?|interval|raster|apart)",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"[-+]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][-+]?\d+)?")
_PAIRS = re.compile(r"(\d{3,4}(?:\.\d)?)\s?(?:nm)?\s?[:=]\s?([-+]?[\d.]+(?:[eE][-+]?\d+)?)(?=[\s,;|\])}]|$)")
_FEWEST_PAIRS = 10
_LOOKED, _LONGEST = 40, 20_000
_LOW, _HIGH = 300.0, 1000.0
_ABOUT = re.compile(
    r"\b(?:spectrum|spd|spectral|data|from|range|values?|wavelengths?|nm)\b|[:;,()\[\]=#*|]", re.IGNORECASE
)


def plain_lines(text: str) -> str | None:
    """Return such a text as lines of wavelengths and values; None of any other.

    The step is what brings the values to the last wavelength: of 1 to 20 nm, and as the text says where it
    says one.
    """
    lines = text.split("\n")
    return _in_pairs(lines) or _with_range(lines)


def range_in(label: str, count: int) -> list[str]:
    """Return the wavelengths of so many values that a label says: "380-780, 20 nm"; none of other labels."""
    found = _RANGE.search(label[:_LONGEST])
    if found is None or not _is_range(found) or count < FEWEST:
        return []
    first, width = float(found[1]), (float(found[2]) - float(found[1])) / (count - 1)
    step = _STEP.search(label[found.end() :])
    said = float((step[1] or step[2]).replace(",", ".")) if step is not None else width
    if not 1.0 <= width <= WIDEST_STEP or abs(said - width) > 1e-6 or (2 * width) % 1:
        return []
    return [f"{first + width * i:g}" for i in range(count)]


def _in_pairs(lines: list[str]) -> str | None:
    rows = list[str]()
    for line in lines:
        if not line.strip():
            continue
        marks = line.count(":") + line.count("=")
        pairs = _PAIRS.findall(line) if marks >= _FEWEST_PAIRS and len(line) <= _LONGEST else []
        if len(pairs) < _FEWEST_PAIRS or not all(_LOW <= float(at) <= _HIGH for at, _ in pairs):
            return None
        first = _PAIRS.search(line)
        name = _name(line[: first.start()]) if first is not None else ""
        rows += [f"{name or 'Spectrum'}\t{at}\t{value}" for at, value in pairs]
    return "\n".join(["source\tnm\tvalue", *rows]) if rows else None


def _with_range(lines: list[str]) -> str | None:
    told = [at for at, line in enumerate(lines) if line.strip()][:_LOOKED]
    for at in told:
        line = lines[at][:200]
        found = _RANGE.search(line)
        if found is None or not _is_range(found):
            continue
        rest = line[found.end() :]
        step = _STEP.search(rest)
        rest = rest[step.end() :] if step is not None else rest
        values = _values([rest.partition(":")[2] if ":" in rest else "", *lines[at + 1 :]])
        if waves := range_in(line, len(values)):
            above = [lines[i] for i in told if i < at]
            rows = [f"{wave}\t{value}" for wave, value in zip(waves, values, strict=True)]
            return "\n".join([*above, f"nm\t{_name(line[: found.start()]) or 'Spectrum'}", *rows])
        return None
    return None


def _is_range(found: re.Match[str]) -> bool:
    return _LOW <= float(found[1]) < float(found[2]) <= _HIGH


def _values(lines: list[str]) -> list[str]:
    """Return the numbers of lines; none where they hold anything else."""
    found = list[str]()
    for line in lines:
        parts = [
            part
            for part in re.split(r"[\s;|\[\]]+|,\s+|(?<=[.]\d{2}),|(?<=[.]\d{3}),|(?<=[.]\d{4}),", line)
            if part
        ]
        if not all(map(_NUMBER.fullmatch, parts)):
            return []
        found += parts
    return found


def _name(said: str) -> str:
    return " ".join(_ABOUT.sub(" ", said[:80]).split()).strip(" -–")
