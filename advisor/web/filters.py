"""The words and figures that templates write with: filters by the names of their functions, and choices."""

from flask import Flask

from ..model import Kind, NoGel, Role
from ..model.sets.phrases import counted, listed, percent, white
from .access.preferences import preferences
from .forms.merge import as_showed
from .forms.set_form import target_choices
from .forms.typed import PATTERN, places_read, said_and_meant
from .live.conflict import sent_along
from .nav import nav_links
from .views.choices import offered
from .views.heads import head_quality, light_behind, stack_quality
from .wording.aims import target_said
from .wording.gels import sheets
from .wording.runners_up import at_first
from .wording.short import off_as
from .wording.sources import lux_there, read_said
from .wording.stacks import at_best, beyond, closest, decided, hang
from .wording.values import (
    at_present,
    breakable,
    capitalize_first,
    cc,
    duv,
    figure,
    gauge,
    gel,
    hour,
    kelvin,
    lost,
    lux,
    mired,
    steps,
    stops,
    tenth,
    tolerance,
    unbroken,
    what_next,
    when,
    when_late,
    where_to,
    zone,
)
from .wording.work import (
    doing,
    hung_meanwhile,
    hung_now,
    left_up,
    moves,
    swap,
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
        unbroken,
        hang,
        left_up,
        moves,
        listed,
        counted,
        swap,
        when,
        hour,
        when_late,
        percent,
        decided,
        doing,
        sheets,
        hung_now,
        hung_meanwhile,
        head_quality,
        light_behind,
        at_best,
        at_first,
        target_choices,
        places_read,
        read_said,
        lux_there,
        beyond,
        kelvin,
        duv,
        steps,
        lost,
        stack_quality,
        offered,
        closest,
        tenth,
        tolerance,
        stops,
        mired,
        cc,
        lux,
        white,
        target_said,
        gauge,
        figure,
        capitalize_first,
        off_as,
        said_and_meant,
        what_next,
        where_to,
        as_showed,
    ):
        app.jinja_env.filters[name.__name__] = name
    app.context_processor(lambda: {"prefer": preferences()})
    app.jinja_env.globals.update(
        KIND_CHOICES=[(kind.value, kind.words) for kind in Kind],
        ON_SUBJECT=[("", "by its role: not a back light, not a practical"), ("yes", "yes"), ("no", "no")],
        ROLES=[(role.value, _ROLES[role]) for role in Role],
        NO_GEL=[("", "May hang on it"), *((why.value, _no_gel(why)) for why in NoGel)],
        DUV_PLACES=PATTERN,
        nav_links=nav_links,
        sent_along=sent_along,
        zone=zone,
        at_present=at_present,
    )
