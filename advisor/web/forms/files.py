"""Files that come with a form, and files that a browser saves."""

import re
import unicodedata

from flask import Response, request

from ...model import Refused


def uploaded_file() -> bytes | None:
    """Return the file that was chosen, as it is; None where none was."""
    file = request.files.get("file")
    return file.read() if file and file.filename else None


def uploaded_name() -> str:
    """Return what the file that was chosen is called, as a name for what is in it; empty where none was.

    It is without its folder and its ending, and with spaces for underscores.
    """
    file = request.files.get("file")
    name = ((file.filename if file else "") or "").replace("\\", "/").rpartition("/")[2]
    stem = name.rpartition(".")[0] or name
    return " ".join("".join(c for c in stem.replace("_", " ") if c.isprintable()).split())[:70].strip()


def uploaded_files() -> dict[str, bytes]:
    """Return the files that were chosen, by name; raises Refused where two have the same."""
    files: dict[str, bytes] = {}
    for file in request.files.getlist("file"):
        name = (file.filename or "").replace("\\", "/").rpartition("/")[2]
        if name in files:
            raise Refused.one("file", f"two files are called {name[:60]!r}", "each name once")
        if name:
            files[name] = file.read()
    return files


def download(data: bytes | str, mimetype: str, filename: str) -> Response:
    """Return `data` as a file of that name, which has plain letters, digits, points and hyphens only."""
    headers = {"Content-Disposition": f"attachment; filename={filename}"}
    return Response(data, mimetype=mimetype, headers=headers)


def file_name(what: str, name: str) -> str:
    """Return a name for a file that every system takes: ASCII letters, digits and hyphens, without an end."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return "-".join([what, *re.findall(r"[a-z0-9]+", plain.lower())])[:80]
