"""Rows of the gel table: whether a gel can do what one says, and what one says of a measured curve."""

from typing import NamedTuple

import numpy as np
from pydantic import ValidationError

from ...colour.observer.cct import DUV_LIMIT
from ...colour.observer.chromaticity import uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.loci import CC_PER_DUV, MIRED_K, planckian
from ...colour.observer.predict import stops
from ...colour.spectra import gels
from ...model import Gel, Known, Refused, Transmittance, refuse
from ...model.basis.problems import within
from ...model.basis.quantities import tidy
from ..readings.chromaticity import white_at
from ..stacks.gel_arrays import on_grid

TAUGHT = "taught by a pair of readings"
"""How the note of a taught row begins: it goes where the table goes, into a spreadsheet and back."""


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
            return measured_row(gel, gel.transmittance) if idle else gel
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
        mired = gel.mired and abs(gel.cc) <= CC_PER_DUV * DUV_LIMIT
        return ("mired" if mired else "cc"), "other mired and cc"
    return "stops", "that or more, or stops left empty"


def _label(gel: Gel) -> tuple[Array, Array, Array, Array]:
    """Return what a row's label says, for the engine: mired, cc, stops and reference, (1,) each."""
    said = (gel.mired, gel.cc, gel.stops, gel.reference)
    mired, cc, stops, reference = (np.array([np.nan if v is None else v], dtype=float) for v in said)
    return mired, cc, stops, reference


def said_on(gel: Gel, mired: float, cc: float, reference: float) -> dict[str, float | None]:
    """Return the figures of a row whose label holds on `reference` [K], which it names where it has to."""
    figures = {"mired": round(mired, 2) + 0.0, "cc": round(cc, 2) + 0.0}
    usual = gels.reference_of(np.array([figures["mired"]]), np.array([figures["cc"]]))[0]
    named = gel.reference is not None or usual != reference
    return {**figures, "reference": reference if named else None}


def measured_row(gel: Gel, curve: Transmittance) -> Gel:
    """Return a row with a measured transmittance, its figures what that does on the reference.

    Raises Refused where that is further than a row can say.
    """
    label = _described(on_grid(curve), gel)
    return row_with(
        gel,
        **said_on(gel, label.mired, label.cc, label.reference),
        stops=round(label.stops, 3),
        transmittance=curve,
        note=untaught_note(gel.note),
        known=Known.MEASURED,
        percent=None,
    )


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
    return _Label(reference, MIRED_K / white.cct - MIRED_K / reference, CC_PER_DUV * white.duv, lost)


def row_with(gel: Gel, **changed: object) -> Gel:
    """Return a gel's row with some of it changed, all of it checked again; raises Refused."""
    try:
        return Gel.model_validate({**dict(gel), **changed})
    except ValidationError as error:
        raise refuse(error) from None


def reference_of(gel: Gel) -> float:
    """Return the temperature of the Planckian radiator on which a row's label holds. [K]"""
    said = np.array([np.nan if gel.reference is None else gel.reference])
    return float(gels.reference_of(np.array([gel.mired]), np.array([gel.cc]), said)[0])
