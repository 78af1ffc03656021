"""A line that gives the light of readings told before it: "lux: left 180, right 175, roof 90"."""

import re
from collections.abc import Sequence

from ...model.basis.base import name_key
from ..messages.lines import Said
from ..sentences.spoken import Spoken
from ..vocabulary.headings import Field

LIGHT = "its light goes to the readings above"
"""Why such a line is no reading of its own."""
_LED = re.compile(
    r"\s*(?:in\s|the\s)?(?P<unit>lux|lx|fc|foot-?candles?|light|levels?|illuminance)\s?[:=]?\s+(?=[^\W\d_])",
    re.IGNORECASE,
)
_PAIR = re.compile(
    r"\s*(?P<name>[^\W\d_][\w '’-]{0,40}?)\s*[:=]?\s+(?P<value>\d{1,6}(?:[.,]\d)?)\s*(?:lux|lx|fc)?\s*",
    re.IGNORECASE,
)
_LONGEST = 500


def give_light(said: Sequence[Said]) -> dict[int, str]:
    """Give the readings their light where a line names each of those that it speaks of; return such lines.

    Where a name is nobody's, or several's, the line gives nothing.
    """
    out: dict[int, str] = {}
    before: list[Spoken] = []
    for line in said:
        text = line.message.text
        led = _LED.match(text) if len(text) <= _LONGEST else None
        pairs = (
            [_PAIR.fullmatch(part) for part in re.split(r"[,;/]|\sand\s", text[led.end() :])] if led else []
        )
        if led is None or not all(pairs) or any(each.coloured for each in line.spoken):
            before += [each for each in line.spoken if each.name and each.cells]
            continue
        unit = "fc" if led["unit"].casefold().startswith("f") else "lx"
        told = [(_named(pair["name"], before), f"{pair['value']} {unit}") for pair in pairs if pair]
        if told and all(each is not None and Field.LUX not in each.cells for each, _ in told):
            for each, light in told:
                if each is not None:
                    each.cells[Field.LUX] = light
            line.spoken.clear()
            out[line.line] = LIGHT
    return out


def _named(name: str, before: Sequence[Spoken]) -> Spoken | None:
    words = set(name_key(name).split())
    found = [each for each in before if words <= set(name_key(each.name).split())]
    exact = [each for each in found if words == set(name_key(each.name).split())]
    several = exact or found
    return several[0] if len(several) == 1 else None
