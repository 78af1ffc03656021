"""What is known of a head's dials, in words for a page."""

from dataclasses import dataclass

from ...colour.observer.loci import MIRED_K
from ...model import Setting, Source
from ...model.basis.quantities import tidy
from ...model.sets.phrases import counted
from ..wording import words
from ..wording.ladder import Ladder
from ..wording.unread_dials import beyond_read
from .calibration import DialFit, DialReading, fit_dial

_ON_THE_DOT = 10.0
"""A head that reads as near to its dial's number does what it says. [K]"""


@dataclass(frozen=True)
class DialWords:
    """Sentences on a head's dials.

    `mapping` says what the head reads against its dial where it was read last. `fitted` says on how many
    readings that rests. `light` says what is known of its light at other settings. `todo` says what to read
    next, and is empty where nothing is missing.
    """

    mapping: str
    fitted: str
    light: str
    todo: str


def dial_words(source: Source, ladder: Ladder, *, worked_out: bool = False) -> DialWords | None:
    """Say what is known of a head's dials; `source` is as it is used. None where it is no adjustable head.

    `worked_out` says that its reading is none that was taken: the level in use was not read.
    """
    if source.reach is None:
        return None
    fit = fit_dial(source)
    if fit is None:
        return DialWords(
            mapping="What its dials give is not known, so gels alone are advised.",
            fitted="No reading notes how its dials stood.",
            light="",
            todo="Read it once with its dial noted.",
        )
    return DialWords(
        mapping=_against_dial(fit.pairs[-1], ladder),
        fitted=f"Fitted from {counted(len(fit.pairs) - worked_out, 'reading')}.",
        light=_light(fit),
        todo=_todo(fit),
    )


def unread_dials(source: Source, setting: Setting | None) -> str:
    """Say that a source's dials are to be set where nobody read them; empty where they were, or stay."""
    fit = fit_dial(source) if setting else None
    said = beyond_read(setting, [pair.setting for pair in fit.pairs]) if setting and fit else ""
    return f"{said} Meter it there." if said else ""


def _against_dial(pair: DialReading, ladder: Ladder) -> str:
    reads = MIRED_K / pair.mired
    at = f"{tidy(pair.setting.cct)} K"
    if abs(reads - pair.setting.cct) < _ON_THE_DOT:
        said = f"It reads what its dial says at {at}"
    else:
        said = f"With its dial at {at} it reads {tidy(reads, 0)} K"
    green = words.amount(pair.duv, ladder.across(pair.duv))
    if green.rung < 3:
        return f"{said}."
    return f"{said}. It is {green.text} {'green' if pair.duv > 0 else 'magenta'}."


def _light(fit: DialFit) -> str:
    known = len(fit.light)
    if not known:
        return "As bright at every setting, until two settings are read with different lux."
    return f"Its light at other settings is worked out from the lux at {known} settings."


def _todo(fit: DialFit) -> str:
    """Say which reading would teach most; a turn of the green dial is worth nothing before it was read."""
    settings = {(pair.setting.cct, pair.setting.green) for pair in fit.pairs}
    if len({cct for cct, _ in settings}) == 1 and fit.reach.cct_from < fit.reach.cct_to:
        return "Read it at a second CCT on its dial, far from the first."
    if len({green for _, green in settings}) == 1 and fit.reach.green_from < fit.reach.green_to:
        return "Read it with its green dial turned. Until then that is assumed."
    return ""
