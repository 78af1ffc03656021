"""What can hurt people here, by the kind and power of what is in the set.

Common practice, no source; they remind, and replace neither local codes nor licensed practice.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from ...model import Kind, Source
from ...model.gels.gel import scrims_among

HOT_WATTS = 300.0
"""From this power a lamp's face is taken to be hot, whatever its kind: a judgement of ours, no source. [W]"""
_HOT = (Kind.TUNGSTEN, Kind.DISCHARGE)
_TUBES = (Kind.FLUORESCENT, Kind.FLUORESCENT_TRIBAND)
_OUTSIDE = (Kind.DAYLIGHT, Kind.SODIUM)


KEYS = ("hot", "scrims", "uv", "tubes", "height", "mains", "wet")
"""The keys of all the cautions that there are."""


@dataclass(frozen=True)
class Caution:
    """A caution under a key that stays the same, and the sources that it is about; none is all."""

    key: str
    words: str
    names: tuple[str, ...] = ()

    @property
    def at_the_head(self) -> str:
        """What to mind before hands go to the head, in a few words; else empty."""
        return _AT_THE_HEAD.get(self.key, "")


_AT_THE_HEAD = {
    "hot": "Hot: let it cool before you touch it.",
    "scrims": "Scrims: as hot as the head. Gloves on, head off.",
    "uv": "UV: never without its safety glass.",
    "tubes": "Tubes: off and cool first.",
    "height": "At height: a second person at the ladder.",
}
"""Common practice, no source."""


def cautions(sources: Sequence[Source], hidden: Collection[str] = ()) -> list[Caution]:
    """Return the cautions for some sources, the gravest first, without those that were put away."""
    scrims = scrims_among({gel for source in sources for gel in _on(source)})
    found = [
        _about(
            "hot",
            "Hot face: heat-resistant gel only, in a frame away from lens and vents. Never seal a head in "
            "gel. Never leave it unwatched. Let it cool before you touch it.",
            [s for s in sources if s.kind in _HOT or (s.watts or 0) >= HOT_WATTS],
        ),
        _about(
            "scrims",
            "Scrims: metal, as hot as the head. Gloves on. Switch the head off before you slide one in or "
            "out. Put it down where nobody takes hold of it.",
            [s for s in sources if not scrims.isdisjoint(_on(s))],
        ),
        _about(
            "uv",
            "Discharge lamp: UV burns eyes and skin. Never without its safety glass. Off at once if that is "
            "cracked. Gel is no UV filter.",
            [s for s in sources if s.kind is Kind.DISCHARGE],
        ),
        _about(
            "tubes",
            "Tubes: off and cool before you sleeve them. End sleeves short of the caps. Keep the fitting's "
            "vents free.",
            [s for s in sources if s.kind in _TUBES],
        ),
        _about(
            "height",
            "Windows and street lamps: work at height. A second person at the ladder. Nothing loose above "
            "people. Tie gel against wind.",
            [s for s in sources if s.kind in _OUTSIDE],
        ),
        Caution(
            "mains",
            "Mains: isolate before you open or rewire anything. House wiring and distribution are for a "
            "licensed electrician. Local codes go before anything said here.",
        ),
        Caution("wet", "Wet: no mains gear in rain or standing water, unless it is built for that."),
    ]
    return [c for c in found if c is not None and c.key not in hidden] if sources else []


def _on(source: Source) -> list[str]:
    """Return what hangs on a source, what always does, and what is planned, by name."""
    work = source.work
    planned = [*work.gels, *(work.instead.gels if work.instead else ())] if work else []
    return [*source.keep, *(source.hung or ()), *planned]


def _about(key: str, words: str, sources: Sequence[Source]) -> Caution | None:
    return Caution(key, words, tuple(s.name for s in sources)) if sources else None
