"""Heads beside each other: who matches, who is odd, and what brings each to one of them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from ....advice.known_heads.beside import Unit, beside_said, compare, pairs_said
from ....advice.known_heads.levels import line_through
from ....advice.known_heads.to_hang import ToHang, to_match
from ....advice.readings.chromaticity import WhitePoint
from ....advice.wording.ladder import ladder_of
from ....advice.wording.unread_dials import beyond_read
from ....advice.wording.words import beside
from ....model import Gel, HeadReading, KnownHead, Reading, Refused, Seen, Setting
from ....model.basis.base import name_key
from ....model.sets.phrases import dial_said, measured, percent
from ....store.known_heads.known import StoredHead
from ...wording.values import gel, white_said


@dataclass(frozen=True)
class HeldAt:
    """What heads are held against each other at: a level [%], a modifier, and dials, None without any."""

    level: float
    modifier: str
    dial: Setting | None


@dataclass(frozen=True)
class BesideHead:
    """A head beside the one that all are brought to: what it reads, how it differs, and what to do."""

    id: int
    name: str
    reads: str
    differs: str
    do: str


@dataclass(frozen=True)
class BesideView:
    """Heads beside each other; all are brought to the one `to`, and `left_out` says who was not read so."""

    said: tuple[str, ...]
    at: str
    heads: tuple[BesideHead, ...]
    to: int | None
    left_out: tuple[str, ...]
    numbers: str

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """The heads as a choice has them: value and words."""
        return [(str(head.id), head.name) for head in self.heads]


@dataclass(frozen=True)
class _Read:
    """A head that was read as was asked: its white, and its readings at that level and modifier."""

    stored: StoredHead
    white: WhitePoint
    about: bool
    readings: tuple[Reading, ...]


def beside_view(
    tested: Sequence[tuple[StoredHead, Sequence[HeadReading]]],
    choice: HeldAt,
    to: int | None,
    gels: Sequence[Gel],
) -> BesideView:
    """Hold heads, each with what it reads by now, against each other; `to` is the id of one, if any."""
    read, left_out = list[_Read](), list[str]()
    for stored, readings in tested:
        found = _read(stored, readings, choice)
        if isinstance(found, str):
            left_out.append(f"{stored.head.name} {found}.")
        else:
            read.append(found)
    at = ", ".join([percent(choice.level), choice.modifier or "bare"])
    at += f", dials at {dial_said(choice.dial)}" if choice.dial else ""
    if len(read) < 2:
        return BesideView((), at, (), None, tuple(left_out), "")
    ladder = ladder_of(gels)
    units = [Unit(one.stored.head.name, one.white) for one in read]
    apart = compare([unit.white for unit in units])
    groups = {one.stored.head.group for one in read}
    said = beside_said(units, apart, ladder, groups.pop() if len(groups) == 1 else "")
    if pairs := pairs_said(units, apart):
        said.append(pairs)
    middle = next((k for k, one in enumerate(read) if one.stored.id == to), apart.middle)
    table = tuple(row.model_dump_json() for row in gels)
    lines = []
    for k, one in enumerate(read):
        shift = read[middle].white.shift_to(one.white)
        differs = "" if apart.match(k, middle) else beside(*shift, ladder, visible=True)
        do = "" if k == middle else _do(one, read[middle], apart.match(k, middle), table, gels)
        about = "about " if one.about else ""
        reads = about + white_said(one.white.cct, one.white.duv)
        lines.append(BesideHead(one.stored.id, one.stored.head.name, reads, differs, do))
    worst = measured(float(apart.steps[apart.worst]), "step")
    numbers = f"The worst two are {worst} apart, Δu′v′ {apart.worst_delta:.4f}."
    return BesideView(tuple(said), at, tuple(lines), read[middle].stored.id, tuple(left_out), numbers)


def _read(stored: StoredHead, taken: Sequence[HeadReading], choice: HeldAt) -> _Read | str:
    """Return what a head reads as was asked, or say why that is not known."""
    alike = [r for r in taken if name_key(r.modifier) == name_key(choice.modifier)]
    own = [r for r in alike if r.dial is None or choice.dial is None or r.dial == choice.dial]
    if choice.dial is None and any(r.dial for r in own):
        own = [r for r in own if r.dial == own[0].dial]
    if not alike:
        return f"was not read with {choice.modifier}" if choice.modifier else "was not read bare"
    if not own:
        return f"was not read with its dials at {dial_said(choice.dial) if choice.dial else ''}"
    try:
        found = line_through(own).at(choice.level)
    except Refused:
        return f"was not read near {percent(choice.level)}"
    now = _at_level(own, choice.level) or _worked_out(found.white, own[0])
    alike = [r for r in taken if r.dial and (r.dial, r.modifier) != (own[0].dial, own[0].modifier)]
    elsewhere = [r.on_set for r in alike if r.level == own[0].level]
    plain = tuple(r.model_copy(update={"level": None, "lux": None}) for r in (*elsewhere, now))
    return _Read(stored, found.white, found.about, plain)


def _at_level(readings: Sequence[HeadReading], level: float) -> Reading | None:
    return next((r.on_set for r in readings if r.level == level), None)


def _worked_out(white: WhitePoint, like: Reading) -> Reading:
    """Return a white as a reading that is set up like another one."""
    return Reading(cct=white.cct, duv=white.duv, dial=like.dial, modifier=like.modifier)


def _do(one: _Read, other: _Read, matches: bool, table: tuple[str, ...], gels: Sequence[Gel]) -> str:
    """Say what brings a head to another: “Hang ⅛ minus green: matches”."""
    if matches:
        return "Matches as it is."
    head = one.stored.head
    key = (head.model_dump_json(), other.white.cct, other.white.duv, *table)
    key = (*key, *(r.model_dump_json() for r in one.readings))
    found = _found(_Asked(key, head, one.readings, other.white, gels))
    if found is None:
        return "No gel or dial can be named for it."
    parts = [f"set its dials to {dial_said(found.dial)}"] if found.dial else []
    if found.gels:
        parts.append(f"hang {' + '.join(gel(name) for name in found.gels)}")
    if not parts:
        return "Leave it: no gel or dial brings it nearer."
    words = " and ".join(parts)
    unread = beyond_read(found.dial, [r.dial for r in one.readings if r.dial]) if found.dial else ""
    return f"{words[0].upper()}{words[1:]}: {_HOW[found.seen]}.{f' {unread}' if unread else ''}"


_HOW = {
    Seen.MATCHES: "matches",
    Seen.CLOSE: "close",
    Seen.SHOWS: "it is still a bit off",
    Seen.OBVIOUS: "it is still obvious",
}


@dataclass(frozen=True)
class _Asked:
    """What brings a head to a white follows from this. Two are the same where their `key` is."""

    key: tuple[object, ...]
    head: KnownHead = field(compare=False)
    readings: Sequence[Reading] = field(compare=False)
    white: WhitePoint = field(compare=False)
    gels: Sequence[Gel] = field(compare=False)


@lru_cache(maxsize=512)
def _found(asked: _Asked) -> ToHang | None:
    # Kept, since a crew looks at the same heads again and again while it hangs them.
    return to_match(asked.head, asked.readings, asked.white, asked.gels)
