"""What a gel on the truck really does, learnt from a meter: its row, fitted.

A pair of readings (one head, one dim level, bare and then gelled) gives the gel's strength, its green
and its loss: the mired and cc are sought for which the prediction, on this very head, is what the meter
read. The row that comes out holds on the reference source, so that it predicts on other heads too.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..colour import gels
from ..colour.cct import cct_duv_of_uv
from ..colour.chromaticity import STEP, distance, uv_of_xyz
from ..colour.data import Array
from ..colour.grid import weights
from ..colour.loci import MEGA, planckian
from ..colour.predict import stops, through
from ..model import Aim, Gel, Reading, Refused, Source, Transmittance
from ..model.problems import within
from ..model.quantities import tidy
from .measure import measure
from .prediction import Bare, prepare
from .rack import on_grid, rack_of

_CLOSE = 1e-6
"""A fit within this is found. [Δuv]"""
_STRANGE_SHARE, _STRANGE_LEAST = 0.35, 6.0
"""A pair is strange where the light moved otherwise by a third and by six steps: sheets of one label differ
by less, a second head by more (our own judgement, no source)."""


@dataclass(frozen=True)
class Lesson:
    """A row before and after, and how far the old row's prediction was from the meter. [step]"""

    old: Gel
    new: Gel
    off_steps: float


def from_pair(gel: Gel, head: Source, gelled: Reading, table: Sequence[Gel]) -> Lesson:
    """Fit a gel's row to a head's bare reading (in `head`) and its reading behind one sheet, `gelled`.

    Raises Refused where the gelled reading is brighter than the bare one, or where the light moved as no
    gel like this one, and no other of the table, moves it: the pair is of two heads, or two dim levels.
    """
    with within("gelled"):
        seen = measure(gelled)
    bare = prepare(head.model_copy(update={"keep": [], "aim": Aim()}), rack_of((gel,)), seen)
    lost = _loss(head.reading, gelled)
    plain = gel.model_copy(update={"transmittance": None, "stops": None})
    expected = through(bare.mean, rack_of((gel,)).transmittances).uv[0, 0]
    _plausible(gel, bare, expected, seen.uv, table)
    mired, cc = _fit(bare, seen.uv, gel.mired, gel.cc)
    row = plain.model_copy(update={"mired": round(mired, 2), "cc": round(cc, 2)})
    if lost is not None:
        row = row.model_copy(update={"stops": round(_on_reference(row, bare, lost), 3)})
    elif gel.stops is not None:
        row = row.model_copy(update={"stops": gel.stops})
    new = Gel.model_validate(row.model_dump())
    rack_of((new,))
    return Lesson(gel, new, float(distance(expected, seen.uv)) / STEP)


def from_transmittance(gel: Gel, curve: Transmittance) -> Lesson:
    """Take a measured transmittance: the row's figures become what it does on the reference.

    Raises Refused where that is further than a row can say.
    """
    sheet = on_grid(curve)
    reference = gels.reference_cct(gel.mired)
    lit = planckian(reference)
    after = uv_of_xyz((lit * sheet) @ weights())
    cct, duv = (float(v) for v in cct_duv_of_uv(after))
    if not np.isfinite(cct):
        raise Refused.one(
            "transmittance",
            f"behind this filter a source of {tidy(reference)} K is no longer a white",
            "a filter that corrects white light",
        )
    luminous = weights()[:, 1]
    figures = {
        "mired": round(MEGA / cct - MEGA / reference, 2) + 0.0,
        "cc": round(1000.0 * duv, 2) + 0.0,
        "stops": round(float(stops((lit * sheet) @ luminous / (lit @ luminous))), 3),
        "transmittance": curve,
    }
    new = Gel.model_validate({**gel.model_dump(), **figures})
    old = through(lit[None, :], rack_of((gel,)).transmittances).uv[0, 0]
    return Lesson(gel, new, float(distance(old, after)) / STEP)


def _loss(bare: Reading, gelled: Reading) -> float | None:
    """Return the stops lost on the head; None where a lux is missing."""
    if bare.lux is None or gelled.lux is None:
        return None
    if gelled.lux >= bare.lux:
        raise Refused.one(
            "gelled.lux",
            f"{tidy(gelled.lux)} lx behind the gel is not less than {tidy(bare.lux)} lx bare",
            "less light behind a gel than without it: same head, same dim level, same place",
        )
    return float(np.log2(bare.lux / gelled.lux))


def _plausible(gel: Gel, bare: Bare, expected: Array, seen: Array, table: Sequence[Gel]) -> None:
    """Raise Refused where the light moved as neither this gel nor any other of the table moves it."""
    moved = float(distance(seen, bare.white.uv)) / STEP
    off = float(distance(expected, seen)) / STEP
    if off <= max(_STRANGE_LEAST, _STRANGE_SHARE * float(distance(expected, bare.white.uv)) / STEP):
        return
    rack = rack_of(tuple(table))
    others = distance(through(bare.mean, rack.transmittances).uv[:, 0], seen) / STEP
    nearest = int(np.argmin(others))
    if others[nearest] <= max(_STRANGE_LEAST, _STRANGE_SHARE * moved):
        says = f"the light moved as {rack.names[nearest]} moves it, not {gel.name}"
        raise Refused.one("gel", says, f"the gel that hung there: {rack.names[nearest]}?")
    raise Refused.one(
        "gelled",
        f"the light moved by {moved:.0f} steps as no gel of the table moves it",
        "two readings of one head at one dim level, bare and behind one sheet",
    )


def _fit(bare: Bare, wanted: Array, mired: float, cc: float) -> tuple[float, float]:
    """Find the label for which the prediction on the head is `wanted` (2,): Newton on both figures."""
    at = np.array([mired, cc])
    # The bands go by the signs of the label; a step too small to change them keeps the slope smooth.
    for _ in range(25):
        rest = _predicted(bare, at) - wanted
        if np.abs(rest).max() < _CLOSE:
            return float(at[0]), float(at[1])
        ahead = np.array([1.0 if at[0] >= 0 else -1.0, 0.3 if at[1] >= 0 else -0.3])
        slope = np.stack(
            [(_predicted(bare, at + step) - wanted - rest) / step.sum() for step in np.diag(ahead)]
        )
        at = at - np.clip(np.linalg.solve(slope.T, rest), -40.0, 40.0)
    raise Refused.one("gelled", "no row of the table's kind fits this pair", "read both again")


def _predicted(bare: Bare, label: Array) -> Array:
    try:
        sheet = gels.transmittances(label[:1], label[1:], np.array([np.nan]))
    except gels.Impossible:
        raise Refused.one("gelled", "no gel can move light so far", "read both again") from None
    return np.asarray(through(bare.mean, sheet).uv[0, 0])


def _on_reference(row: Gel, bare: Bare, lost: float) -> float:
    """Return the loss on the reference, of a gel whose loss on the head is `lost`. [stop]"""
    sheet = rack_of((row,))
    here = float(stops(through(bare.mean, sheet.transmittances).passed[0, 0]))
    there = float(gels.loss_on_reference(sheet.mired, sheet.transmittances)[0])
    return there + lost - here
