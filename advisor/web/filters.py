"""The words and figures that templates write with: filters by the names of their functions, and choices."""

from flask import Flask

from ..advice.wording.words import AS_FRACTION
from ..model import Kind, NoGel, Role
from ..model.phrases import counted, dial_said, grouped, listed, percent, signed, white
from .access.preferences import preferences
from .forms.merge import as_showed
from .forms.set_form import target_choices
from .live.conflict import sent_along
from .views.nav import nav_links
from .wording.aims import nearest, wanted
from .wording.gels import cuts_from, off_label, stock_of
from .wording.runners_up import at_first
from .wording.sources import own_limits, read_said, stood
from .wording.stacks import at_best, beyond, brighter, closest, decided, hang, head_outlook, outlook, surer
from .wording.values import (
    area,
    at_present,
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
    when_late,
    when_said,
    whole_extent,
    zone,
)
from .wording.work import (
    STAGES,
    check_first,
    doing,
    found,
    hung_meanwhile,
    hung_now,
    moves,
    on_paper,
    outdated,
    progress,
    swap,
    to_change,
    worked,
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
        moves,
        off_label,
        listed,
        grouped,
        nearest,
        counted,
        swap,
        to_change,
        when,
        when_late,
        when_said,
        percent,
        signed,
        decided,
        doing,
        on_paper,
        outdated,
        hung_now,
        hung_meanwhile,
        head_outlook,
        at_best,
        at_first,
        target_choices,
        check_first,
        progress,
        read_said,
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
        as_showed,
    ):
        app.jinja_env.filters[name.__name__] = name
    app.jinja_env.filters["dial"] = dial_said
    app.jinja_env.filters["extent"] = whole_extent
    app.context_processor(lambda: {"prefer": preferences()})
    app.jinja_env.globals.update(
        KINDS=list(Kind),
        KIND_CHOICES=[(kind.value, kind.words) for kind in Kind],
        ROLES=[(role.value, _ROLES[role]) for role in Role],
        NO_GEL=[("", "May hang on it"), *((why.value, _no_gel(why)) for why in NoGel)],
        STAGES={stage.value: words for stage, words in STAGES.items()},
        AS_FRACTION=AS_FRACTION,
        nav_links=nav_links,
        sent_along=sent_along,
        zone=zone,
        at_present=at_present,
    )
