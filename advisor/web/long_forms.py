"""Long forms read in a few passes of C: sign by sign, 2 MB keep all other threads waiting half a second.

References
----------
WHATWG URL Standard, 5.1 (application/x-www-form-urlencoded parsing). RFC 2045, 6.7 (quoted-printable), whose
decoder is used: its escapes are those of a form with "=" in the place of "%".
"""

import binascii
import re
from collections.abc import Iterator
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
_NO_ESCAPE = re.compile(rb"%(?![0-9A-Fa-f]{2})")
_DIGITS = bytes.maketrans(b"123456789ABCDEFabcdef", b"0" * 21)
"""Every digit of an escape made the same one."""
_AS_QUOTED = bytes.maketrans(b"%+", b"= ")
_PART = 64_000
"""So much is read at once: no other thread runs within one call of C. [byte]"""


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
    pairs = (part.partition(b"=") for part in body.split(b"&") if part)
    return [(_text(name), _text(value)) for name, _, value in pairs]


def _text(escaped: bytes) -> str:
    return b"".join(map(_plain, _parts(escaped))).decode(errors="replace")


def _parts(escaped: bytes) -> Iterator[bytes]:
    """Cut what is escaped into parts, never within an escape."""
    start = 0
    while start < len(escaped):
        end = start + _PART
        begun = escaped.rfind(b"%", end - 2, end)
        end = end if begun < 0 else begun
        yield escaped[start:end]
        start = end


def _plain(escaped: bytes) -> bytes:
    # Counted first: no browser sends what the expression looks for, and it looks at every escape.
    if escaped.count(b"%") != escaped.translate(_DIGITS).count(b"%00"):
        escaped = _NO_ESCAPE.sub(b"%25", escaped)
    return binascii.a2b_qp(escaped.replace(b"=", b"%3D").translate(_AS_QUOTED))


class _LongRequest(Request):
    form_data_parser_class = LongForms


def read_long_forms(app: Flask) -> None:
    """Let an application read its forms so."""
    app.request_class = _LongRequest
