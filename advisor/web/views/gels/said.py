"""What a gel of a table brings, and what is changed of one, in a line."""

from ....model import Gel
from ....model.sets.phrases import counted
from ...gels.changes import ChangedGel
from ...wording.values import cc, mired, stops


def figures_of(gel: Gel) -> str:
    """Say what a row of a gel brings, in a line."""
    parts = [mired(gel.mired)] if gel.mired else []
    parts += [cc(gel.cc)] if gel.cc else []
    parts += [stops(gel.stops)] if gel.stops is not None else []
    parts += [counted(gel.stock, "sheet")] if gel.stock is not None else []
    parts += ["measured curve"] if gel.transmittance is not None else []
    parts += [gel.note] if gel.note else []
    parts += [] if gel.on else ["not in use"]
    return " · ".join(parts)


def changed_said(pair: ChangedGel) -> str:
    """Say what is changed of a gel: what it was, and what it would be."""
    old, new = pair.old, pair.new
    words = [
        (mired(old.mired), mired(new.mired)),
        (cc(old.cc), cc(new.cc)),
        (_light(old), _light(new)),
        (_sheets(old), _sheets(new)),
        ("in use" if old.on else "not in use", "in use" if new.on else "not in use"),
        ("a curve" if old.transmittance else "no curve", "a curve" if new.transmittance else "no curve"),
        (
            old.known.words if old.known else "not said how known",
            new.known.words if new.known else "not said",
        ),
    ]
    said = [f"{before} → {after}" for before, after in words if before != after and (after != "not said")]
    said += (
        ["another curve"] if old.transmittance and new.transmittance not in (None, old.transmittance) else []
    )
    said += ["another note"] if old.note != new.note else []
    return ", ".join(said) or "another name or reference"


def _light(gel: Gel) -> str:
    return "light by its colour" if gel.stops is None else stops(gel.stops)


def _sheets(gel: Gel) -> str:
    return "plenty" if gel.stock is None else counted(gel.stock, "sheet")
