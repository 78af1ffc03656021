"""What a gel on the truck really does, learnt from a meter: its row, fitted.

A pair of readings (one head, one dim level, bare and then gelled) gives the gel's strength, its green
and its loss: the mired and cc are sought for which the prediction, on this very head, is what the meter
read. The row that comes out holds on the reference source, so that it predicts on other heads too.

The label holds on the gel's own reference. Where its new figures alone would be taken for another one's, the
row says which.
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
_CLEARER = 0.02
"""A sheet that loses less than its dyes would by more than meters round is clearer. [stop]"""
_ROUNDING = 0.001
"""Stops are kept to three places. [stop]"""
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
    try:
        gels.transmittances(*_label(gel))
    except gels.Impossible as no:
        column, allowed = _at_fault(gel)
        raise Refused.one(column, f"{gel.name}: {no.reason}", allowed) from None
    return gel


def _at_fault(gel: Gel) -> tuple[str, str]:
    """Return the column that makes a row impossible, and what it may say."""
    try:
        gels.transmittances(*_label(gel.model_copy(update={"stops": None})))
    except gels.Impossible:
        mired = gel.mired and abs(gel.cc) <= CC * DUV_LIMIT
        return ("mired" if mired else "cc"), "other mired and cc"
    return "stops", "that or more, or stops left empty"


def _label(gel: Gel) -> tuple[Array, Array, Array, Array]:
    """Return what a row's label says, for the engine: mired, cc, stops and reference, (1,) each."""
    said = (gel.mired, gel.cc, gel.stops, gel.reference)
    mired, cc, stops, reference = (np.array([np.nan if v is None else v], dtype=float) for v in said)
    return mired, cc, stops, reference


def _reference(gel: Gel) -> float:
    """Return the reference of a row. [K]"""
    mired, cc, _, reference = _label(gel)
    return float(gels.reference_of(mired, cc, reference)[0])


def _said(gel: Gel, mired: float, cc: float, reference: float) -> dict[str, float | None]:
    """Return the figures of a row whose label holds on `reference` [K], which it names where it has to."""
    figures = {"mired": round(mired, 2) + 0.0, "cc": round(cc, 2) + 0.0}
    usual = gels.reference_of(np.array([figures["mired"]]), np.array([figures["cc"]]))[0]
    named = gel.reference is not None or usual != reference
    return {**figures, "reference": reference if named else None}


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
    reference, stated = _reference(gel), gel.stops
    if lost is not None:
        stated, usual = _on_reference(label, reference, bare, lost)
        if stated < usual - _CLEARER:  # then it has other dyes, and its shift is fitted with that known
            label, left = _fit(bare, seen.uv, gel, stated)
    figures = {**_said(gel, *label, reference), "stops": stated}
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
    label = _described(sheet, gel)
    new = _row(
        gel,
        **_said(gel, label.mired, label.cc, label.reference),
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


def _described(sheet: Array, gel: Gel) -> _Label:
    """Say what a sheet (81,) does: on the reference that its row names, else on the usual one."""
    own = _reference(gel)
    label = _on(sheet, own)
    if gel.reference is None:
        figures = (label.mired, label.cc) if label else (gel.mired, gel.cc)
        usual = float(gels.reference_of(*(np.array([v]) for v in figures))[0])
        label = (_on(sheet, usual) if usual != own else None) or label
    if label is None:
        says = f"behind this filter a source of {tidy(own)} K is no longer a white"
        raise Refused.one("transmittance", says, "a filter that corrects white light")
    return label


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


def _fit(
    bare: Bare, wanted: Array, gel: Gel, stated: float | None = None
) -> tuple[tuple[float, float], float]:
    """Find the label for which the prediction on the head is `wanted` (2,), and what it misses. [step]

    By Newton's method from the gel's own label, on its own reference, with the stops that are `stated`.
    """
    reference, lost = _reference(gel), np.nan if stated is None else stated
    at = np.array([gel.mired, gel.cc])
    best, least = (gel.mired, gel.cc), np.inf
    for _ in range(25):
        try:
            here, *beside = _predicted(bare, at + np.array([[0, 0], [1.0, 0], [0, 0.3]]), lost, reference)
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
        slope = np.stack([(beside[0] - here) / 1.0, (beside[1] - here) / 0.3], axis=1)
        step = np.clip(np.linalg.lstsq(slope, wanted - here, rcond=None)[0], -40.0, 40.0)
        if np.abs(step).max() < 1e-4:
            break
        at = at + step
    if least > _LEFT * STEP:
        raise Refused.one("gelled", "no row of the table's kind fits this pair", "read both again")
    return best, least / STEP if least > _CLOSE else 0.0


def _predicted(bare: Bare, labels: Array, lost: float, reference: float) -> Array:
    """Return (u, v) behind gels of some labels (n, 2) on one reference [K]; raises Impossible."""
    mired, cc = labels.T
    sheets = gels.transmittances(mired, cc, np.full_like(mired, lost), np.full_like(mired, reference))
    return np.asarray(through(bare.mean, sheets).uv[:, 0])


def _on_reference(
    label: tuple[float, float], reference: float, bare: Bare, lost: float
) -> tuple[float, float]:
    """Return the loss on the reference of a gel whose loss on the head is `lost`, and its dyes' own. [stop]

    Raises Refused where every filter of this label takes more.
    """
    mired, cc, kelvin = (np.array([value]) for value in (*label, reference))
    sheet = gels.transmittances(mired, cc, np.array([np.nan]), kelvin)
    here = float(stops(through(bare.mean, sheet).passed[0, 0]))
    there = float(gels.loss_on_reference(kelvin, sheet)[0])
    least = float(gels.least_stops(mired, cc, kelvin)[0]) + here - there
    if lost < least + _ROUNDING:
        raise Refused.one(
            "gelled.lux",
            f"{lost:.2f} stops lost is too little: this shift costs at least {least:.2f} on this head",
            "both illuminances at the same place and dim level; or neither, and the loss stays",
        )
    return round(there + lost - here, 3), there
