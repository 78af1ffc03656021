"""What stands around a message and is no part of it: quote marks, bullets, numbers, stamps, who sent it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ..vocabulary.headings import NUMBERS, understand
from ..vocabulary.spoken import ROLES

_QUOTED = re.compile(r"(?:[>|»]\s?){1,8}\s*")
_BULLET = re.compile(r"(?:[-*+•·‣◦▪●○►▶→☐☑✓✔✅–—]|\[[ xX]?\])\s+")
_NUMBERED = re.compile(r"(?:\(\d{1,3}\)|\d{1,3}[.)]|#\d{1,3}[.:)]?)\s+(?=[^\s\d.,+-]|\d{1,2}[:.h]\d\d\s)")
_DATE = r"(?:\d{4}[./-]\d{1,2}[./-]\d{1,2}|\d{1,2}[./-]\d{1,2}[./-]\d{2,4})"
_TIME = (
    r"(?:(?:[01]?\d|2[0-3])[:h][0-5]\d(?::[0-5]\d)?(?:\s?[ap]\.?m\b\.?|\s?uhr\b|\s?h\b)?"
    r"|(?:0?\d|1[0-2])(?:\.[0-5]\d)?\s?[ap]\.?m\b\.?)"
)
_POINTED_TIME = r"(?:[01]?\d|2[0-3])\.[0-5]\d(?=\s+[^\W\d_][^\n]{0,200}(?:\d{4}|\d\s?[kK]\b))"
_STAMP = re.compile(
    rf"(?P<pointed>{_POINTED_TIME})\s+|[\[(]?(?:{_DATE}[,T\s]{{1,3}})?(?P<time>{_TIME})[\])]?\s*(?:[-–—:,|]\s*)?|\[?{_DATE}\]?[,:]?\s+"
    r"|\d{1,2}\.\d{1,2}\.:?\s+(?=[^\W\d_])",
    re.IGNORECASE,
)
_AT_THE_END = re.compile(
    rf"[\s,;]+(?:at\s+|@\s?)?[\[(]?(?P<time>{_TIME})[\])]?\s*[✓✔]*\s*\Z",
    re.IGNORECASE,
)
_SENDER = re.compile(
    r"(?:<(?P<angle>[^<>]{1,30})>|@(?P<at>[\w.-]{1,30})|(?P<name>[^\W\d_][\w .'’-]{0,30}?))\s*:\s+"
)
_MENTION = re.compile(r"(?<!\S)@[^\W\d_][\w.-]{1,30}[,:]?\s+(?=[^\W\d_]{2})")
_WITHIN = re.compile(r"(?<=[^\W\d_])\s(?:[01]?\d|2[0-3]):[0-5]\d(?:\s?[ap]m)?(?=\s|,|:\s)", re.IGNORECASE)
_ANGLE = re.compile(r"<(?P<angle>[^<>\d]{1,30})>\s*")
# "Pia, 21:04 - ", "Pia 9:04 PM: ", "<Pia> (21:04) ": what follows must name a source for it to be a sender's.
_NAMED_STAMP = re.compile(
    rf"(?:<(?P<angle>[^<>\d]{{1,30}})>|@?(?P<name>[^\W\d_][^\W\d_.'’-]{{0,20}}(?:\s[^\W\d_][^\W\d_.'’-]{{0,20}}){{0,2}}))"
    rf"\s?[,·|–-]?\s?[\[(]?(?:{_DATE}[,\s]{{1,2}})?(?P<time>{_TIME})[\])]?\s?[-–—:,|>]?\s{{1,3}}(?=\W{{0,2}}[^\W\d_])",
    re.IGNORECASE,
)
_STAMP_ALONE = re.compile(
    rf"(?:@?[^\W\d_][\w.'’-]{{0,20}}(?:\s[^\W\d_][\w.'’-]{{0,20}}){{0,2}}[\s,·|–-]{{1,4}})?"
    rf"[\[(]?(?:{_DATE}[,\s]{{1,2}})?(?P<time>{_TIME})[\])]?:?",
    re.IGNORECASE,
)
_LONGEST_SAID = 500
_SECONDS = re.compile(r"^(\d{1,2}:\d{2}):\d{2}")
_HEADER = re.compile(
    r"(?:from|to|cc|bcc|date|sent|reply-to|subject|von|an|datum|gesendet|betreff|de|para|objet|asunto|assunto|"
    r"oggetto|van|aan|verzonden|onderwerp|od|do|temat|差出人|宛先|日時|件名)\s?:\s"
    r"|[-_=\s]{0,40}(?:begin\s)?(?:forwarded|original|weitergeleitete|transféré|reenviado)\b"
    r"|.{0,80}\b(?:wrote|schrieb|a\sécrit|escribió|ha\sscritto|escreveu|schreef|napisał[a(]?)\W{0,3}$",
    re.IGNORECASE,
)


SENT = re.compile(r"\s*([^\W\d_][\w.'’-]{0,20}(?:\s[^\W\d_][\w.'’-]{0,20})?)\s?:\s+(?=\S)")
"""A name with a colon at the beginning of a line."""
_TALK_LINES = 400


def senders_in(lines: Sequence[str]) -> frozenset[str]:
    """Return the names with a colon that are senders', where no stamp says so: two of them come again.

    At least one of them says something without a number, or asks; none is a label or what a source is called.
    """
    said: dict[str, list[str]] = {}
    for line in lines[:_TALK_LINES]:
        found = SENT.match(line) if len(line) < _LONGEST_SAID else None
        if found is not None:
            said.setdefault(found[1], []).append(line[found.end() :])
    talk = [n for n, own in said.items() if any(not re.search(r"\d", t) or t.endswith("?") for t in own)]
    asked = any(own[0].strip().endswith("?") and len(own[0].split()) > 2 for own in said.values())
    again = {name for name, own in said.items() if len(own) > 1}
    if (
        len(said) < 2
        or not talk
        or (len(again) < 2 and not (again and asked))
        or any(_is_label(n) or set(n.casefold().split()) & ROLES for n in said)
    ):
        return frozenset()
    return frozenset(said)


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
    text, time, sender = line.strip().lstrip("\u200e\u200f\ufeff"), "", ""
    for pattern in (_QUOTED, _BULLET, _NUMBERED, _QUOTED, _BULLET):
        found = pattern.match(text)
        if found:
            text = text[found.end() :]
    stamp = _STAMP.match(text)
    if stamp:
        time, text = stamp["time"] or stamp["pointed"] or "", text[stamp.end() :]
    named = _ANGLE.match(text) or (_SENDER.match(text) if stamp else None)
    if named and not _is_label(named[0]):
        groups = named.groupdict()
        sender = groups.get("angle") or groups.get("at") or groups.get("name") or ""
        text = text[named.end() :]
        behind = None if stamp else _STAMP.match(text)
        if behind and behind["time"]:
            time, text = behind["time"], text[behind.end() :]
    text = _MENTION.sub("", text)
    if not time and len(within := _WITHIN.findall(text)) == 1:
        time, text = within[0].strip(), _WITHIN.sub(" ", text)
    last = _AT_THE_END.search(text[-40:])
    if last:
        time, text = time or last["time"], text[: len(text) - (len(text[-40:]) - last.start())]
    time = _SECONDS.sub(r"\1", time.strip())
    return Message(text.strip().strip('"“”').strip(), sender.strip(), time)


def stamp_alone(line: str) -> str:
    """Return the time on a line that holds nothing but who wrote the lines beneath it, and when; else ""."""
    found = _STAMP_ALONE.fullmatch(line.strip()[:80])
    return _SECONDS.sub(r"\1", found["time"]) if found else ""


def is_header(text: str) -> bool:
    """Whether a line stands above a letter that was sent on, or before what is quoted of one."""
    return _HEADER.match(text.strip()[:200]) is not None


def without_sender(text: str) -> Message | None:
    """Take off a sender with the time behind it, as in "Pia, 21:04 - key"; None where none stands there."""
    found = _NAMED_STAMP.match(text)
    if found is None or _is_label(found["angle"] or found["name"]):
        return None
    return Message(text[found.end() :].strip(), found["angle"] or found["name"], found["time"])


def _is_label(text: str) -> bool:
    known = understand(text.strip(" :<>@"))
    return known is not None and known.field in NUMBERS
