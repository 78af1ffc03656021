"""Smaller answers for a poor Wi-Fi: gzip, the one coding that browsers offer on plain HTTP."""

import gzip

from flask import Response, request

_WORTH = 600
_TEXT = ("text/", "application/json", "application/javascript", "image/svg")


def squeeze(response: Response) -> Response:
    """Compress a text answer that is long enough to gain from it."""
    wanted = "gzip" in request.headers.get("Accept-Encoding", "")
    if (
        not wanted
        or response.status_code != 200
        or "Content-Encoding" in response.headers
        or not (response.content_type or "").startswith(_TEXT)
    ):
        return response
    response.direct_passthrough = False
    body = response.get_data()
    if len(body) < _WORTH:
        return response
    response.set_data(gzip.compress(body, 6, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    response.headers.add("Vary", "Accept-Encoding")
    etag, weak = response.get_etag()
    if etag and not weak:
        response.set_etag(etag, weak=True)
    return response
