"""Long forms read in a few passes of C: sign by sign, 2 MB keep all other threads waiting half a second.

References
----------
WHATWG URL Standard, 5.1 (application/x-www-form-urlencoded parsing). RFC 2045, 6.7 (quoted-printable), whose
decoder is used: its escapes are those of a form with "=" in the place of "%".
"""

import binascii
import re
from typing import IO, Any

from flask import Flask, Request
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.formparser import FormDataParser

LONG = 50_000
"""Shorter forms are read as werkzeug does. [byte]"""
MOST_FIELDS = 20_000
"""The most fields of a long form: a page of ours has fewer."""
_FORM = "application/x-www-form-urlencoded"
_NO_ESCAPE = re.compile(rb"%(?![0-9A-Fa-f]{2})|[\r\n\x80-\xff]")
"""What no browser sends in such a form."""


class LongForms(FormDataParser):
    """Reads forms as its base does, but long ones at once."""

    def parse(
        self,
        stream: IO[bytes],
        mimetype: str,
        content_length: int | None,
        options: dict[str, str] | None = None,
    ) -> tuple[IO[bytes], MultiDict[str, str], MultiDict[str, Any]]:
        """Return the stream, the fields, and the files. Raises RequestEntityTooLarge for too many fields."""
        if mimetype != _FORM or (content_length or 0) < LONG:
            return super().parse(stream, mimetype, content_length, options)
        return stream, self.cls(fields_of(stream.read())), self.cls()


def fields_of(body: bytes) -> list[tuple[str, str]]:
    """Return the fields of a form, in their order; what is no escape stays as it is.

    Raises RequestEntityTooLarge for too many.
    """
    if body.count(b"&") >= MOST_FIELDS:
        raise RequestEntityTooLarge
    if _NO_ESCAPE.search(body):
        body = _NO_ESCAPE.sub(lambda found: b"%%%02X" % found[0][0], body)
    pairs = (part.partition(b"=") for part in body.split(b"&") if part)
    return [(_text(name), _text(value)) for name, _, value in pairs]


def _text(escaped: bytes) -> str:
    quoted = escaped.replace(b"+", b" ").replace(b"=", b"%3D").replace(b"%", b"=")
    return binascii.a2b_qp(quoted).decode(errors="replace")


class _LongRequest(Request):
    form_data_parser_class = LongForms


def read_long_forms(app: Flask) -> None:
    """Let an application read its forms so."""
    app.request_class = _LongRequest
