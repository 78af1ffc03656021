"""The words and figures that templates write with: filters by the names of their functions, and choices."""

from collections.abc import Sequence

from flask import Flask

from ..advice.words import AS_FRACTION, FRACTIONS, fraction_of
from ..model import Kind, NoGel, Role
from ..model.phrases import counted, dial_said, grouped, listed, percent, signed, white
from .preferences import preferences
from .sentences import (
    STAGES,
    beyond,
    brighter,
    closest,
    cuts_from,
    decided,
    doing,
    found,
    hang,
    on_paper,
    outdated,
    outlook,
    own_limits,
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
    lost,
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


def _no_gel(why: NoGel) -> str:
    return f"None: {why.words}" if why.words else "None"


def register(app: Flask) -> None:
    """Give the templates these words."""
    for name in (
        gel,
        breakable,
        hang,
        listed,
        grouped,
        nearest,
        counted,
        swap,
        when,
        when_said,
        percent,
        signed,
        decided,
        doing,
        on_paper,
        outdated,
        progress,
        stood,
        brighter,
        found,
        beyond,
        cuts_from,
        stock_of,
        own_limits,
        surer,
        kelvin,
        duv,
        steps,
        lost,
        outlook,
        closest,
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
    # A form reads a length back as it is; on a page its unit stays beside it.
    app.jinja_env.filters["extent"] = lambda value: extent(value).replace(" ", "\N{NO-BREAK SPACE}")
    app.context_processor(lambda: {"prefer": preferences()})
    app.jinja_env.globals.update(
        KINDS=list(Kind),
        ROLES=[(role.value, _ROLES[role]) for role in Role],
        NO_GEL=[("", "May hang on it"), *((why.value, _no_gel(why)) for why in NoGel)],
        STAGES={stage.value: words for stage, words in STAGES.items()},
        WARMER=_choices([f.cto for f in FRACTIONS], "warmer", "cooler", ("CTO", "CTB")),
        AS_FRACTION=AS_FRACTION,
        zone=zone,
        GREENER=_choices([f.green for f in FRACTIONS], "greener", "more magenta", ("", "")),
    )


def _choices(sizes: Sequence[float], more: str, less: str, gels: tuple[str, str]) -> list[tuple[str, str]]:
    """Offer the fractions of a gel both ways, each with its value for the form."""
    found = [("as the target", "0")]
    for sign, of, way in ((1.0, gels[0], more), (-1.0, gels[1], less)):
        for fraction, size in zip(FRACTIONS, sizes, strict=True):
            found.append((f"{fraction_of(fraction.said, of)} {way}", plain(sign * round(size, 4))))
    return found


def nearest(value: float, choices: Sequence[tuple[str, str]], within: float) -> str:
    """Return, for a form, the choice that a value is, to `within`; the value itself where it is none."""
    return next((own for _, own in choices if abs(float(own) - value) <= within), plain(value))
