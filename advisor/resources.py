"""Where templates, static files and gel tables lie: atop a checkout, or inside the package of a wheel."""

from hashlib import sha256
from pathlib import Path

_PACKAGE = Path(__file__).parent


def folder(name: str) -> Path:
    """Return the folder `name`: ``templates``, ``static`` or ``gels``."""
    inside = _PACKAGE / name
    return inside if inside.is_dir() else _PACKAGE.parent / name


def fingerprint(of: Path) -> str:
    """Return twelve hexadecimal digits that are others as soon as a file in a folder is.

    An editor's hidden files and backups do not count.
    """
    files = sorted(p for p in of.rglob("*") if p.is_file() and p.name[0] != "." and p.name[-1] != "~")
    parts = (part for path in files for part in (str(path.relative_to(of)).encode(), path.read_bytes()))
    return sha256(b"".join(sha256(part).digest() for part in parts)).hexdigest()[:12]
