"""How one head is used: its dim level and its modifier, and what became of its lamp."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from ...model import Kind, Source
from ...store.tables.records import StoredReading
from ..forms.form import Form
from ..wording.sources import used
from ..wording.stacks import out_said
from ..wording.values import capitalize_first, hour, plain
from .heads import gels_said

_AS_READ = "as-read"


@dataclass(frozen=True)
class UseView:
    """The level as its field shows it, the modifiers to choose from, the one that is chosen, and the words.

    `modifiers` are values and words; there are none where a source was never read with any.
    `modifier` is empty where it is used with that of its newest bare reading.
    """

    level: str
    modifiers: tuple[tuple[str, str], ...]
    modifier: str
    words: str


def use_view(form: Form, source: Source) -> UseView:
    """Return how a source is used, with what was typed in `form`."""
    names = sorted({reading.modifier for reading in source.bare_readings})
    offered = len(names) > 1 or source.modifier is not None
    kept = "" if source.modifier is None else f"with:{source.modifier}"
    pairs = [(_AS_READ, "as in the newest bare reading"), *((f"with:{n}", n or "none") for n in names)]
    return UseView(
        level=form.value("use_level") or plain(source.level),
        modifiers=tuple(pairs) if offered else (),
        modifier=form.value("use_modifier").removeprefix(_AS_READ) or kept,
        words=f"{capitalize_first(used(source))}.",
    )


@dataclass(frozen=True)
class LampView:
    """What became of a head's lamp: `said` first, then what `stays` up, and since when in `since`.

    It is `out`, or else another lamp is in it. `reads` says to meter it, where nobody read that lamp yet.
    """

    out: bool
    said: str
    stays: str
    since: Markup
    reads: str = ""


def lamp_view(source: Source, readings: Sequence[StoredReading]) -> LampView | None:
    """Return what a head's page says of its lamp: None where it burns, and was read more than once."""
    if source.lamp is None:
        return None
    up, many = source.hanging or [], len(source.hanging or []) > 1
    stays = f"{capitalize_first(gels_said(up))} {'stay' if many else 'stays'} up." if up else ""
    if source.lamp.out:
        since = Markup("Since {}.").format(hour(source.lamp.out))
        return LampView(out=True, said=capitalize_first(out_said(source)), stays=stays, since=since)
    read = sum(kept.counts for kept in readings)
    if not source.lamp.since or read > 1:
        return None
    other = "Another light" if source.kind is Kind.DAYLIGHT else "Another lamp"
    since = Markup("{} since {}.").format(other, hour(source.lamp.since))
    if read:
        return LampView(out=False, said="", stays="", since=since)
    reads = "Meter it, with the gel on or bare." if up else "Meter it bare."
    return LampView(out=False, said="", stays=stays, since=since, reads=reads)
