"""A reading that was taken otherwise than its source is used, or set: said, with what to do about it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...advice.dials.turned_since import TurnedSince
from ...model import Kind, Setting, Source
from ...model.sets.behind import conditions_of, stand_in_use
from ...model.sets.phrases import dial_said, signed
from ...store.tables.records import StoredReading
from .values import plain


@dataclass(frozen=True)
class Otherwise:
    """How the last reading was taken: in `words`, and as fields; `use` is on the button that uses it so.

    Where nobody said at which level the head is used, nor at which it was read bare, `bare` is that reading
    by its id: it may have been taken at the same level. `bare_was` says so on its button.
    """

    words: str
    use: str
    level: str
    modifier: str
    bare: int | None = None
    bare_was: str = ""


def read_otherwise(
    source: Source, readings: Sequence[StoredReading], *, changed: bool = False
) -> Otherwise | None:
    """Return how the last of some readings was taken, where the source is not used so; None where it is.

    What its test read is not what was read last here. A level that nobody said is not taken for the one that
    was read last: it is asked. Where the light `changed` since, the bare reading before that was not taken at
    the same level.
    """
    counting = [kept for kept in readings if kept.counts and not kept.tested]
    if not counting:
        return None
    used, last = stand_in_use(source), counting[-1].reading
    was = replace(conditions_of(last), as_far=used.as_far)  # where it was read, no tap can change
    unsaid = used.level is None and was.level is not None
    if was.agrees(used) and not unsaid:
        return None
    how, here = was.beside(used), used.beside(was)
    bare = next((kept.id for kept in reversed(counting) if not kept.reading.gels), None)
    as_read = source.modifier is None and last.modifier.casefold() == used.modifier.casefold()
    said = f"it is used {here}" if here else "nobody said at which level it is used"
    return Otherwise(
        words=f"The last reading was {how}, {said}.",
        use=f"Use it {how}",
        level=plain(source.level if last.level is None else last.level),
        modifier="as-read" if as_read else f"with:{last.modifier}",
        bare=bare if unsaid and last.gels and not changed else None,
        bare_was=f"Bare was at {plain(last.level)} % too",
    )


def set_back(turned: TurnedSince) -> str:
    """Say that a head was read last with its dials turned: “Read last at green −2: set it back to …”."""
    return f"{read_turned(turned)}: set it back to {dials_apart(turned.set_to, turned.read_at)}"


def read_turned(turned: TurnedSince) -> str:
    """Say at which dials a head was read last, where these were turned since they were set."""
    return f"Read last at {dials_apart(turned.read_at, turned.set_to)}"


def dials_apart(one: Setting, other: Setting) -> str:
    """Say what of one setting differs from another: “green −2”, “4 450 K”, “4 450 K, green −2”."""
    green = f"green {signed(one.green)}"
    if one.green == other.green:
        return dial_said(Setting(cct=one.cct))
    return green if one.cct == other.cct else f"{dial_said(Setting(cct=one.cct))}, {green}"


def light_drifted(kind: Kind) -> str:
    """Say why a light of a kind may read otherwise than predicted behind gels, in a part of a sentence."""
    return (
        "the daylight drifted" if kind is Kind.DAYLIGHT else "the gel is off its label, or the lamp drifted"
    )
