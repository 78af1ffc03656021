"""What to hang on a head at each reading of its test, in words; worked out once for each colour."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import NamedTuple

from ....advice.known_heads.to_hang import ToHang, colour_of, nominal_cct, to_hang, whites_at
from ....advice.readings.chromaticity import measure
from ....advice.stacks.gel_arrays import revision_of
from ....advice.stacks.kept import Kept
from ....model import Gel, HeadReading, HeadSetup, Kind, KnownHead, Locus, Seen, Target
from ...wording.values import gel


class Hung(NamedTuple):
    """What to hang: the CCT [K] that it is for by setup; the words by setup and level [%], for each locus."""

    cct: Mapping[HeadSetup, float]
    words: Mapping[tuple[HeadSetup, float], Mapping[Locus, str]]


_STACKS = Kept(2048)
"""Stacks by what each follows from: a head that is read once more has one cell of its sheet worked out."""


def hung_said(
    head: KnownHead, readings: Mapping[HeadSetup, Sequence[HeadReading]], gels: Sequence[Gel]
) -> Hung:
    """Say what to hang at each reading, for each locus at the CCT that the head is sold as or set to."""
    table = revision_of(gels)
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
            keys = [(head.kind, target.cct, locus, table, colour) for colour in colours]
            make = partial(_made, head.kind, read, target, gels)
            stacks = _STACKS.of_all(keys, make)
            for (setup, reading), stack in zip(cells, stacks, strict=True):
                said.setdefault((setup, reading.level), {})[locus] = _said(stack)
    return Hung(ccts, said)


def _said(stack: ToHang | None) -> str:
    """Say it, and whether it still shows: “⅛ plus green”, “bare, shows”."""
    if stack is None:
        return ""
    names = " + ".join(gel(name) for name in stack.gels) or "bare"
    return names + {Seen.SHOWS: ", shows", Seen.OBVIOUS: ", obvious"}.get(stack.seen, "")


def _made(
    kind: Kind, readings: Sequence[HeadReading], target: Target, gels: Sequence[Gel], missing: Sequence[int]
) -> list[ToHang | None]:
    return to_hang(kind, [readings[k] for k in missing], target, gels)
