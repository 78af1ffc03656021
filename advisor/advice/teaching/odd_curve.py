"""Curves that are asked about before they are taken: densities, and what contradicts a row's label.

A curve says what a gel does more exactly than any label. But a column of densities, or the curve of another
gel, read as a transmittance makes a row that warms where the gel cools, and nobody sees it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ...colour.observer.chromaticity import through
from ...colour.observer.loci import MIRED_K, planckian
from ...model import Gel, Transmittance
from ...model.sets.phrases import signed
from ..readings.chromaticity import white_at
from ..stacks.gel_arrays import on_grid
from .fit_gel import steps_of
from .possible_rows import reference_of

LEAST_PERCENT = 15.0
"""A curve whose shift is as near to the label's is not asked about, however sure the label is. [%] Our own
judgement, no source."""


@dataclass(frozen=True)
class Way:
    """What a curve would do on the row's reference if it were taken one way, and whether the label agrees.

    `mired` [MK⁻¹] and `cc` [CC] are None where no white is left of it.
    """

    mired: float | None
    cc: float | None
    agrees: bool

    @property
    def words(self) -> str:
        """The shift in words."""
        if self.mired is None or self.cc is None:
            return "no white light"
        return f"{signed(self.mired, 0)} mired, {signed(self.cc, 1)} CC"


@dataclass(frozen=True)
class Doubt:
    """Why a curve is asked about, in words, what each way to take it would do, and the likeliest way."""

    says: str
    ways: Mapping[str, Way]
    likeliest: str


def doubt_about(gel: Gel, ways: Mapping[str, Transmittance], headed: str = "") -> Doubt | None:
    """Return what has to be asked before a curve is taken for a gel's row; None where nothing has.

    `ways` are the transmittances that its text may mean, the plainest first; `headed` says why that may not
    be the one, where its heading does. The row's figures are its label; a row without is never contradicted.
    """
    name, first = next(iter(ways.items()))
    plain = (name, _way(gel, first))
    if not headed and plain[1].agrees:
        return None
    tried = {way: plain[1] if way == name else _way(gel, curve) for way, curve in ways.items()}
    labelled = not gel.neutral
    label = f"The label says {signed(gel.mired, 0)} mired, {signed(gel.cc, 1)} CC"
    agreeing = [name for name, way in tried.items() if way.agrees] if labelled else []
    if headed:
        likeliest = agreeing[0] if len(agreeing) == 1 else list(tried)[-1]
        says = f"{headed}. {label}" if labelled else headed
    else:
        likeliest = agreeing[0] if agreeing else "label"
        does = "leaves" if plain[1].mired is None else "shifts"
        says = f"this curve {does} {plain[1].words}. {label}"
    return Doubt(says, tried, likeliest)


def _way(gel: Gel, curve: Transmittance) -> Way:
    reference = reference_of(gel)
    uv = through(planckian(reference)[None, :], on_grid(curve)[None, :]).uv[0, 0]
    white = white_at(uv)
    if white is None:
        return Way(None, None, agrees=gel.neutral)
    shift = np.array([MIRED_K / white.cct - MIRED_K / reference, white.cc])
    agrees = gel.neutral
    if not gel.neutral:
        label = np.array([gel.mired, gel.cc]) * steps_of(gel)
        along = float(shift * steps_of(gel) @ label / (label @ label))
        agrees = abs(along - 1.0) <= max(gel.off_percent or 0.0, LEAST_PERCENT) / 100.0
    return Way(float(shift[0]), float(shift[1]), agrees)
