"""What a gel on the truck really does, learnt from a meter: its row, fitted.

Pairs of readings (one head, one dim level, bare and then behind one sheet) tell the gel's strength, its green
and its loss, as far as the meter and what is known of the head's spectrum allow (`fit_gel`). The row that
comes out holds on the reference source, and says how far it may be off there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from ...colour.observer.chromaticity import steps_apart, stops, through, uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.loci import planckian
from ...colour.spectra import gels
from ...model import ON_SET, Accuracy, Gel, Known, Reading, Refused, Source, Transmittance, WantedOffset
from ...model.basis.problems import within
from ...model.basis.quantities import tidy
from ..readings.chromaticity import measure
from ..stacks.gel_arrays import GelArrays, gel_arrays_of, on_grid
from ..stacks.prediction import PreparedSource, prepare
from .fit_gel import CHANCE_99, Fit, fit
from .observed import SheetObservation, observed
from .possible_rows import (
    TAUGHT,
    checked,
    is_taught,
    measured_row,
    reference_of,
    row_with,
    said_on,
    untaught_note,
)

_CLEARER = 0.02
"""A sheet is clearer than its dyes if it loses less light than they would, by more than meters round.
[stop]"""
_ROUNDING = 0.001
"""Stops are kept to three places. [stop]"""
_STRANGE_SHARE, _STRANGE_LEAST = 0.35, 6.0
"""A pair is strange if the light moved differently from the row, by at least a third and at least six steps.
Sheets of one label differ by less, and two heads by more (our own judgement, no source)."""


@dataclass(frozen=True)
class ReadingPair:
    """A head with its bare reading, what was read behind one sheet, and how far off the meter may be.

    `beside` is another gel that hung with it, if one did. Then the light lost is that of both, and tells
    nothing of either.
    """

    head: Source
    gelled: Reading
    accuracy: Accuracy = ON_SET
    beside: Gel | None = None


class Question(StrEnum):
    """Why a row is not changed before somebody says so."""

    CURVE = "curve"
    """The row is a measured curve, and a fit would replace it by a label."""
    BETTER = "better"
    """The row is surer than the readings are."""
    CONTRADICTS = "contradicts"
    """The row and the readings differ by more than the doubts of both allow."""


@dataclass(frozen=True)
class Lesson:
    """A row before and after, and how far the old one was from what was measured, on average. [step]

    If it was learnt from readings, `fit` says how sure it is, and there may be a question to ask first. For a
    curve there is neither.
    """

    old: Gel
    new: Gel
    off_steps: float
    fit: Fit | None = None
    question: Question | None = None


def from_pairs(
    gel: Gel,
    pairs: Sequence[ReadingPair],
    table: Sequence[Gel],
    said: Gel | None = None,
    *,
    afresh: bool = False,
) -> Lesson:
    """Fit a gel's row to one or several pairs of readings, together with what its row says.

    If the row was taught before, `said` is the row before that, so that no reading counts twice. With
    `afresh`, the row counts as no surer than one that does not say how sure it is. Raises Refused if a
    reading behind gel is brighter than the bare one. Raises it, too, if neither this gel nor any other of the
    table moves the light like that: then the pair is of two heads, or of two dim levels.
    """
    before = _label_of(said or gel)
    gel_arrays = gel_arrays_of((gel,))
    seen = [_seen(gel_arrays, pair) for pair in pairs]
    losses = [None if pair.beside else _loss(pair.head.reading, pair.gelled) for pair in pairs]
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
        if stated < usual - _CLEARER:  # then it has other dyes, and the shift is fitted with its loss given
            found = fit(before.model_copy(update={"stops": stated}), seen, afresh=afresh)
    figures = {**said_on(before, found.mired, found.cc, reference), "stops": stated}
    old = untaught_note(gel.note)
    note = f"{TAUGHT}; {old}"[:500] if old else TAUGHT
    sure = {"known": Known.TAUGHT, "percent": round(found.percent, 1)}
    with within("gelled"):
        new = row_with(gel, **figures, **sure, note=note, transmittance=None)
        checked(new)
    off = [steps_apart(_expected(pair, gel_arrays), pair.behind.uv) for pair in seen]
    question = None if afresh else _question(gel, before, found)
    return Lesson(gel, new, float(np.mean(off)), found, question)


def _label_of(gel: Gel) -> Gel:
    """Return a row with a label that says what it does, where the fit can start. Raises Refused."""
    if gel.transmittance is None:
        return checked(gel)
    return measured_row(gel, gel.transmittance).model_copy(update={"percent": gel.percent})


def _seen(gel_arrays: GelArrays, pair: ReadingPair) -> SheetObservation:
    """Return a pair as the fit needs it."""
    with within("gelled"):
        behind = measure(pair.gelled)
    bare = prepare(pair.head.model_copy(update={"keep": [], "aim": WantedOffset()}), gel_arrays, behind)
    return observed(bare, behind, pair.accuracy, pair.beside)


def _expected(pair: SheetObservation, gel_arrays: GelArrays) -> Array:
    """Return (u, v), (2,), of a head behind the one gel of a gel table, with what hung beside it."""
    return np.asarray(through(pair.mean, gel_arrays.transmittances).uv[0, 0])


def _question(gel: Gel, before: Gel, found: Fit) -> Question | None:
    """Return what has to be asked before the fit replaces a row; None if nothing has."""
    if gel.transmittance is not None:
        return Question.CURVE
    if found.contradicts:
        return Question.CONTRADICTS
    vouched = before.off_percent is not None and before.knowledge is not Known.GENERIC
    better_known = vouched and found.alone_percent > (before.off_percent or 0.0)
    was_better_known = is_taught(gel) and round(found.percent, 1) > (gel.off_percent or 0.0)
    return Question.BETTER if better_known or was_better_known else None


def from_transmittance(gel: Gel, curve: Transmittance) -> Lesson:
    """Take a measured transmittance: the row's figures become what it does on the reference.

    Raises Refused where that is further than a row can say.
    """
    new = measured_row(gel, curve)
    lit = planckian(reference_of(new))[None, :]
    ways = through(lit, np.stack([on_grid(curve), gel_arrays_of((gel,)).transmittances[0]])).uv[:, 0]
    return Lesson(gel, new, float(steps_apart(ways[0], ways[1])))


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


def _plausible(gel: Gel, pair: SheetObservation, table: Sequence[Gel]) -> None:
    """Raise Refused if neither this gel nor any other of the table moves the light like that."""
    seen, before = pair.behind.uv, uv_of_xyz(pair.mean[0] @ weights())
    expected = _expected(pair, gel_arrays_of((gel,)))
    moved = float(steps_apart(seen, before))
    off = float(steps_apart(expected, seen))
    if off <= max(_STRANGE_LEAST, _STRANGE_SHARE * float(steps_apart(expected, before))):
        return
    gel_arrays = gel_arrays_of(tuple(g for g in table if g.name != gel.name))
    others = steps_apart(through(pair.mean, gel_arrays.transmittances).uv[:, 0], seen)
    nearest = int(np.argmin(others)) if len(others) else None
    if nearest is not None and others[nearest] <= max(_STRANGE_LEAST, _STRANGE_SHARE * moved):
        says = f"the light moved as {gel_arrays.names[nearest]} moves it, not {gel.name}"
        raise Refused.one("gel", says, "the gel that hung there: look at its label, and choose it")
    raise Refused.one(
        "gelled",
        f"the light moved by {moved:.0f} steps as no gel of the table moves it",
        "two readings of one head at one dim level, bare and behind one sheet",
    )


def _on_reference(
    label: tuple[float, float], reference: float, bare: PreparedSource, lost: float
) -> tuple[float, float]:
    """Return a gel's loss on the reference, from its loss `lost` on the head, and its dyes' loss. [stop]

    Raises Refused if every filter of this label loses more.
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
            "both illuminances at the same place and dim level, or neither, and the loss stays",
        )
    return there + lost - here, there
