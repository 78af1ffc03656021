"""Curves as lists in lines: "wavelengths: 400, 420, …", then "1/2 CTO: 0.31, 0.34, …"."""

import re
from collections.abc import Sequence

from ...spectra.cells import says_wavelength
from ...spectra.ranged import range_in
from ...vocabulary.gel_names import is_whole_name
from ..likeness import is_trade_name
from .curve import ABOUT, CurveBeside

_FEWEST = 10
_LONGEST = 5000
_LIST = re.compile(r"(?:[-*•]\s)?([^:=]{1,60})[:=][\s\[]*([\d.][\d.,;\s%\]-]*)")
_PARTED = re.compile(r"\s*[;\t]\s*|,\s+|\s+")
_RANGED = re.compile(r"[(\[,]?\s*\d{3,4}\s?(?:nm)?\s?(?:-|–|—|to|bis|à|a)\s?\d{3,4}.*")
"""Wavelengths behind a gel's name."""
_TIGHT = re.compile(r"\s*,\s*")
_NUMBER = re.compile(r"\d*[.,]?\d+\s?%?")


def listed_curves(lines: Sequence[str]) -> tuple[list[str], list[CurveBeside]]:
    """Return the lines without such lists, and the curves in them.

    A list that only says what was measured ("T: …") is of the gel that was named last above it.
    """
    out, curves = list(lines), list[CurveBeside]()
    waves: list[str] = []
    title = ""
    for at, line in enumerate(lines):
        label, values = _list_in(line)
        name = ABOUT.sub(" ", label).strip()
        if not values:
            said = line[:80].strip(" :*#").rpartition(":")[2].strip()
            title = said if is_whole_name(said) else title
        elif says_wavelength(label):
            waves, out[at] = values, ""
        elif (own := range_in(label, len(values))) and is_trade_name(
            bare := _RANGED.sub("", ABOUT.sub(" ", label.replace("(", "")))
        ):
            curves.append(_curve(at, bare.strip(), bare, own, values))
            out[at] = ""
        elif waves and len(values) == len(waves) and (is_trade_name(name) or (title and len(name) < 2)):
            heading = label if is_trade_name(name) else f"{title} ({label})"
            curves.append(_curve(at, heading, label, waves, values))
            out[at] = ""
    return (out, curves) if curves else (list(lines), [])


def _curve(at: int, heading: str, label: str, waves: Sequence[str], values: Sequence[str]) -> CurveBeside:
    signed = " %" if any("%" in value for value in values) else ""
    pairs = zip(waves, (value.strip(" %") for value in values), strict=True)
    body = "\n".join(f"{wave};{value}" for wave, value in pairs)
    said = re.sub(r"[;,\t|]", " ", label)
    return CurveBeside(at + 1, heading, f"gel {said}{signed}\n\n{body}")


def _list_in(line: str) -> tuple[str, list[str]]:
    """Return what a line calls its list of numbers, and the numbers; none of other lines."""
    found = _LIST.fullmatch(line.strip()) if len(line) <= _LONGEST else None
    if found is None:
        return "", []
    text = found[2].strip(" ]")
    values = (_PARTED if _PARTED.search(text) else _TIGHT).split(text)
    values = [value for value in values if value]
    told = len(values) >= _FEWEST and all(map(_NUMBER.fullmatch, values))
    return (found[1].strip(), values) if told else ("", [])
