"""What stands around a message and is no part of it: quote marks, bullets, numbers, stamps, who sent it."""

import re
from dataclasses import dataclass

from ..vocabulary.headings import NUMBERS, understand

_QUOTED = re.compile(r"(?:[>|»]\s?){1,8}\s*")
_BULLET = re.compile(r"(?:[-*+•·‣◦▪●○►▶→☐☑✓✔✅–—]|\[[ xX]?\])\s+")
_NUMBERED = re.compile(r"(?:\(\d{1,3}\)|\d{1,3}[.)]|#\d{1,3}[.:)]?)\s+(?=[^\s\d.,+-])")
_DATE = r"(?:\d{4}[./-]\d{1,2}[./-]\d{1,2}|\d{1,2}[./-]\d{1,2}[./-]\d{2,4})"
_TIME = r"(?:[01]?\d|2[0-3])[:h][0-5]\d(?::[0-5]\d)?(?:\s?[ap]\.?m\b\.?|\s?uhr\b|\s?h\b)?"
_STAMP = re.compile(
    rf"[\[(]?(?:{_DATE}[,T\s]{{1,3}})?(?P<time>{_TIME})[\])]?\s*(?:[-–—:,|]\s*)?|\[?{_DATE}\]?[,:]?\s+",
    re.IGNORECASE,
)
_AT_THE_END = re.compile(
    rf"[\s,;]+(?:at\s+|@\s?)?[\[(]?(?P<time>{_TIME})[\])]?\s*[✓✔]*\s*\Z",
    re.IGNORECASE,
)
_SENDER = re.compile(
    r"(?:<(?P<angle>[^<>]{1,30})>|@(?P<at>[\w.-]{1,30})|(?P<name>[^\W\d_][\w .'’-]{0,30}?))\s*:\s+"
)
_ANGLE = re.compile(r"<(?P<angle>[^<>\d]{1,30})>\s*")
_LABELLED = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True)
class Message:
    """The text of a message, who sent it where that is said, and when, as it stands there."""

    text: str
    sender: str = ""
    time: str = ""


def message_in(line: str) -> Message:
    """Take off what stands around a message.

    A name with a colon is the sender's where a stamp stands before it; else it may be the source's, and
    stays.
    """
    text, time, sender = line.strip(), "", ""
    for pattern in (_QUOTED, _BULLET, _NUMBERED, _QUOTED, _BULLET):
        found = pattern.match(text)
        if found:
            text = text[found.end() :]
    stamp = _STAMP.match(text)
    if stamp:
        time, text = stamp["time"] or "", text[stamp.end() :]
    named = _ANGLE.match(text) or (_SENDER.match(text) if stamp else None)
    if named and not _is_label(named[0]):
        groups = named.groupdict()
        sender = groups.get("angle") or groups.get("at") or groups.get("name") or ""
        text = text[named.end() :]
    last = _AT_THE_END.search(text[-40:])
    if last:
        time, text = time or last["time"], text[: len(text) - (len(text[-40:]) - last.start())]
    return Message(text.strip().strip('"“”').strip(), sender.strip(), time.strip())


def _is_label(text: str) -> bool:
    known = understand(text.strip(" :<>@"))
    return known is not None and known.field in NUMBERS
