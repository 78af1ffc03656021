"""The constants of the engine that are tuned: where each stands, how it is set, and the grid it is tried on.

What the modules hold is on the grids. The ranges of a family of spectra are stretched together about their
middles, none below nought, 1 being as they are: how wide they are is tuned, and where they lie is not.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import ModuleType
from typing import Any
from unittest.mock import patch

import numpy as np

from advisor.advice.cost import judge
from advisor.advice.learned import informed, unknowns
from advisor.advice.stacks import uncertainty
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.colour.rendering import figures
from advisor.colour.spectra import families, gels, kinds, sources
from advisor.model import Kind
from tests.accuracy.scores import CHANCE, READINGS, Score, foreseen, learned
from tests.accuracy.trials import Knows

Value = Any
"""What an attribute of a module holds: a number, or what has the number in it."""


@dataclass(frozen=True)
class Constant:
    """A number in `module.attribute`: `read` takes it out, and `written` is the attribute with another.

    `kind` is the one kind of lamp that it bears on, None where it bears on all. `kept` is why the module
    holds it still, where another value has a better score.
    """

    module: ModuleType
    attribute: str
    score: Score
    grid: tuple[float, ...]
    part: str = ""
    read: Callable[[Value], float] = float
    written: Callable[[Value, float], Value] = lambda old, value: value
    kind: Kind | None = None
    kept: str = ""

    @property
    def name(self) -> str:
        """The constant as it is called, from its module on."""
        module = self.module.__name__.removeprefix("advisor.")
        return f"{module}.{self.attribute}" + (f", {self.part}" if self.part else "")

    @property
    def held(self) -> float:
        """What the module holds."""
        return self.read(getattr(self.module, self.attribute))

    @contextmanager
    def as_if(self, value: float) -> Iterator[None]:
        """Let the module hold another value meanwhile."""
        _forget()
        try:
            with patch.object(
                self.module, self.attribute, self.written(getattr(self.module, self.attribute), value)
            ):
                yield
        finally:
            _forget()


def _forget() -> None:
    """Drop what was worked out with other constants."""
    sources.forget()
    for known in (families.family, gel_arrays_of):
        known.cache_clear()


def _of_figures(field: str, grid: tuple[float, ...]) -> Constant:
    return Constant(
        figures,
        "_SPREAD",
        foreseen(Knows.FIGURES),
        grid,
        field,
        read=lambda spread: getattr(spread, field),
        written=lambda spread, value: spread._replace(**{field: value}),
    )


def _of_kind(kind: Kind, family: str, field: str, grid: tuple[float, ...], kept: str = "") -> Constant:
    """Make the constant of a field of one family of a kind."""

    def written(kinds: Value, value: float) -> Value:
        known = kinds[kind].families
        changed = (f._replace(**{field: value}) if f.name == family else f for f in known)
        return kinds | {kind: kinds[kind]._replace(families=tuple(changed))}

    def read(kinds: Value) -> float:
        return next(getattr(f, field) for f in kinds[kind].families if f.name == family)

    return Constant(kinds, "KINDS", READ, grid, f"{field} of {family}", read, written, kind, kept)


def _ranges(kind: Kind, family: str, kept: str = "") -> Constant:
    """Make the constant of how wide a family's ranges are, as a share of how wide the module has them."""

    def written(made: Value, value: float) -> Value:
        make, members = made[family]

        def stretched(share: float, low: float, high: float) -> float:
            middle, half = (low + high) / 2.0, value * (high - low) / 2.0
            least = max(middle - half, 0.0)
            return least + (middle + half - least) * float(share)

        def wider(place: Value) -> Value:
            with patch.object(families, "_at", stretched):
                return make(place)

        return made | {family: (wider, members)}

    grid = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5)
    part = f"ranges of {family}"
    return Constant(families, "_FAMILIES", READ, grid, part, lambda _: 1.0, written, kind, kept)


LIGHTER = (
    "lighter, the stated radius is nearer to what comes of it, but the prediction is worse: its mean error "
    "on these eleven lamps grows from 0.955 to 0.972 step at 0.03, and to 0.997 at 0.01"
)
NARROWER = (
    "narrower, the prediction is the same (mean error 1.99 step), and only less is stated: 93 % are inside "
    "the stated 90 % at 0.75, and 96 % as it is. One uncertainty.SCALE is for all kinds, and colour-mixing "
    "LEDs, which are foreseen worst, stay on the safe side of it"
)
READ, SPECTRUM = foreseen(Knows.READING), foreseen(Knows.SPECTRUM)
CONSTANTS = (
    Constant(uncertainty, "SCALE", READ, (1.0, 1.15, 1.25, 1.35, 1.45, 1.6)),
    Constant(uncertainty, "UNMODELLED_SHARE", READ, (0.0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.07)),
    Constant(sources, "BEND_SCALE", READ, (0.2, 0.25, 0.3, 0.4, 0.5, 0.7)),
    _of_kind(Kind.LED_WHITE, "white-led", "weight", (0.1, 0.3, 1.0, 3.0, 10.0)),
    _of_kind(Kind.LED_WHITE, "hybrid-led", "weight", (0.01, 0.03, 0.1, 0.3, 1.0)),
    _of_kind(Kind.LED_MIX, "rgb", "weight", (0.03, 0.1, 0.3, 1.0, 3.0)),
    _of_kind(Kind.LED_MIX, "rgb-amber", "weight", (0.1, 0.3, 1.0, 3.0, 10.0)),
    _of_kind(Kind.LED_MIX, "rgb-lime", "weight", (0.1, 0.3, 1.0, 3.0, 10.0)),
    _of_kind(Kind.FLUORESCENT_TRIBAND, "triband", "weight", (0.01, 0.03, 0.1, 0.3, 1.0), LIGHTER),
    _of_kind(Kind.DISCHARGE, "metal-halide", "weight", (0.003, 0.01, 0.03, 0.1, 0.3)),
    _of_kind(Kind.DISCHARGE, "metal-halide", "off", (0.005, 0.007, 0.01, 0.015, 0.03)),
    _of_kind(Kind.DISCHARGE, "mercury", "weight", (0.0008, 0.0025, 0.008, 0.025, 0.08)),
    _ranges(Kind.LED_WHITE, "white-led"),
    _ranges(Kind.LED_WHITE, "hybrid-led"),
    _ranges(Kind.LED_MIX, "rgb"),
    _ranges(Kind.LED_MIX, "rgb-amber", NARROWER),
    _ranges(Kind.LED_MIX, "rgb-lime"),
    _ranges(Kind.FLUORESCENT_TRIBAND, "triband"),
    _ranges(Kind.DISCHARGE, "metal-halide"),
    _ranges(Kind.DISCHARGE, "mercury"),
    _of_figures("ra", (2.0, 3.0, 4.0, 6.0, 8.0)),
    _of_figures("r9", (12.0, 18.0, 24.0, 36.0, 48.0)),
    Constant(
        gels,
        "_MOVED",
        SPECTRUM,
        (0.0, 6.0, 9.0, 12.0, 15.0, 18.0),
        "nm",
        read=lambda moved: max(map(max, moved)),
        written=lambda moved, value: tuple(tuple(value * np.sign(pair)) for pair in moved),
    ),
    Constant(gels, "_WIDER", SPECTRUM, (1.0, 1.1, 1.2, 1.3, 1.4)),
    Constant(judge, "GATHERED", CHANCE, (0.4, 0.55, 0.7, 0.85, 1.0)),
    Constant(judge, "NEARER", CHANCE, (0.7, 0.8, 0.9, 1.0, 1.1)),
    Constant(unknowns, "GUESSED", learned(Knows.READING), (0.03, 0.05, 0.07, 0.1, 0.15, 0.2)),
    Constant(unknowns, "MEASURED", learned(Knows.SPECTRUM), (0.0, 0.005, 0.01, 0.02, 0.03)),
    Constant(unknowns, "GATHERED", learned(Knows.READING), (0.5, 0.7, 0.85, 1.0, 1.2)),
    Constant(informed, "_BEYOND", READINGS, (0.0, 1.0, 2.0, 4.0, 6.0, 10.0)),
    Constant(informed, "_TRYING", READINGS, (0.0, 0.05, 0.2, 1.0)),
)
