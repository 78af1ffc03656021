"""The readings behind a gel that are known, alone or with one other: those of all sets, and those typed."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pydantic import TypeAdapter, ValidationError

from ...advice.learned.light_now import light_differs
from ...advice.readings.chromaticity import WhitePoint, measure
from ...advice.teaching.possible_rows import is_taught
from ...advice.teaching.teach import ReadingPair
from ...model import Gel, Kind, Reading, Refused, Source
from ...model.basis.base import Model, name_key
from ...model.sets.behind import conditions_of
from ...store import Conflict, StoredSet
from ..state import gels_in_force, state
from ..wording.values import gel

MOST = 24
"""Pairs of one gel that are offered, the newest first, and as many that were typed are kept."""
_MOST_SETS = 50
"""Sets, the latest first, that are looked through."""
_KEPT = "taught: "
"""Typed pairs are kept under this and the gel's name."""


class _Typed(Model):
    """A pair that somebody typed."""

    head: Source
    gelled: Reading


_TYPED = TypeAdapter(list[_Typed])


@dataclass(frozen=True)
class KnownPair:
    """A pair that can be ticked by its `key`, and where it was read; empty where it was typed."""

    key: str
    pair: ReadingPair
    where: str

    @property
    def whites(self) -> tuple[WhitePoint, WhitePoint]:
        """What was read bare and behind the sheet."""
        return measure(self.pair.head.reading), measure(self.pair.gelled)

    @property
    def kind(self) -> Kind:
        """The kind of its lamp."""
        return self.pair.head.kind


def known_pairs(name: str) -> list[KnownPair]:
    """Return the pairs of readings of one gel: bare and behind a sheet of it, each once, the newest first."""
    found: dict[str, KnownPair] = {}
    for known in (*_typed(name), *_in_sets(name)):
        found.setdefault(known.key, known)
        if len(found) == MOST:
            break
    return list(found.values())


def keep_typed(name: str, pair: ReadingPair) -> None:
    """Keep a pair that was typed, so that the gel can be taught again with all that was read of it."""
    while True:
        was = state().choices.load(_KEPT + name)
        kept = [_Typed(head=pair.head, gelled=pair.gelled), *_read(was)]
        data = _TYPED.dump_json(kept[:MOST], exclude_defaults=True).decode()
        try:
            return state().choices.save(_KEPT + name, data, was=was)
        except Conflict:  # somebody kept another one between the lines: add this one to that
            continue


def key_of(pair: ReadingPair) -> str:
    """Return what tells a pair from others: its lamp's kind and what was read."""
    head, gelled = pair.head.reading, pair.gelled
    said = [pair.head.kind, *(_figures(reading) for reading in (head, gelled))]
    said += [pair.beside.name] if pair.beside else []
    return hashlib.sha256(repr(said).encode()).hexdigest()[:12]


def _figures(reading: Reading) -> tuple[object, ...]:
    """Return what a form shows of a white, rounded as it does; light may be typed in another unit."""
    try:
        white = measure(reading)
    except Refused:
        return (reading.model_dump_json(),)
    return round(white.cct), round(white.duv, 4)


def _in_sets(name: str) -> Iterator[KnownPair]:
    for line in state().sets.list_sets()[:_MOST_SETS]:
        stored = state().sets.get_set(line.id)
        for source in stored.sources:
            yield from _of_source(name, source.source, stored)


def _of_source(name: str, source: Source, stored: StoredSet) -> Iterator[KnownPair]:
    """Find what was read behind a sheet, with the newest bare reading of that level and modifier.

    Another gel may have hung with it, if its row was not learnt from readings: else two gels that hung
    together would teach each other. Left out is what was read where the light changed: nobody knows which
    readings belong together.
    """
    for gelled in reversed(source.readings):
        others = _hung_with(name, gelled.gels)
        if others is None or gelled.gel_burnt or not _is_white(gelled):
            continue
        stand = conditions_of(gelled)
        alike = (
            bare
            for bare in reversed(source.bare_readings)
            if bare.dial == gelled.dial and stand.agrees(conditions_of(bare)) and _is_white(bare)
        )
        if (bare := next(alike, None)) is not None:
            if light_differs(source, gelled, bare, stored.limits.accuracy):
                continue
            head = Source(name=source.name, kind=source.kind, reading=bare)
            pair = ReadingPair(head, gelled, stored.limits.accuracy, others[0] if others else None)
            where = [source.name, stored.name, *(f"with {gel(other.name)}" for other in others)]
            yield KnownPair(key_of(pair), pair, ", ".join(where))


def _hung_with(name: str, gels: Sequence[str]) -> list[Gel] | None:
    """Return the other gel that hung with a sheet, if one did; None where its light tells nothing of it."""
    others = [other for other in gels if name_key(other) != name_key(name)]
    if len(others) != len(gels) - 1 or len(others) > 1:
        return None
    rows = [row for row in gels_in_force() if others and row.name == others[0]]
    return None if len(rows) != len(others) or any(map(is_taught, rows)) else rows


def _typed(name: str) -> Iterator[KnownPair]:
    for kept in _read(state().choices.load(_KEPT + name)):
        pair = ReadingPair(kept.head, kept.gelled)
        yield KnownPair(key_of(pair), pair, "")


def _read(text: str | None) -> list[_Typed]:
    try:
        return _TYPED.validate_json(text or "[]")
    except ValidationError:  # of another version: the readings are no more than a help
        return []


def _is_white(reading: Reading) -> bool:
    try:
        measure(reading)
    except Refused:
        return False
    return True
