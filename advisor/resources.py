"""Where templates, static files and gel tables lie: atop a checkout, or inside the package of a wheel."""

from hashlib import sha256
from pathlib import Path

_PACKAGE = Path(__file__).parent


def folder(name: str) -> Path:
    """Return the folder `name`: ``templates``, ``static`` or ``gels``."""
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def fingerprint(of: Path) -> str:
    """Return twelve letters that are others as soon as a file in a folder is."""
    files = sorted(path for path in of.rglob("*") if path.is_file())
    parts = (part for path in files for part in (path.name.encode(), path.read_bytes()))
    return sha256(b"".join(sha256(part).digest() for part in parts)).hexdigest()[:12]
