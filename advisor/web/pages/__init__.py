"""The pages, a module an area."""

from flask import Flask

from . import (
    compare,
    gels,
    host,
    join,
    light,
    live,
    look,
    paste,
    pulls,
    quick,
    record,
    sets,
    sources,
    teach,
    whites,
    work,
)


def register(app: Flask) -> None:
    """Add the pages to the application."""
    for area in (
        live,
        quick,
        sets,
        sources,
        compare,
        light,
        pulls,
        paste,
        gels,
        teach,
        look,
        whites,
        record,
        work,
        join,
        host,
    ):
        app.register_blueprint(area.blueprint)
