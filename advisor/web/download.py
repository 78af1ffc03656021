"""Answers that a browser saves as a file."""

from flask import Response


def download(data: bytes | str, mimetype: str, filename: str) -> Response:
    """Return `data` as a file of that name, which has plain letters, digits, points and hyphens only."""
    headers = {"Content-Disposition": f"attachment; filename={filename}"}
    return Response(data, mimetype=mimetype, headers=headers)
