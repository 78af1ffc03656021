"""The messages of a text: line by line, in every sense that commas can have, with several readings a line."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ..sentences.commas import ways
from ..sentences.grammar import parse
from ..sentences.spoken import APART, NOT_SURE, TWO_CCTS, TWO_READINGS, UNCLEAR, Spoken
from ..sentences.tokens import tokens
from ..sentences.values import begins_colour
from ..text.plain import plain
from ..vocabulary.headings import Field
from ..vocabulary.languages import TARGETS
from ..vocabulary.spoken import MODIFIERS, ROLES
from .asides import asked_about, is_camera, is_guessed, is_setting
from .corrections import Correction, at_once, correction_in
from .lead import SENT, Message, is_header, message_in, senders_in, stamp_alone, without_sender
from .lettered import JOINT, lettered_in, with_letters_held
from .ranges import without_ranges
from .rewording import in_points, is_either, reworded
from .technical import is_technical

_LONGEST = 500
_WANTED = TARGETS | {"want", "need", "set", "for"}
_PLANNED = TARGETS | {
    *("set", "dial", "bring", "make", "put", "push", "switch", "change", "match", "tune", "go"),
    *("want", "need", "plan", "planned", "planning", "will", "would", "let's", "lets", "could"),
}
_PARTS = (r"\s/\s", r"/", r";", r"\s\|\s", r"\s[·•]\s", r",\s+", r"\s(?:and|und|et|y|e|en|&|\+)\s", r"\.\s+")
_STRONG = (r"\s/\s", r";", r"\s\|\s")
"""What parts one source from the next for sure, so that a part without a figure is talk."""
_MOST_PARTS = 40
_PREFIX = re.compile(r"([^\W\d_][\w .'’-]{0,30}?)\s*:\s+(?=\S)")
# A sign right behind a number begins the next one: "5480+.004".
_SIGNED = re.compile(r"(?<=[\dKk])([-+])(?=0?\.\d)")
_LEADERS = re.compile(r"\.{3,}|…+|(?<=\blx)(?=\d)|(?<=\blux)(?=\d)", re.IGNORECASE)
_TEMPERATURE = re.compile(
    r"\d{4}|\d'\d{3}|\d\s?k\b|\d\.\d+\s?k|0?\.\d{2}|\bduv\b|\bcct\b|\d\s?(?:mired|mk-1|mk⁻¹)", re.IGNORECASE
)


@dataclass(frozen=True)
class Said:
    """A line of a message with what it says of each source; `message` has who sent it, and when.

    `corrects` is set where it says anew what was said before; `spoken` has the new numbers. `about` is the
    source that it asks about. `lines` told it together, where there are several. `worded` is the text with
    its ranges, where that of `message` has their middles.
    """

    line: int
    text: str
    message: Message
    spoken: list[Spoken]
    corrects: Correction | None = None
    about: str = ""
    lines: tuple[int, ...] = ()
    worded: str = ""

    @property
    def whole(self) -> bool:
        """Whether all of it was understood."""
        return bool(self.spoken) and all(each.whole for each in self.spoken)

    @property
    def tries(self) -> bool:
        """Whether it looks as if it were to tell a reading."""
        return any(each.coloured or each.cells for each in self.spoken)


def said_in(lines: Sequence[str], numbers: Sequence[int]) -> Iterator[Said]:
    """Read each line that is not blank by itself; `numbers` are those of the lines."""
    stamp = ""
    senders = senders_in(lines)
    lettered = lettered_in(lines)
    for text, line in zip(lines, numbers, strict=True):
        if alone := stamp_alone(text):
            stamp = alone
            yield Said(line, text, Message("", time=alone), [])
        elif text.strip():
            found = SENT.match(text) if senders else None
            sender = found[1] if found and found[1] in senders else ""
            own = text[found.end() :] if found and sender else text
            said = _with_letters(say(with_letters_held(own, lettered), line), text)
            if sender:
                said = replace(said, message=replace(said.message, sender=sender))
            stamped = bool(stamp) and not said.message.time
            yield replace(said, message=replace(said.message, time=stamp)) if stamped else said


def _with_letters(said: Said, text: str) -> Said:
    """Write names as they stand there: their letters were held to them while they were read."""
    for spoken in said.spoken:
        spoken.name = spoken.name.replace(JOINT, " ")
        spoken.note = spoken.note.replace(JOINT, " ")
    message = replace(said.message, text=said.message.text.replace(JOINT, " "))
    return replace(said, text=text, message=message, about=said.about.replace(JOINT, " "))


def say(text: str, line: int) -> Said:
    """Read one line."""
    if len(text) > _LONGEST:
        return Said(line, text, Message(""), [])
    message = message_in(_LEADERS.sub("  ", _SIGNED.sub(r" \1", at_once(reworded(plain(text))))))
    corrects = correction_in(message.text)
    if corrects is not None:
        said = _best(corrects.text) if corrects.text else []
        if len(said) == 1 and said[0].cells and not said[0].bad:
            return Said(line, text, message, said, corrects)
        unclear = corrects.instead and not all(each.whole for each in said)
        if not corrects.text or unclear:  # what it says is not clear, that it takes something back is
            return Said(line, text, message, [], replace(corrects, text=""))
    if not _TEMPERATURE.search(message.text):
        return Said(line, text, message, [], about=asked_about(message.text))
    plain_text, ranges = without_ranges(message.text)
    worded = message.text if ranges else ""
    message, spoken = _read(replace(message, text=plain_text))
    if (is_header(text) or is_technical(message.text)) and not any(each.whole for each in spoken):
        return Said(line, text, message, [])
    spoken = _level_first([each for each in spoken if not _is_planned(each)])
    if len(spoken) > 1:
        spoken = [each for each in spoken if not _is_wanted(each)] or spoken
    if len(spoken) > 1 and any(not each.whole and not each.name for each in spoken):
        for each in spoken:  # numbers that go with no name may go with any
            each.bad = each.bad or APART
    if is_camera(message.text) and (sure := _is_setting(message.text, spoken)) is not None:
        if sure:
            return Said(line, text, message, [])
        for each in spoken:
            each.bad = each.bad or NOT_SURE
    if message.text.endswith("?") and not any(each.whole for each in spoken):
        names = [each.name for each in spoken if each.name]
        return Said(line, text, message, [], about=names[0] if len(names) == 1 else "")
    if is_guessed(message.text):
        for each in spoken:
            each.bad = each.bad or NOT_SURE
    if is_either(message.text):
        for each in spoken:
            each.bad = each.bad or TWO_CCTS
    for two in ranges:
        for each in spoken:
            if each.cells.get(two.field, "").replace("'", "") == two.instead and two not in each.ranges:
                each.ranges.append(two)
                each.bad = each.bad or UNCLEAR.get(two.field, "")
                break
    if in_points(plain(text)):
        for each in spoken:
            each.points = True
    return Said(line, text, message, spoken, worded=worded)


def _read(message: Message) -> tuple[Message, list[Spoken]]:
    """Read a message, and without the sender that a time stands behind, where the rest names its sources."""
    bare = without_sender(message.text)
    if bare is not None:
        spoken = _without_sender(bare.text)
        if spoken and all(each.whole and (each.name or each.goes_on) for each in spoken):
            return bare, spoken
    return message, _without_sender(message.text)


def _level_first(spoken: list[Spoken]) -> list[Spoken]:
    """Give a dim level that stands alone to the reading behind it: "50% dish: 5790 -0.001"."""
    if len(spoken) != 2 or spoken[0].name or set(spoken[0].cells) != {Field.LEVEL}:
        return spoken
    level, reading = spoken
    if not reading.whole or {Field.LEVEL, Field.MODIFIER} & set(reading.cells):
        return spoken
    reading.cells[Field.LEVEL] = level.cells[Field.LEVEL]
    if reading.name.casefold() in MODIFIERS:
        reading.cells[Field.MODIFIER], reading.name, reading.groups = reading.name, "", []
    return [reading]


def _is_setting(text: str, spoken: list[Spoken]) -> bool | None:
    """Whether what is said of a camera is what it is set to, as its words tell; None where it was metered."""
    if is_setting(text):
        return True
    metered = any(Field.LUX in each.cells or Field.DUV in each.cells for each in spoken)
    return None if metered else False


def _is_planned(spoken: Spoken) -> bool:
    """Whether it says what is to be, and was not read: "plan is key at 5600"."""
    return not spoken.coloured and spoken.name.casefold().split(" ")[0] in _PLANNED


def _is_wanted(spoken: Spoken) -> bool:
    """Whether it says what is wanted, beside what was read: "target 5600, key 5480 +.004"."""
    return not spoken.coloured and spoken.name.casefold().split(" ")[0] in _WANTED


def _without_sender(text: str) -> list[Spoken]:
    """Read a message; a name with a colon before another name is the sender's, unless it is a source's."""
    prefix = _PREFIX.match(text)
    if prefix is None:
        return _best(text)
    rest = _best(text[prefix.end() :])
    named = bool(rest) and bool(rest[0].name) and all(each.whole for each in rest)
    if named and not rest[0].late and not ROLES & set(prefix[1].casefold().split()):
        return rest
    return _best(text)


def _best(text: str) -> list[Spoken]:
    """Read a message in every sense that its commas can have, and take the one that makes sense."""
    found = [_parted(way) for way in ways(text)]
    whole = [spoken for spoken in found if spoken and all(each.whole for each in spoken)]
    if not whole:
        return max(found, key=lambda spoken: sum(each.whole for each in spoken)) if found else []
    first = whole[0]
    if any(_numbers(other) != _numbers(first) for other in whole[1:]) and not _thousands(whole):
        for each in first:
            each.bad = "it is not clear which commas mark decimals"
    return first


def _numbers(spoken: list[Spoken]) -> list[dict[str, str]]:
    return [{f.value: text.replace("'", "") for f, text in each.cells.items()} for each in spoken]


def _thousands(whole: list[list[Spoken]]) -> bool:
    """Whether the senses differ in a thousands mark alone, where it is the likelier one."""
    digits = [
        [re.sub(r"\D", "", "".join(f"{f}{t}" for f, t in sorted(each.cells.items()))) for each in spoken]
        for spoken in whole
    ]
    return all(each == digits[0] for each in digits[1:])


def _parted(text: str) -> list[Spoken]:
    """Read a message as one reading after the other, or part by part where each part is one."""
    found = tokens(text)
    together = parse(text, found)
    if any(each.bad == TWO_READINGS for each in together):
        return together  # its parts would each be read, and one of them counts no more
    best = together if all(each.whole for each in together) and not _late_among(together) else []
    colours = sum(map(begins_colour, found))
    if colours < 2 or (best and colours <= len(best)):
        return best or _unclear(together)
    in_parts = list(_in_parts(text))
    for each in in_parts:
        if all(len(one) == 1 and one[0].whole for one in each):
            split = [one[0] for one in each]
            if len(split) >= len(best) and len({bool(one.name) for one in split}) == 1:
                return split
    return best or _partly(in_parts) or _unclear(together)


def _in_parts(text: str) -> Iterator[list[list[Spoken]]]:
    """Yield what each part of a message says, for each mark that parts it in a way of its own."""
    seen: list[list[str]] = []
    for mark in _PARTS:
        parts = [part.strip() for part in re.split(mark, text) if part.strip()]
        told = [part for part in parts if any(map(str.isdigit, part))] if mark in _STRONG else parts
        if len(told) >= 2 and len(parts) <= _MOST_PARTS and parts not in seen:
            seen.append(parts)
            found = [parse(part, tokens(part)) for part in told]
            # "| D nothing, lamps out" is talk, unless it is the name of what stands in the part behind it.
            if told == parts or all(each.name for spoken in found for each in spoken):
                yield found


def _unclear(together: list[Spoken]) -> list[Spoken]:
    """Say of readings that all make sense, and are not taken all the same, why that is."""
    if len(together) > 1 and all(each.whole for each in together):
        together[-1].bad = "it is not clear which name goes with which numbers"
    return together


def _late_among(spoken: list[Spoken]) -> bool:
    """Whether names seem to stand behind the numbers of some readings and before those of others."""
    if len(spoken) < 2 or all(each.late for each in spoken):
        return False
    some_unnamed = any(each.name for each in spoken) and not all(each.name for each in spoken)
    return some_unnamed or any(each.late for each in spoken)


def _partly(in_parts: Sequence[list[list[Spoken]]]) -> list[Spoken]:
    """Return part by part where some are readings and others are not; none where no part is one."""
    for each in in_parts:
        alone = all(len(found) == 1 and (found[0].cells or found[0].bad) for found in each)
        whole = [found[0].whole for found in each if found]
        if alone and any(whole) and not all(whole):
            return [found[0] for found in each]
    return []
