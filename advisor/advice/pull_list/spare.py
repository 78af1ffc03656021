"""Spare gel: so many per cent of the whole list, not a sheet of each gel."""

import math
from collections.abc import Sequence
from dataclasses import replace

from ...model.gels.formats import ComesAs
from .cutting import GelAmount
from .lines import GelPull

_ALIKE = 1e-9
"""The share of a sheet that float rounding may add. It is no reason to round up."""


def with_spare(lines: Sequence[GelPull], percent: float) -> list[GelPull]:
    """Return lines that were counted without spare, with it.

    Rolls get it each, since they are pulled by the tenth of a metre. Sheets get it all together, rounded up
    to a whole one. It goes to the gels whose own share is nearest to the next sheet (largest remainders).
    """
    total = _shared([line.needed for line in lines], percent)
    still = _shared([line.left for line in lines], percent)
    return [_line(*one) for one in zip(lines, total, still, strict=True)]


def _shared(amounts: Sequence[GelAmount], percent: float) -> list[GelAmount]:
    sheets = [i for i, amount in enumerate(amounts) if amount.format.form is ComesAs.SHEET and amount.units]
    shares = {i: amounts[i].units * percent / 100 for i in sheets}
    given = {i: math.floor(share + _ALIKE) for i, share in shares.items()}
    more = math.ceil(sum(shares.values()) - _ALIKE) - sum(given.values())
    for i in sorted(sheets, key=lambda i: given[i] - shares[i])[:more]:
        given[i] += 1
    return [
        replace(amount, units=amount.units + given.get(i, 0))
        if amount.format.form is ComesAs.SHEET
        else amount.spared(percent)
        for i, amount in enumerate(amounts)
    ]


def _line(line: GelPull, total: GelAmount, still: GelAmount) -> GelPull:
    comparable = line.stock == 0 or line.size.form is not ComesAs.ROLL
    enough = line.stock if line.stock is not None and comparable else total.units
    spare_short = max(min(max(total.units - enough, 0), still.units) - line.short, 0)
    return replace(line, total=total, still=still, spare_short=spare_short)
