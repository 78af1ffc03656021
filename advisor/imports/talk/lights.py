"""Lines that give light and no colour: of readings before them, or alone: "lux: left 180, right 175"."""

import re
from collections.abc import Sequence

from ...model.basis.base import name_key
from ..messages.lines import Said
from ..prose.vocabulary import LIGHTS, is_stop
from ..sentences.spoken import Spoken
from ..vocabulary.headings import Field

LIGHT = "its light goes to the readings above"
"""Why such a line is no reading of its own."""
_LED = re.compile(
    r"\s*(?:(?:in|the|just|only|here|are)\s){0,3}(?P<unit>lux|lx|fc|foot-?candles?|light|levels?|illuminance|intensity|intensities)"
    r"(?:(?:\s[^\W\d_]+){0,3}\s?[:=])?\s+(?=[^\W\d_])",
    re.IGNORECASE,
)
_PAIR = re.compile(
    r"\s*(?P<name>[^\W\d_][\w '’-]{0,40}?)\s*(?:[:=]|\bat\b|\bis\b)?\s+(?P<value>\d{1,6}(?:[.,]\d)?)\s*"
    r"(?P<unit>lux|lx|fc)?\s*",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"\.\s+(?=[^\W\d_])")
_BETWEEN = re.compile(r"[,;/]|\sand\s")
_LONGEST = 500


def give_light(said: Sequence[Said]) -> dict[int, str]:
    """Give the readings their light where a line names each of those that it speaks of; return such lines.

    Where a name is nobody's, or several's, the line gives nothing.
    """
    out: dict[int, str] = {}
    before: list[Spoken] = []
    for line in said:
        lights = _lights(line)
        told = [(_named(name, before), light) for name, light in lights]
        before += [each for each in line.spoken if each.name and each.cells]
        if told and all(each is not None and Field.LUX not in each.cells for each, _ in told):
            for each, light in told:
                if each is not None:
                    each.cells[Field.LUX] = light
            line.spoken.clear()
            out[line.line] = LIGHT
    return out


def tell_lights(said: Sequence[Said]) -> bool:
    """Take up the lines that give the light of sources alone, of which no line gives the colour; say if any.

    They are no readings: their rows say what is lacking.
    """
    names = {name_key(each.name) for line in said for each in line.spoken if each.coloured}
    found = False
    for line in said:
        more = any(set(each.cells) - {Field.LUX} or each.gels for each in line.spoken)
        lights = [] if more else _lights(line)
        if lights and all(_is_lit(name) and name_key(name) not in names for name, _ in lights):
            line.spoken[:] = [Spoken(name=name, cells={Field.LUX: light}) for name, light in lights]
            found = True
    return found


def _is_lit(name: str) -> bool:
    words = name_key(name).split()
    return bool(LIGHTS & set(words)) and not any(map(is_stop, words))


def _lights(line: Said) -> list[tuple[str, str]]:
    """Return the names and lights on a line that holds nothing else; none where it says no unit."""
    text = line.message.text
    if len(text) > _LONGEST or any(each.coloured for each in line.spoken):
        return []
    led = _LED.match(text)
    told = _SENTENCE.split(text[led.end() :] if led else text)[0].rstrip(" .")
    pairs = [_PAIR.fullmatch(part) for part in _BETWEEN.split(told)]
    units = [led["unit"]] if led else []
    units += [pair["unit"] for pair in pairs if pair and pair["unit"]]
    known = [unit.casefold() for unit in units if re.match("lux|lx|f|illum", unit, re.IGNORECASE)]
    if not all(pairs) or not known or (led is None and told != text.rstrip(" .")):
        return []
    unit = "fc" if known[0].startswith("f") else "lx"
    return [(pair["name"], f"{pair['value']} {unit}") for pair in pairs if pair]


def _named(name: str, before: Sequence[Spoken]) -> Spoken | None:
    words = set(name_key(name).split())
    found = [each for each in before if words <= set(name_key(each.name).split())]
    exact = [each for each in found if words == set(name_key(each.name).split())]
    several = exact or found
    return several[0] if len(several) == 1 else None
