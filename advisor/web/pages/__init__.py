"""The pages, a module an area."""

from flask import Flask

from . import gels, paste, quick, sets, sources


def register(app: Flask) -> None:
    """Add the pages to the application."""
    for area in (quick, sets, sources, paste, gels):
        app.register_blueprint(area.blueprint)
