"""The on-set gel and correction advisor: what to hang on a light, so that it matches a white.

The front door for programs in Python: `advise`, `predict` and `read`.

>>> import advisor
>>> answer = advisor.advise(6800, 0.004, to=5600, kind="daylight")
>>> answer.stacks[0].gels, answer.reached
(['CTO 1/4'], True)
>>> advisor.predict(6800, 0.004, ["½ CTO"], to=5600, kind="daylight").gels
['CTO 1/2']
>>> [source.name for source in advisor.read("Window: 6800K +0.004")]
['Window']
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .model import Gel, GelTable, Prediction, Source, SourceAdvice, StackAdvice

__all__ = ["advise", "predict", "read"]


def advise(
    cct: float,
    duv: float,
    *,
    to: float = 5600.0,
    kind: str = "unknown",
    lux: float | None = None,
    gels: GelTable | Sequence[Gel] | None = None,
    **limits: Any,
) -> SourceAdvice:
    """Rank the stacks of gels that bring one source to a white.

    `cct` [K, 1 000 to 25 000] and `duv` [−0.05 to 0.05, above 0 is green] are what a meter reads, `lux` [lx]
    the illuminance if it was read. `to` [K] is the white: on the daylight locus, or on the Planckian under
    4 000 K, where the other ends. `kind` is one of `model.Kind`. `gels` is a table, as `imports.read_gels`
    returns one, or None for the generic table. `limits` are fields of `model.Limits`, such as
    ``max_layers=2``. Doubt is that of a handheld meter unless ``accuracy`` says otherwise.

    Raises `model.Refused` for what cannot be measured.
    """
    from .advice.answer.advise import advise as answer
    from .model.asked import AskedAdvice

    data = {"target": {"cct": to}, "sources": [_source(cct, duv, kind, lux)], **limits}
    request = _checked(AskedAdvice, data)
    return answer(request, _rows(gels)).sources[0]


def predict(
    cct: float,
    duv: float,
    stack: Sequence[str],
    *,
    to: float = 5600.0,
    kind: str = "unknown",
    lux: float | None = None,
    gels: GelTable | Sequence[Gel] | None = None,
    **limits: Any,
) -> StackAdvice | Prediction:
    """Say what one stack does to a source; an empty `stack` is the bare source.

    `stack` names gels as people write them (``"CTO 1/4"``, ``"¼ CTO"``); `limits` may be ``tolerance_steps``
    and ``accuracy``. All else is as for `advise`. Raises `model.Refused` for a gel that is not in the table.
    """
    from .advice.answer.advise import predict as answer
    from .imports.gels.asked_names import NamesInTable
    from .model.asked import AskedPrediction

    rows = _rows(gels)
    names = NamesInTable(rows).of(stack)
    data = {"target": {"cct": to}, "source": _source(cct, duv, kind, lux), "stack": names, **limits}
    request = _checked(AskedPrediction, data)
    return answer(request, rows)


def read(text: str | bytes) -> list[Source]:
    """Read the sources of a text: a table, messages, ``name: value`` lines, or spectra.

    Rows that are not understood are left out; `imports.read_anything` says why. Raises `model.Refused` for a
    text that holds no readings.
    """
    from .imports import read_anything

    return read_anything(text).sources


def _source(cct: float, duv: float, kind: str, lux: float | None) -> dict[str, Any]:
    return {"name": "This source", "kind": kind, "reading": {"cct": cct, "duv": duv, "lux": lux}}


def _rows(gels: GelTable | Sequence[Gel] | None) -> list[Gel]:
    from .imports.gels.csv_table import shipped_gels
    from .model import GelTable

    if gels is None:
        gels = shipped_gels()
    return gels.rows if isinstance(gels, GelTable) else list(gels)


def _checked(model: Any, data: dict[str, Any]) -> Any:
    from pydantic import ValidationError

    from .model import refuse

    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise refuse(error) from None
