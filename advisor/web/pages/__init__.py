"""The pages, a module an area."""

from flask import Flask

from . import compare, gels, look, paste, quick, sets, sources, teach


def register(app: Flask) -> None:
    """Add the pages to the application."""
    for area in (quick, sets, sources, compare, paste, gels, teach, look):
        app.register_blueprint(area.blueprint)
