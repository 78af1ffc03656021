"""The words and figures that templates write with: filters by the names of their functions, and choices."""

from collections.abc import Sequence

from flask import Flask

from ..advice.words import FRACTIONS
from ..model import Kind, Role
from ..model.phrases import counted, dial_said, listed, percent, signed, white
from .preferences import preferences
from .sentences import (
    STAGES,
    beyond,
    brighter,
    cuts_from,
    decided,
    doing,
    found,
    hang,
    left,
    progress,
    stock_of,
    stood,
    surer,
    swap,
    wanted,
    worked,
)
from .shown import (
    area,
    breakable,
    capitalize_first,
    cc,
    duv,
    extent,
    figure,
    gauge,
    gel,
    gel_amount,
    kelvin,
    lux,
    mired,
    plain,
    roll,
    steps,
    stops,
    tenth,
    tolerance,
    when,
    when_said,
    zone,
)

_ROLES = {
    Role.KEY: "Key",
    Role.FILL: "Fill",
    Role.BACK: "Back light",
    Role.PRACTICAL: "Practical, in shot",
    Role.OTHER: "Something else",
}


def register(app: Flask) -> None:
    """Give the templates these words."""
    for name in (
        gel,
        breakable,
        hang,
        listed,
        counted,
        swap,
        when,
        when_said,
        percent,
        signed,
        decided,
        doing,
        progress,
        stood,
        brighter,
        found,
        beyond,
        cuts_from,
        stock_of,
        surer,
        kelvin,
        duv,
        steps,
        left,
        tenth,
        tolerance,
        stops,
        mired,
        cc,
        lux,
        extent,
        roll,
        area,
        gel_amount,
        plain,
        white,
        gauge,
        wanted,
        worked,
        figure,
        capitalize_first,
    ):
        app.jinja_env.filters[name.__name__] = name
    app.jinja_env.filters["dial"] = dial_said
    app.context_processor(lambda: {"prefer": preferences()})
    app.jinja_env.globals.update(
        KINDS=list(Kind),
        ROLES=[(role.value, _ROLES[role]) for role in Role],
        STAGES={stage.value: words for stage, words in STAGES.items()},
        WARMER=_choices([(f.said, f.cto) for f in FRACTIONS], "CTO warmer", "CTB cooler"),
        zone=zone,
        GREENER=_choices([(f.said, f.green) for f in FRACTIONS], "greener", "more magenta"),
    )


def _choices(fractions: Sequence[tuple[str, float]], more: str, less: str) -> list[tuple[str, str]]:
    """Offer the fractions of a gel both ways, each with its value for the form."""
    ways = [(f"{name} {more}", plain(round(v, 4))) for name, v in fractions]
    back = [(f"{name} {less}", plain(-round(v, 4))) for name, v in fractions]
    return [("as the target", "0"), *ways, *back]
