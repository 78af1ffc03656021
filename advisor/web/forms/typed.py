"""Numbers as a person types them: a Duv by its four places, and what a number that was refused may mean.

A Duv is 0.0085, or 85 for its places, as meters print them. A whole number of one digit, such as 4, is as
likely 0.004 as 0.0004: nobody guesses, it is refused, and both are offered.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from ...model import Locus
from ...model.basis import numbers
from ...model.basis.quantities import CCT, MINUS, DimLevel, Duv, Lux, quantity_of, tidy
from ...model.sets.target import usual_locus

PATTERN = rf"[+\-–{MINUS}]?(?:0[0-4]\d\d|0500|[1-9]\d|[1-4]\d\d|500)"
"""What is read as the four places of a Duv, −0.05 to 0.05: two or three digits, or four with their zeros.
Pages have the same pattern, to say what a field is read as while it is typed."""
_PLACES = re.compile(PATTERN, re.ASCII)


def places_read(typed: str) -> str:
    """Write out a Duv that was typed as its places: “85” is “0.0085”; empty where it was not."""
    text = typed.strip()
    if not _PLACES.fullmatch(text):
        return ""
    minus = MINUS if text[0] in f"-–{MINUS}" else ""
    return f"{minus}0.{text.lstrip(f'+-–{MINUS}'):0>4}"


def written_out(typed: str) -> str:
    """Return a Duv as the model reads it; what was not typed as its places stays as it is."""
    return places_read(typed) or typed


@dataclass(frozen=True)
class Likely:
    """What a number that was refused may mean: the `value` for its field, and the words on its button.

    `field` is another one of the form, where it is that one which is to be changed.
    """

    value: str
    words: str
    field: str = ""


_LETTER = re.compile(r"(?<=[\d.,])[oOlI]+(?=[\doOlI.,]*\s*(?:[a-zA-Z%]*)$)")
_DIGITS = str.maketrans("oOlI", "0011")
_MOST = 2
_PLAIN_CCT = (2000, 10_000)
"""What lights on set mostly are; others come after these. From memory. [K]"""
_PLAIN_DUV = (0.0002, 0.02)
"""Hardly a light on set is farther off the locus, and nobody types less by mistake. From memory."""
_EIGHT_BITS = 255.0


def likely_meant(name: str, typed: str) -> list[Likely]:
    """Return what a CCT, a Duv, an illuminance or a dim level that was refused may mean, the likeliest first.

    `name` is the field's. At most two, none where nothing is likely; each is one that the field takes.
    """
    kind = next((kind for kind in _KINDS if name == kind or name.endswith(f"_{kind}")), None)
    if kind is None:
        return []
    try:
        read = numbers.parse(_LETTER.sub(lambda found: found[0].translate(_DIGITS), typed))
    except numbers.NotANumber:
        return []
    quantity, meant = _KINDS[kind]
    found: dict[float, Likely] = {}
    for value, words in meant(read.within(quantity.low, quantity.high), read.unit.casefold()):
        try:
            quantity.check(value)
        except PydanticCustomError:
            continue
        found.setdefault(value, Likely(f"{value:.10g}".replace("-", MINUS), words))
    return [*found.values()][:_MOST]


def likely_locus(typed: str) -> list[Likely]:
    """Return that a target is Planckian that was said to be daylight; none where it may be daylight."""
    try:
        cct = quantity_of(CCT).check(typed)
    except PydanticCustomError:
        return []
    planckian = usual_locus(cct) is Locus.PLANCKIAN
    return [Likely(Locus.PLANCKIAN.value, f"{tidy(cct)} K Planckian", "target_locus")] if planckian else []


_ASIDE = re.compile(r"(.*\S) \(([^()]+)\)", re.DOTALL)


def said_and_meant(says: str) -> tuple[str, str]:
    """Return what is wrong, and what it may mean; the second is empty where nothing says so.

    “CCT 5.6 is out of range (5 600 K?)” becomes two sentences: on a page no bracket decides what to do, and
    buttons may say the second.
    """
    apart = _ASIDE.fullmatch(says)
    if not apart:
        return _ended(says), ""
    return _ended(apart[1]), _ended(apart[2][:1].upper() + apart[2][1:])


def _ended(said: str) -> str:
    return said if said.endswith("?") else f"{said}."


_Meant = Iterator[tuple[float, str]]


def _ccts(value: float, unit: str) -> _Meant:
    """Take it as thousands or hundreds of kelvins, as a digit too few or too many, or as mireds."""
    read = [(round(value * by), "") for by in (1, 1000, 100, 10, 0.1)]
    if 40 <= value < 1000:
        read.append((round(1e6 / value), ", from mired"))
    low, high = _PLAIN_CCT
    for meant, how in sorted(read, key=lambda one: not low <= one[0] <= high):
        yield meant, f"{tidy(meant)} K{how}"


def _duvs(value: float, unit: str) -> _Meant:
    """Put the point that was left out, or take it as thousandths."""
    for places in range(1, 6):
        meant = round(value / 10**places, 4)
        if abs(meant * 10**places - value) < 1e-9 and _PLAIN_DUV[0] <= abs(meant) <= _PLAIN_DUV[1]:
            yield meant, f"{MINUS if meant < 0 else '+'}{abs(meant):.4f}"


def _levels(value: float, unit: str) -> _Meant:
    """Take it as a share of one, or of eight bits."""
    if 0 < value <= 1:
        yield round(value * 100), f"{round(value * 100)} %"
    elif 100 < value <= _EIGHT_BITS:
        yield round(value / _EIGHT_BITS * 100), f"{round(value / _EIGHT_BITS * 100)} %, {tidy(value)} of 255"


def _luxes(value: float, unit: str) -> _Meant:
    """Take it as written, with thousands where its unit says so."""
    meant = value * (1000 if unit.startswith("k") else 1)
    yield meant, tidy(meant)


_KINDS: dict[str, tuple[Any, Any]] = {
    "cct": (quantity_of(CCT), _ccts),
    "duv": (quantity_of(Duv), _duvs),
    "level": (quantity_of(DimLevel), _levels),
    "lux": (quantity_of(Lux), _luxes),
}
