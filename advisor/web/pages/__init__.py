"""The pages, a module an area."""

from flask import Flask

from .gels import formats, importing, table, teach, truck
from .known_heads import beside, exchange, from_heads, keep, pasting, sheet, testing
from .known_heads import heads as known_heads_pages  # `heads` is the room beside it
from .phones import about, host, join, live, look, start, trust, working
from .sets import (
    compare,
    lamps,
    light,
    light_asked,
    next_plans,
    orders,
    pulls,
    record,
    sets,
    together,
    whites,
)
from .sources import head, kept_text, lamp, mend, openings, pad, paste, quick, undo, work


def register(app: Flask) -> None:
    """Add the pages to the application."""
    for area in (
        live,
        quick,
        sets,
        head,
        pad,
        compare,
        light,
        light_asked,
        pulls,
        orders,
        openings,
        formats,
        paste,
        kept_text,
        known_heads_pages,
        exchange,
        testing,
        pasting,
        sheet,
        beside,
        from_heads,
        keep,
        table,
        importing,
        teach,
        truck,
        look,
        about,
        whites,
        next_plans,
        lamps,
        together,
        record,
        work,
        lamp,
        undo,
        mend,
        start,
        working,
        join,
        trust,
        host,
    ):
        app.register_blueprint(area.blueprint)
