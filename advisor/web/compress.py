"""Smaller answers for a poor Wi-Fi: gzip, the one coding that browsers offer on plain HTTP."""

import gzip

from flask import Response, request

_WORTH = 600
"""What is shorter than this gains nothing. [byte]"""
_TEXT = ("text/", "application/json", "application/javascript", "image/svg")
_SAID_OTHERWISE = ("Content-Disposition", "Expires", "Accept-Ranges")
"""What a file of ours needs not say: some twenty go to a phone on a first visit, each with its headers."""
_files: dict[str, bytes] = {}
"""Files of ours as they are sent, each compressed once; by ETag, since what was changed has another."""
_MOST = 200
"""So many are kept: four times what there is. Who changes files beside a running advisor begins anew."""


def squeeze(response: Response) -> Response:
    """Compress a text answer that is long enough to gain from it, for those who take it so.

    Whoever keeps an answer for others (a proxy) is told what it hangs on, of plain ones and of 304 too
    (RFC 9110, 12.5.5 and 15.4.5).
    """
    if request.endpoint == "static":
        for name in _SAID_OTHERWISE:
            response.headers.pop(name, None)
    text = (response.content_type or "").startswith(_TEXT)
    if text or response.status_code == 304:
        response.vary.add("Accept-Encoding")
    # By its weight (RFC 9110, 12.4.2): "gzip;q=0" is a no.
    wanted = request.accept_encodings.quality("gzip") > 0
    if not (wanted and text) or response.status_code != 200 or "Content-Encoding" in response.headers:
        return response
    response.direct_passthrough = False
    body = response.get_data()
    if len(body) < _WORTH:
        return response
    etag, weak = response.get_etag()
    response.set_data(_file(etag, body) if request.endpoint == "static" and etag else _small(body))
    response.headers["Content-Encoding"] = "gzip"
    if etag and not weak:
        response.set_etag(etag, weak=True)
    return response


def _small(body: bytes) -> bytes:
    return gzip.compress(body, 7, mtime=0)


def _file(etag: str, body: bytes) -> bytes:
    small = _files.get(etag)
    if small is None:
        if len(_files) >= _MOST:
            _files.clear()
        small = _files[etag] = _small(body)
    return small
