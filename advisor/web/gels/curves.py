"""Curves that somebody has to say something about before they are taken: found, and asked about on a page."""

import base64
from collections.abc import Mapping

from ...advice.teaching.odd_curve import doubt_about
from ...imports.gels.bundle import packed, unpack
from ...imports.gels.transmittance import CurveAs, MeasuredCurve, headed
from ...model import Gel, Refused
from ...model.basis.problems import short

WORDS = {
    CurveAs.TRANSMITTANCE: "Use the curve",
    CurveAs.DENSITY: "It is density: use 10^−D",
    CurveAs.LABEL: "Keep the label",
}
"""What can be done with a curve, as its button says it."""


def ask_about(gel: Gel, curve: MeasuredCurve) -> tuple[str, Mapping[str, str], str] | None:
    """Return why a curve must not be taken in silence, what each way would do, and the likeliest, if so."""
    ways = {way.value: transmittance for way, transmittance in curve.ways.items()}
    doubt = doubt_about(gel, ways, headed(curve) if curve.density else "")
    if doubt is None:
        return None
    said = {name: way.words for name, way in doubt.ways.items()}
    label = {} if gel.neutral and not gel.stops else {CurveAs.LABEL.value: "as its row says"}
    return doubt.says, said | label, doubt.likeliest


def choices(ways: Mapping[str, str], likeliest: str) -> list[tuple[str, str, str]]:
    """Return what can be chosen, the likeliest first: its value, its words, and what it would do."""
    order = sorted(ways, key=lambda way: way != likeliest)
    return [(way, WORDS[CurveAs(way)], ways[way]) for way in order]


def chosen(value: str) -> CurveAs | None:
    """Return how a form says that a curve is to be taken; None where it does not. Raises Refused."""
    try:
        return CurveAs(value) if value else None
    except ValueError:
        allowed = ", ".join(way.value for way in CurveAs)
        raise Refused.one("", f"{short(value)} is not a way to take a curve", allowed) from None


_TAKE = "take "


def answers(form: Mapping[str, str]) -> dict[str, CurveAs]:
    """Return how the form of an import says that curves are to be taken, by their gels. Raises Refused."""
    said = {name.removeprefix(_TAKE): value for name, value in form.items() if name.startswith(_TAKE)}
    return {name: way for name, value in said.items() if (way := chosen(value))}


def carry(files: Mapping[str, bytes]) -> str:
    """Return files as text, to go along in a form: a browser forgets those that were chosen."""
    return base64.b64encode(packed(files)).decode()


def carried(text: str) -> dict[str, bytes]:
    """Return the files that a form carried along; raises Refused."""
    try:
        data = base64.b64decode(text, validate=True)
    except ValueError:
        raise Refused.one("file", "the curves did not come along whole", "the files, chosen again") from None
    return unpack(data)
