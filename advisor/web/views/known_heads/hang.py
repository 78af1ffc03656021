"""What to hang on a head at each reading of its test, in words; worked out once for what was read."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from ....advice.known_heads.to_hang import ToHang, colour_of, nominal_cct, to_hang, whites_at
from ....advice.readings.chromaticity import measure
from ....model import Gel, HeadReading, HeadSetup, Kind, KnownHead, Locus, Seen, Target
from ...wording.values import gel


class Hung(NamedTuple):
    """What to hang: the CCT [K] that it is for by setup; the words by setup and level [%], for each locus."""

    cct: Mapping[HeadSetup, float]
    words: Mapping[tuple[HeadSetup, float], Mapping[Locus, str]]


@dataclass(frozen=True)
class _Asked:
    """What the stacks of a head follow from. Two are the same where their `text` is."""

    text: tuple[str, ...]
    kind: Kind = field(compare=False)
    readings: Sequence[HeadReading] = field(compare=False)
    target: Target = field(compare=False)
    gels: Sequence[Gel] = field(compare=False)


def hung_said(
    head: KnownHead, readings: Mapping[HeadSetup, Sequence[HeadReading]], gels: Sequence[Gel]
) -> Hung:
    """Say what to hang at each reading, for each locus at the CCT that the head is sold as or set to."""
    table = tuple(row.model_dump_json() for row in gels)
    said: dict[tuple[HeadSetup, float], dict[Locus, str]] = {}
    ccts: dict[HeadSetup, float] = {}
    by_cct: dict[float, list[tuple[HeadSetup, HeadReading]]] = {}
    for setup, some in readings.items():
        full = next(rows[0] for other, rows in readings.items() if other.dial == setup.dial)
        cct = nominal_cct(head, setup, measure(full))
        ccts[setup] = cct
        by_cct.setdefault(cct, []).extend((setup, reading) for reading in some)
    for cct, cells in by_cct.items():
        read = [reading for _, reading in cells]
        colours = [colour_of(reading).model_dump_json(exclude_defaults=True) for reading in read]
        for locus, target in whites_at(cct).items():
            text = (head.kind, target.model_dump_json(), *table, *colours)
            stacks = _found(_Asked(text, head.kind, read, target, gels))
            for (setup, reading), stack in zip(cells, stacks, strict=True):
                said.setdefault((setup, reading.level), {})[locus] = _said(stack)
    return Hung(ccts, said)


def _said(stack: ToHang | None) -> str:
    """Say it, and whether it still shows: “⅛ plus green”, “bare, shows”."""
    if stack is None:
        return ""
    names = " + ".join(gel(name) for name in stack.gels) or "bare"
    return names + {Seen.SHOWS: ", shows", Seen.OBVIOUS: ", obvious"}.get(stack.seen, "")


@lru_cache(maxsize=128)
def _found(asked: _Asked) -> list[ToHang | None]:
    # Kept: sixty readings take half a second, and a sheet is opened more often than a head is read.
    return to_hang(asked.kind, asked.readings, asked.target, asked.gels)
