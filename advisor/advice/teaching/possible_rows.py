"""Rows of the gel table: whether a gel can do what one says, and what one says of a measured curve."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from pydantic import ValidationError

from ...colour.observer.cct import DUV_LIMIT
from ...colour.observer.chromaticity import stops, uv_of_xyz
from ...colour.observer.data import Array
from ...colour.observer.grid import weights
from ...colour.observer.loci import CC_PER_DUV, MIRED_K, planckian
from ...colour.spectra import gels
from ...model import Gel, Known, Refused, Transmittance, refuse
from ...model.basis.problems import within
from ...model.basis.quantities import tidy
from ..readings.chromaticity import white_at
from ..stacks.gel_arrays import on_grid
from ..stacks.kept import Kept

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
    [found] = all_checked([gel])
    if isinstance(found, Refused):
        raise found
    return found


def all_checked(rows: Sequence[Gel]) -> list[Gel | Refused]:
    """Return for each row what `checked` does, or what it raises; many take hardly longer than one."""
    labels = [_label(gel) for gel in rows if gel.transmittance is None]
    said = dict(zip(labels, _reasons(labels), strict=True))
    wrong = [gel for gel in rows if gel.transmittance is None and said[_label(gel)]]
    plain = [_label(gel.model_copy(update={"stops": None})) for gel in wrong]
    unlit = dict(zip(plain, _reasons(plain), strict=True))
    out: list[Gel | Refused] = []
    for gel in rows:
        if gel.transmittance is not None:
            out.append(_with_figures(gel, gel.transmittance))
        elif reason := said[_label(gel)]:
            column, allowed = _at_fault(gel, bool(unlit[_label(gel.model_copy(update={"stops": None}))]))
            out.append(Refused.one(column, f"{gel.name}: {reason}", allowed))
        else:
            out.append(gel)
    return out


def _with_figures(gel: Gel, curve: Transmittance) -> Gel | Refused:
    if gel.mired or gel.cc or gel.stops:
        return gel
    try:
        with within("spectrum"):
            return measured_row(gel, curve)
    except Refused as no:
        return no


def _at_fault(gel: Gel, shift: bool) -> tuple[str, str]:
    """Return the column that makes a row impossible, and what it may say; `shift`: its stops aside too."""
    if shift:
        mired = gel.mired and abs(gel.cc) <= CC_PER_DUV * DUV_LIMIT
        return ("mired" if mired else "cc"), "other mired and cc"
    return "stops", "that or more, or stops left empty"


_Label = tuple[float, float, float | None, float | None]


def _label(gel: Gel) -> _Label:
    """Return what a row's label says: mired, cc, stops and reference."""
    return gel.mired, gel.cc, gel.stops, gel.reference


def _reasons(labels: Sequence[_Label]) -> list[str]:
    """Return why no filter does what labels say, empty where one does."""

    def make(missing: Sequence[int]) -> list[str]:
        asked = [labels[i] for i in missing]
        mired, cc, stops, reference = np.array(
            [[np.nan if value is None else value for value in label] for label in asked], dtype=float
        ).T
        return gels.reasons(mired, cc, stops, reference)

    return _TRIED.of_all(labels, make)


_TRIED = Kept(8192)


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


_COOLING = -134.0
"""The shift of a gel that mainly cools. [MK⁻¹]"""


class _OnReference(NamedTuple):
    """What a sheet does on a reference: [K, MK⁻¹, CC, stop]."""

    reference: float
    mired: float
    cc: float
    stops: float


def _described(sheet: Array, gel: Gel) -> _OnReference:
    """Say what a sheet (81,) does: on the reference that its row names, else on the usual one."""
    own = reference_of(gel)
    label = _on(sheet, own)
    if gel.reference is None:
        figures = (label.mired, label.cc) if label else (gel.mired, gel.cc)
        usual = float(gels.reference_of(*(np.array([v]) for v in figures))[0])
        if label is None and usual == own:  # it cools more than daylight can bear: try tungsten
            usual = float(gels.reference_of(np.array([_COOLING]), np.array([0.0]))[0])
        label = (_on(sheet, usual) if usual != own else None) or label
    if label is None:
        says = f"behind this filter a source of {tidy(own)} K is no longer a white"
        raise Refused.one("transmittance", says, "a filter that corrects white light")
    return label


def _on(sheet: Array, reference: float) -> _OnReference | None:
    lit = planckian(reference)
    white = white_at(uv_of_xyz((lit * sheet) @ weights()))
    if white is None:
        return None
    luminous = weights()[:, 1]
    lost = float(stops((lit * sheet) @ luminous / (lit @ luminous)))
    return _OnReference(reference, MIRED_K / white.cct - MIRED_K / reference, CC_PER_DUV * white.duv, lost)


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
