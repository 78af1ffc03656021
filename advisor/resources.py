"""Where templates, static files and gel tables lie: atop a checkout, or inside the package of a wheel."""

from pathlib import Path

_PACKAGE = Path(__file__).parent


def folder(name: str) -> Path:
    """Return the folder `name`: ``templates``, ``static`` or ``gels``."""
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
