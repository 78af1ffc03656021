"""What a gel on the truck really does, learnt from a meter: its row, fitted.

A pair of readings (one head, one dim level, bare and then gelled) gives the gel's strength, its green
and its loss: the mired and cc are sought for which the prediction, on this very head, is what the meter
read. The row that comes out holds on the reference source, so that it predicts on other heads too.

A label cannot say everything: its reference goes by the sign of its mired, and a minus green that cools
5 600 K slightly still warms 3 200 K. The row then gets the nearest label, and `left_steps` is what it misses.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from pydantic import ValidationError

from ..colour import gels
from ..colour.cct import DUV_LIMIT
from ..colour.chromaticity import STEP, distance, uv_of_xyz
from ..colour.data import Array
from ..colour.grid import weights
from ..colour.loci import CC, MEGA, planckian
from ..colour.predict import stops, through
from ..model import Aim, Gel, Known, Reading, Refused, Source, Transmittance, refuse
from ..model.problems import within
from ..model.quantities import tidy
from .measure import measure, white_at
from .prediction import Bare, prepare
from .rack import on_grid, rack_of

TAUGHT = "taught by a pair of readings"
"""How the note of a taught row begins: it goes where the table goes, into a spreadsheet and back."""
_CLOSE = 1e-6
"""A fit within this is found. [Δu′v′]"""
_EDGE = 0.01
"""The least cooling that a label can say: mired is kept to two places. [MK⁻¹]"""
_NO_SHIFT = 1.0
"""A shift to the wrong side of a reference that counts as none: too small to be seen. [MK⁻¹]"""
_ROUNDING = 0.001
"""Stops are kept to three places. [stop]"""
_SLACK = 0.2
"""How much less than our dyes a sheet may lose: two illuminances, each within 5 %, and dyes clearer than ours
(our own judgement, no source). It then counts as the clearest sheet of its label. [stop]"""
_SEEN = 1.0
"""What a row may miss of its own pair before the other reference is tried: meters err more. [step]"""
_LEFT = 3.0
"""A row that misses its own pair by more is none. [step] (our own judgement: three steps are seen)"""
_STRANGE_SHARE, _STRANGE_LEAST = 0.35, 6.0
"""A pair is strange where the light moved otherwise by a third and by six steps: sheets of one label differ
by less, a second head by more (our own judgement, no source)."""


@dataclass(frozen=True)
class Lesson:
    """A row before and after, and how far from the meter each one's prediction is. [step]"""

    old: Gel
    new: Gel
    off_steps: float
    left_steps: float = 0.0


def is_taught(gel: Gel) -> bool:
    """Whether a row's figures were fitted to a pair of readings."""
    return gel.transmittance is None and gel.note.startswith(TAUGHT)


def untaught_note(note: str) -> str:
    """Return a note without the words that teaching put before it."""
    return note.removeprefix(TAUGHT).removeprefix("; ")


def checked(gel: Gel) -> Gel:
    """Return what to take for a row that came from elsewhere, one that the engine can work with.

    A measured row whose figures say that it does nothing gets those of its transmittance. Raises Refused,
    with the column as its place, where no gel can do what the row says.
    """
    if gel.transmittance is not None:
        idle = not (gel.mired or gel.cc or gel.stops)
        with within("spectrum"):
            return from_transmittance(gel, gel.transmittance).new if idle else gel
    stated = np.nan if gel.stops is None else gel.stops
    try:
        gels.transmittances(np.array([gel.mired]), np.array([gel.cc]), np.array([stated]))
    except gels.Impossible as no:
        column, allowed = _at_fault(gel)
        raise Refused.one(column, f"{gel.name}: {no.reason}", allowed) from None
    return gel


def _at_fault(gel: Gel) -> tuple[str, str]:
    """Return the column that makes a row impossible, and what it may say."""
    try:
        gels.transmittances(np.array([gel.mired]), np.array([gel.cc]), np.array([np.nan]))
    except gels.Impossible:
        mired = gel.mired and abs(gel.cc) <= CC * DUV_LIMIT
        return ("mired" if mired else "cc"), "other mired and cc"
    return "stops", "that or more, or stops left empty"


def from_pair(gel: Gel, head: Source, gelled: Reading, table: Sequence[Gel]) -> Lesson:
    """Fit a gel's row to a head's bare reading (in `head`) and its reading behind one sheet, `gelled`.

    Raises Refused where the gelled reading is brighter than the bare one, or where the light moved as no
    gel like this one, and no other of the table, moves it: the pair is of two heads, or two dim levels.
    """
    with within("gelled"):
        seen = measure(gelled)
    bare = prepare(head.model_copy(update={"keep": [], "aim": Aim()}), rack_of((gel,)), seen)
    lost = _loss(head.reading, gelled)
    expected = through(bare.mean, rack_of((gel,)).transmittances).uv[0, 0]
    _plausible(gel, bare, expected, seen.uv, table)
    label, left = _fit(bare, seen.uv, gel)
    figures = {"mired": round(label[0], 2) + 0.0, "cc": round(label[1], 2) + 0.0, "stops": gel.stops}
    if lost is not None:
        figures["stops"] = _on_reference(label, bare, lost)
    old = untaught_note(gel.note)
    note = f"{TAUGHT}; {old}"[:500] if old else TAUGHT
    with within("gelled"):
        new = _row(gel, **figures, note=note, transmittance=None, known=Known.TAUGHT, percent=None)
        checked(new)
    return Lesson(gel, new, float(distance(expected, seen.uv)) / STEP, left)


def from_transmittance(gel: Gel, curve: Transmittance) -> Lesson:
    """Take a measured transmittance: the row's figures become what it does on the reference.

    Raises Refused where that is further than a row can say.
    """
    sheet = on_grid(curve)
    label = _described(sheet, gels.reference_cct(gel.mired))
    new = _row(
        gel,
        mired=round(label.mired, 2) + 0.0,
        cc=round(label.cc, 2) + 0.0,
        stops=round(label.stops, 3),
        transmittance=curve,
        note=untaught_note(gel.note),
        known=Known.MEASURED,
        percent=None,
    )
    lit = planckian(label.reference)[None, :]
    ways = through(lit, np.stack([sheet, rack_of((gel,)).transmittances[0]])).uv[:, 0]
    return Lesson(gel, new, float(distance(ways[0], ways[1])) / STEP)


class _Label(NamedTuple):
    """What a sheet does on a reference: [K, MK⁻¹, CC, stop]."""

    reference: float
    mired: float
    cc: float
    stops: float


def _described(sheet: Array, own: float) -> _Label:
    """Say what a sheet (81,) does on its own reference [K], or on the other where its shift has that sign.

    Where neither reference agrees with the sign of its shift, the shift is none.
    """
    others = {gels.WARMING_REFERENCE, gels.COOLING_REFERENCE} - {own}
    found = [label for reference in (own, *others) if (label := _on(sheet, reference)) is not None]
    if not found:
        says = f"behind this filter a source of {tidy(own)} K is no longer a white"
        raise Refused.one("transmittance", says, "a filter that corrects white light")
    for label in found:
        cooling = label.reference == gels.COOLING_REFERENCE
        kept = min(label.mired, -_EDGE) if cooling else max(label.mired, 0.0)
        if abs(kept - label.mired) < _NO_SHIFT:
            return label._replace(mired=kept)
    return max(found, key=lambda label: label.reference)._replace(mired=0.0)


def _on(sheet: Array, reference: float) -> _Label | None:
    lit = planckian(reference)
    white = white_at(uv_of_xyz((lit * sheet) @ weights()))
    if white is None:
        return None
    luminous = weights()[:, 1]
    lost = float(stops((lit * sheet) @ luminous / (lit @ luminous)))
    return _Label(reference, MEGA / white.cct - MEGA / reference, CC * white.duv, lost)


def _row(gel: Gel, **changed: object) -> Gel:
    """Return a gel's row with some of it changed, all of it checked again; raises Refused."""
    try:
        return Gel.model_validate({**dict(gel), **changed})
    except ValidationError as error:
        raise refuse(error) from None


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
    rack = rack_of(tuple(g for g in table if g.name != gel.name))
    others = distance(through(bare.mean, rack.transmittances).uv[:, 0], seen) / STEP
    nearest = int(np.argmin(others)) if len(others) else None
    if nearest is not None and others[nearest] <= max(_STRANGE_LEAST, _STRANGE_SHARE * moved):
        says = f"the light moved as {rack.names[nearest]} moves it, not {gel.name}"
        raise Refused.one("gel", says, "the gel that hung there: look at its label, and choose it")
    raise Refused.one(
        "gelled",
        f"the light moved by {moved:.0f} steps as no gel of the table moves it",
        "two readings of one head at one dim level, bare and behind one sheet",
    )


def _fit(bare: Bare, wanted: Array, gel: Gel) -> tuple[tuple[float, float], float]:
    """Find the label for which the prediction on the head is `wanted` (2,), and what it misses. [step]

    The label stays on the gel's own reference, or goes to the other one where only that fits: two labels
    can do the same on one head, and the near one is the gel's.
    """
    side = -1.0 if gel.mired < 0 else 1.0
    found = [_on_side(bare, wanted, gel.mired, gel.cc, side)]
    if found[0][1] > _SEEN * STEP:
        found.append(_on_side(bare, wanted, -side * _EDGE, gel.cc, -side))
    label, off = min(found, key=lambda f: f[1])
    if off > _LEFT * STEP:
        raise Refused.one("gelled", "no row of the table's kind fits this pair", "read both again")
    return label, off / STEP if off > _CLOSE else 0.0


def _on_side(
    bare: Bare, wanted: Array, mired: float, cc: float, side: float
) -> tuple[tuple[float, float], float]:
    """Find the best label whose mired has the sign `side`: Newton, along the edge where it leads out.

    Returns (mired, cc) and the miss in Δu′v′; infinite where no label was found that light can follow.
    """
    edge = 0.0 if side > 0 else -_EDGE
    at = np.array([edge if (mired - edge) * side < 0 else mired, cc])
    best, least = (float(at[0]), float(at[1])), np.inf
    for _ in range(25):
        # A step away from zero keeps to the bands of this label, which go by its signs.
        ahead = np.array([side, 0.3 if at[1] >= 0 else -0.3])
        try:
            here, *beside = _predicted(bare, at + np.array([[0, 0], [ahead[0], 0], [0, ahead[1]]]))
        except gels.Impossible:
            if not np.isfinite(least):
                break
            at = (at + np.array(best)) / 2
            continue
        off = float(distance(here, wanted))
        if off < least:
            best, least = (float(at[0]), float(at[1])), off
        if off < _CLOSE:
            break
        slope = np.stack([(b - here) / a for b, a in zip(beside, ahead, strict=True)], axis=1)
        step = np.clip(np.linalg.lstsq(slope, wanted - here, rcond=None)[0], -40.0, 40.0)
        if (at[0] + step[0] - edge) * side < 0:
            step[0] = edge - at[0]
            step[1] = (wanted - here - slope[:, 0] * step[0]) @ slope[:, 1] / (slope[:, 1] @ slope[:, 1])
        if np.abs(step).max() < 1e-4:
            break
        at = at + step
    return best, least


def _predicted(bare: Bare, labels: Array) -> Array:
    """Return (u, v) behind gels of some labels (n, 2); raises Impossible."""
    sheets = gels.transmittances(labels[:, 0], labels[:, 1], np.full(len(labels), np.nan))
    return np.asarray(through(bare.mean, sheets).uv[:, 0])


def _on_reference(label: tuple[float, float], bare: Bare, lost: float) -> float:
    """Return the loss on the reference, of a gel whose loss on the head is `lost`. [stop]

    Raises Refused where a sheet of this label takes more, however clear its base.
    """
    mired, cc = (np.array([v]) for v in label)
    sheet = gels.transmittances(mired, cc, np.array([np.nan]))
    here = float(stops(through(bare.mean, sheet).passed[0, 0]))
    least = here + float(np.log2(sheet.max()))
    if lost < least - _SLACK:
        raise Refused.one(
            "gelled.lux",
            f"{lost:.2f} stops lost is too little: this shift costs at least {least:.2f} on this head",
            "both illuminances at the same place and dim level; or neither, and the loss stays",
        )
    there = float(gels.loss_on_reference(mired, sheet)[0])
    return round(there + max(lost, least + _ROUNDING) - here, 3)
