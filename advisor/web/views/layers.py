"""Fields that name the gels on a head, layer by layer."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...model import Gel, Limits, Source
from ..wording.values import gel as gel_words

_BY_HAND = 4
_HUNG = 3


@dataclass(frozen=True)
class LayersView:
    """The gels to choose from, as values and words, none first; and what is chosen in each layer."""

    gels: tuple[tuple[str, str], ...]
    chosen: tuple[str, ...]

    @property
    def some(self) -> bool:
        """Whether any layer has a gel."""
        return any(self.chosen)


def one_more(source: Source, limits: Limits, said: Sequence[str]) -> int | None:
    """Return how many layers a source has with one more, where that is `said` to help; else None."""
    most = limits.for_source(source).max_layers
    helps = any(words in sentence for words in _HELPS for sentence in said)
    return most + 1 if helps and source.no_gel is None and most < _BY_HAND else None


_HELPS = ("With one more layer", "With one layer")


def layers_by_hand(picked: Sequence[str], table: Sequence[Gel]) -> LayersView:
    """Return the layers of a stack that is built by hand, of which those `picked` are chosen."""
    return _layers(picked, table, _BY_HAND)


def layers_hung(picked: Sequence[str], table: Sequence[Gel]) -> LayersView:
    """Return the layers that may hang on a head when it is read first."""
    return _layers(picked, table, _HUNG)


def gel_choices(table: Sequence[Gel]) -> tuple[tuple[str, str], ...]:
    """Return gels to choose from, as values and words: those on the truck first, the others marked."""
    there = [(gel.name, gel_words(gel.name)) for gel in table if _on_truck(gel)]
    others = [(gel.name, f"{gel_words(gel.name)}, not on the truck") for gel in table if not _on_truck(gel)]
    return (*there, *others)


def _on_truck(gel: Gel) -> bool:
    return gel.on and gel.stock != 0


def layers_read(picked: Sequence[str], table: Sequence[Gel]) -> LayersView:
    """Return the layers that a reading may have been taken behind; what left the table stays to be chosen."""
    layers = _layers(picked, table, max(_HUNG, len(picked)))
    gone = dict.fromkeys(name for name in picked if name and name not in [gel.name for gel in table])
    gels = (*layers.gels, *((name, f"{gel_words(name)}, not in the table now") for name in gone))
    return LayersView(gels, layers.chosen)


def _layers(picked: Sequence[str], table: Sequence[Gel], most: int) -> LayersView:
    return LayersView((("", "none"), *gel_choices(table)), (*picked[:most], *[""] * (most - len(picked))))
