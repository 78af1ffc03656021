"""What headings say of their numbers beside what these are: a power of ten, as in “Duv ×10⁻³”, and signs."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

_SCALE = re.compile(
    r"(?:(?<![^\W_])[×x*·]|[×*·]|(?<=[(\[ ]))\s?(?:10\s?(?:\^|\*\*)?\s?([-+]?[1-6])|(10{1,6}))(?!\d)"
    r"|^\s?(10{2,6})\s?[×x*·]"
)
_THOUSANDTHS = re.compile(
    r"‰|\b(?:per\s?mille?|pro\s?mille?|por\s?mil|per\s?thousand|(?:in\s)?thousandths?|in\s(?:thousands|tausend))\b"
    r"|/\s?1\s?000\b|\b(?:in\s)?1\s?/\s?1\s?000\b|\b(?:m|milli|1000\s)[\s-]?(?=d[\s-]?uv\b)|(?<=duv)\sm\b"
)
# "× 1 000", "/1,000": a thousand with a mark in it.
_THOUSAND = re.compile(r"(?<=[×x*·/])(\s?)(10?)[ .,'’\u00a0\u2009\u202f]000(?!\d)")
_EXPONENT = re.compile(r"\b1?e[-+]?0?([1-6])\b")
_TEN_THOUSANDTHS = re.compile(
    r"‱|\b(?:per|pro|por|in|/)\s?(?:10|zehn|ten)[ .,']?(?:000|tausend|thousand)\b|/\s?10[ .,']?000\b"
)
# "T (kK)" is a temperature; a bare T may be a time, or a stop.
_TEMPERATURE = re.compile(r"t(?=\s?[(\[,/]?\s?(?:kk?|kelvins?)\s?[)\]]?\s?$)")
# Which sign is green: "CC (+ green)", "Duv (+G/-M)", "CC [green = +]".
_SIDES = re.compile(
    r"[(\[](?=[^()\[\]]{0,20}(?:[+-]|plus|minus))[^()\[\]]{0,20}\b"
    r"(?:g|m|green|magenta|grun|vert|verde|groen|zielony)\b[^()\[\]]{0,20}[)\]]"
)
_GREENS = r"(?:green|grn|gr[uo]n|vert|verde|groen|zielon\w{1,5}|zelen\w{1,4}|g)"
_MAGENTAS = r"(?:magenta\w{0,2}|mag|m)"
# "Vert/Magenta (CC)", "Green - Mag.", "M/G".
_SHADES = re.compile(rf"\b(?:{_GREENS}\s?[/|–-]\s?{_MAGENTAS}|{_MAGENTAS}\s?[/|–-]\s?{_GREENS})(?![^\W_])\.?")

# Words for a colour temperature, of whatever language.
_COLOUR = r"(?:colou?r|couleur|cor|colore|far[gbv]\w*|kleur\w*|bar[wv]\w*|culoare|szin\w*|boj[ae])"
_WARMTH = r"(?:temp(?:erat\w{0,4})?|teplot\w?|hom\w*|t(?:\s?deg)?)"
_OF_COLOUR = re.compile(
    rf"\b(?:{_WARMTH}\.?\s?(?:de\s|di\s|da\s|of\s|a\s)?(?:la\s)?{_COLOUR}\b\.?|{_COLOUR}[\s-]?{_WARMTH}\b\.?)"
)


@dataclass(frozen=True)
class PartedHeading:
    """A heading, folded: its `text` without the power of ten in it, and that `power`, 0 where it has none.

    `warm` is the text with "cct" for words for a colour temperature of whatever language.
    """

    text: str
    power: int
    warm: str


def parted_each(headings: Sequence[str]) -> list[PartedHeading]:
    """Return headings, folded, without powers of ten and the sides of green."""
    found = [_without_power(_without_sides(heading)) for heading in headings]
    return [PartedHeading(text, power, _OF_COLOUR.sub("cct", text)) for text, power in found]


def _without_sides(plain: str) -> str:
    plain = "cct " + plain[1:] if _TEMPERATURE.match(plain) else plain
    return _SIDES.sub(" ", _SHADES.sub(" cc ", plain))


def _without_power(plain: str) -> tuple[str, int]:
    plain = _THOUSAND.sub(r"\1\g<2>000", plain)
    scale = _SCALE.search(plain)
    if scale and (
        plain[scale.end() :].lstrip()[:1] == "%"
        or (scale[2] and scale[0][:1] == "1" and plain[scale.start() - 1] == " ")
    ):
        scale = None  # a level such as 100 %, or a number of something
    power = 0
    if scale:
        power = abs(int(scale[1])) if scale[1] else len(scale[2] or scale[3]) - 1
    elif scale := _EXPONENT.search(plain):
        power = int(scale[1])
    elif scale := _TEN_THOUSANDTHS.search(plain):
        power = 4
    elif scale := _THOUSANDTHS.search(plain):
        power = 3
    return (plain[: scale.start()] + " " + plain[scale.end() :] if scale else plain), power
