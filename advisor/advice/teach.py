"""What a gel on the truck really does, learnt from a meter: its row, fitted.

Pairs of readings (one head, one dim level, bare and then behind one sheet) tell the gel's strength, its green
and its loss, as far as the meter and what is known of the head's spectrum allow (`fit_gel`). The row that
comes out holds on the reference source, and says how far it may be off there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
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
from ..model import ON_SET, Accuracy, Aim, Gel, Known, Reading, Refused, Source, Transmittance, refuse
from ..model.problems import within
from ..model.quantities import tidy
from .fit_gel import CHANCE_99, Fit, Seen, fit, reference_of
from .measure import measure, white_at
from .prediction import Bare, prepare
from .rack import Rack, on_grid, rack_of

TAUGHT = "taught by a pair of readings"
"""How the note of a taught row begins: it goes where the table goes, into a spreadsheet and back."""
_CLEARER = 0.02
"""A sheet that loses less than its dyes would by more than meters round is clearer. [stop]"""
_ROUNDING = 0.001
"""Stops are kept to three places. [stop]"""
_STRANGE_SHARE, _STRANGE_LEAST = 0.35, 6.0
"""A pair is strange where the light moved otherwise by a third and by six steps: sheets of one label differ
by less, a second head by more (our own judgement, no source)."""


@dataclass(frozen=True)
class Pair:
    """A head with its bare reading, what was read behind one sheet, and how far off the meter may be."""

    head: Source
    gelled: Reading
    accuracy: Accuracy = ON_SET


class Question(StrEnum):
    """Why a row is not changed before somebody says so."""

    CURVE = "curve"
    """It is a measured curve, which a fit would replace by a label."""
    BETTER = "better"
    """It is known better than the readings say it."""
    CONTRADICTS = "contradicts"
    """It and the readings differ by more than both allow."""


@dataclass(frozen=True)
class Lesson:
    """A row before and after, and how far the old one was from what was measured, on average. [step]

    Of readings also how sure the `fit` is, and what is to be asked first; of a curve neither.
    """

    old: Gel
    new: Gel
    off_steps: float
    fit: Fit | None = None
    question: Question | None = None


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


def _said(gel: Gel, mired: float, cc: float, reference: float) -> dict[str, float | None]:
    """Return the figures of a row whose label holds on `reference` [K], which it names where it has to."""
    figures = {"mired": round(mired, 2) + 0.0, "cc": round(cc, 2) + 0.0}
    usual = gels.reference_of(np.array([figures["mired"]]), np.array([figures["cc"]]))[0]
    named = gel.reference is not None or usual != reference
    return {**figures, "reference": reference if named else None}


def from_pairs(
    gel: Gel, pairs: Sequence[Pair], table: Sequence[Gel], said: Gel | None = None, *, afresh: bool = False
) -> Lesson:
    """Fit a gel's row to one or several pairs of readings, together with what its row says.

    `said` is the row as it was before it was taught, if it was: no reading may count twice. With `afresh`,
    what it says counts for no more than the widest guess. Raises Refused where a gelled reading is brighter
    than its bare one, or where the light moved as no gel like this one, and no other of the table, moves it:
    the pair is of two heads, or of two dim levels.
    """
    before = _label_of(said or gel)
    rack = rack_of((gel,))
    seen = [_seen(rack, pair) for pair in pairs]
    losses = [_loss(pair.head.reading, pair.gelled) for pair in pairs]
    found = fit(before, seen, afresh=afresh)
    for pair, unlikely in zip(seen, found.unlikely, strict=True):
        if unlikely > CHANCE_99:
            _plausible(gel, pair, table)
    reference, label = reference_of(before), (found.mired, found.cc)
    lost = [
        _on_reference(label, reference, pair.bare, loss)
        for pair, loss in zip(seen, losses, strict=True)
        if loss is not None
    ]
    stated = gel.stops
    if lost:
        stated, usual = (round(float(value), 3) for value in np.mean(lost, axis=0))
        if stated < usual - _CLEARER:  # then it has other dyes, and its shift is fitted with that known
            found = fit(before.model_copy(update={"stops": stated}), seen, afresh=afresh)
    figures = {**_said(before, found.mired, found.cc, reference), "stops": stated}
    old = untaught_note(gel.note)
    note = f"{TAUGHT}; {old}"[:500] if old else TAUGHT
    sure = {"known": Known.TAUGHT, "percent": round(found.percent, 1)}
    with within("gelled"):
        new = _row(gel, **figures, **sure, note=note, transmittance=None)
        checked(new)
    off = [distance(_expected(pair.bare, rack), pair.behind.uv) / STEP for pair in seen]
    question = None if afresh else _question(gel, before, found)
    return Lesson(gel, new, float(np.mean(off)), found, question)


def _label_of(gel: Gel) -> Gel:
    """Return a row whose label is what it does, for the fit to begin with; raises Refused."""
    if gel.transmittance is None:
        return checked(gel)
    return from_transmittance(gel, gel.transmittance).new.model_copy(update={"percent": gel.percent})


def _seen(rack: Rack, pair: Pair) -> Seen:
    """Return a pair as the fit needs it."""
    with within("gelled"):
        behind = measure(pair.gelled)
    bare = prepare(pair.head.model_copy(update={"keep": [], "aim": Aim()}), rack, behind)
    return Seen(bare, behind, pair.accuracy)


def _expected(bare: Bare, rack: Rack) -> Array:
    """Return (u, v), (2,), of a head behind the one gel of a rack."""
    return np.asarray(through(bare.mean, rack.transmittances).uv[0, 0])


def _question(gel: Gel, before: Gel, found: Fit) -> Question | None:
    """Say what has to be asked before a row gives way to what was fitted; None where nothing has."""
    if gel.transmittance is not None:
        return Question.CURVE
    if found.contradicts:
        return Question.CONTRADICTS
    vouched = before.off_percent is not None and before.knowledge is not Known.GENERIC
    surer = vouched and found.alone_percent > (before.off_percent or 0.0)
    was_surer = is_taught(gel) and round(found.percent, 1) > (gel.off_percent or 0.0)
    return Question.BETTER if surer or was_surer else None


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
    own = reference_of(gel)
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


def _plausible(gel: Gel, pair: Seen, table: Sequence[Gel]) -> None:
    """Raise Refused where the light moved as neither this gel nor any other of the table moves it."""
    bare, seen = pair.bare, pair.behind.uv
    expected = _expected(bare, rack_of((gel,)))
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
    return there + lost - here, there
