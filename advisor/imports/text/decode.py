"""From the bytes of a file, or text from a clipboard, to lines; and the refusal of what is no plain text."""

import codecs
import re

from ...model import Refused
from .bounds import refuse_large

#: The largest input. [byte]
LIMIT = 1_000_000

_PLAIN = "plain text such as CSV. From a spreadsheet, copy the cells or save the sheet as CSV"
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f]")
# Signs without width that come along when text is copied from pages: they would spoil a number.
_INVISIBLE = dict.fromkeys(map(ord, "\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"))
_WEB_PAGE = ("<html", "<!doctype html", "<body", "<table", "<div", "<tr>", "<td>")


def decode(data: str | bytes, *, where: str) -> str:
    r"""Return the text with ``\n`` between its lines, without a byte order mark.

    Raises Refused, at `where`, where `characters` does, and for a web page or XML.
    """
    text = characters(data, where=where)
    refuse_markup(text, where=where)
    return text


def characters(data: str | bytes, *, where: str) -> str:
    r"""Return the text, which may be XML, with ``\n`` between its lines, without a byte order mark.

    Bytes may be UTF-8, UTF-16 (with or without a mark) or Windows-1252. Raises Refused, at `where`,
    if the input is empty, over LIMIT or binary, or holds more than is read (`bounds`).
    """
    if len(data) > LIMIT:  # before anything is done with it; text has at least as many bytes as signs
        raise _too_large(len(data), "characters" if isinstance(data, str) else "bytes", where)
    text = data if isinstance(data, str) else _from_bytes(data, where)
    encoded = text.encode("utf-8", "replace")  # a half of a surrogate pair is no sign at all
    if isinstance(data, str) and len(encoded) > LIMIT:
        raise _too_large(len(encoded), "bytes", where)
    text = encoded.decode("utf-8").translate(_INVISIBLE).replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise Refused.one(where, "there is no text", "at least one reading or row")
    _refuse_binary(text, where)
    refuse_large(text, where)
    return text


def _too_large(size: int, of: str, where: str) -> Refused:
    said = f"the text has {size:,} {of}".replace(",", " ")
    return Refused.one(where, said, "1 000 000 bytes at most. Give it in parts")


def _from_bytes(data: bytes, where: str) -> str:
    if data.startswith(b"PK\x03\x04"):
        raise Refused.one(where, "this is a spreadsheet or archive file, not text", _PLAIN)
    encoding = _utf16(data)
    if encoding:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            raise Refused.one(where, "the text begins as UTF-16 and breaks off", _PLAIN) from None
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def _utf16(data: bytes) -> str | None:
    """Tell UTF-16 by its mark; without one, by every other byte being zero, as in Latin text."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    pairs = len(data) // 2
    zeros = [data[0::2].count(0), data[1::2].count(0)]
    for start, encoding in ((1, "utf-16-le"), (0, "utf-16-be")):
        if zeros[start] > 0.5 * pairs and zeros[1 - start] == 0:
            return encoding
    return None


def _refuse_binary(text: str, where: str) -> None:
    found = _CONTROL.search(text)
    if found:
        line = text.count("\n", 0, found.start()) + 1
        code = f"U+{ord(found[0]):04X}"
        raise Refused.one(where, f"line {line} holds the control character {code}: this is no text", _PLAIN)


def refuse_markup(text: str, *, where: str) -> None:
    """Raise Refused, at `where`, for a web page or XML; a chat's first name is neither."""
    if re.match(r"\s*<[?!a-zA-Z]", text) and not is_chat(text):
        refuse_web_page(text, where=where)
        raise Refused.one(where, "this looks like XML", _PLAIN)


def is_chat(text: str) -> bool:
    """Whether a text begins with somebody's name in angle brackets, "<Bo> key 5480", and no tag of a page."""
    first = text.strip()[:400].partition("\n")[0]
    return re.match(r"<[^\W\d_][\w .-]{0,30}>\s[^<>]*\d[^<>]*$", first) is not None


def refuse_web_page(text: str, *, where: str) -> None:
    """Raise Refused if there are tags of a web page in the text.

    Only for a text that makes no sense otherwise: a tag may well stand in somebody's note.
    """
    folded = text.lower()
    if any(tag in folded for tag in _WEB_PAGE):
        allowed = "the table's text: open the page, select the table and copy it"
        raise Refused.one(where, "this looks like a web page", allowed)
