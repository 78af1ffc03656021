"""Readings with clear figures, beside words that leave open whether anybody read them: to be asked."""

import re
from collections.abc import Container, Sequence
from statistics import fmean

from ..messages.lines import Said
from ..prose.vocabulary import CAMERAS, LIGHTS
from ..sentences.spoken import NOT_SURE, Spoken
from ..sentences.values import value_of
from ..vocabulary.headings import Field
from ..vocabulary.hung import GEL, gel_of
from .asked import UNREAD

_SHOWN = 12
_MOST_MEANT = 20
"""A mean may be that of the last readings above it, at most so many, or of all of them."""
_SHORT = 4
"""How many digits a CCT has at least; fewer count thousands, or a difference."""
_NUMBER = re.compile(r"\d+(?:['’., ]\d+)*")
_SAME_MEAN = 0.015
"""By how much a mean may differ from that of the readings above it, as people round. [1]"""
# What is wanted, or another's figure: before a CCT, in its clause.
_WANTED = re.compile(
    r"\b(?:targets?|targeting|goals?|aims?|aiming|plan(?:s|ned|ning)?|wants?|wanted|needs?|needed|should|shall|ought|must|"
    r"expect(?:s|ed|ing)?|supposed|tomorrow|(?<!as\s)yesterday|last\s(?:week|night|time|month|year)|will\sbe|going\sto\sbe|"
    r"manufacturers?|brochure|datasheet|nominal(?:ly)?|rated|specs?|wb|white\sbalance|wish|would|ideal(?:ly)?|if|"
    r"soll|sollte|ziel|gestern|morgen\ssoll|cible|objectif|hier|objetivo|ayer|obiettivo|ieri|alvo|ontem|doel|gisteren|cel|wczoraj)\b"
    r"(?!\s(?:not\s)?(?:to\s)?(?:know|change|touch))",
    re.IGNORECASE,
)
# What parts a figure from what was wanted before it: another figure, the end of a sentence.
_CLAUSE = re.compile(r"[.!?;]\s|(?<![\d.,+-])\d{4}(?!\d)")
_ENDS = re.compile(
    r"[.!?;]\s|\b(?:but|got|getting|reads?|reading|measured|metered|actual(?:ly)?|now|it['’]?s|is|are|came|ist|liegt|est|es|è)\b",
    re.IGNORECASE,
)
# "match the fill to 5600 +.001 please", "make the key 5600": what somebody is to do.
_ORDER = re.compile(
    r"(?:^|[,;:.!–]\s{0,2}|\b(?:and|so|then|please|pls|can\syou|could\syou|can\swe|let['’]?s)\s)(?:(?:please|pls|just|now)\s)?"
    r"(?:(?:match|set|bring|dial|gel|correct|warm|cool|push|pull|tune|trim|take|drop|raise|lower|turn|get|put|move|knock|change|"
    r"switch)\s[^\d,;.]{1,40}\b(?:to|at)|make\s[^\d,;.]{1,30})\s{0,2}\Z",
    re.IGNORECASE,
)
# What is thought of a reading behind it.
_DOUBTED = re.compile(
    r"\b(?:wrong|nonsense|rubbish|can['’]?t\sbe(?:\sright)?|cannot\sbe|(?:doesn|don|didn)['’]?t\s(?:look|seem|sound|feel)\sright|"
    r"isn['’]?t\sright|not\sright|(?:doesn|don)['’]?t\s(?:trust|believe)|suspect|typo|misread|"
    r"(?<!don't\s)(?<!dont\s)(?:scratch|ignore|forget|disregard|delete|strike|scrap)|or\s(?:was|is)\s(?:that|it)|i\smean|"
    r"i\smeant|not\ssure|unsure|unconfirmed|tbc|should\s(?:be|read|have)|no\sidea|take\swith)\b",
    re.IGNORECASE,
)
# The sentence with its figures is a question about them, and not about anything else: "key 5480 +.004?"
_QUESTION = re.compile(
    r"(?:[^.!;?,]|\.(?=\d)|,(?=\d)|,(?!\s?(?:what|how|who|where|when|why|can|could|will|shall|do|did|are|is|want|need|any|and|"
    r"which|you|ok\sto|should)\b)){0,60}\?",
    re.IGNORECASE,
)
# "Park at 5600 Mill Road", "crew of 3200 extras": what such a number counts.
_COUNTS = re.compile(
    r"\s?(?-i:(?:[A-Z][\w'’-]+\s){1,3}(?:Road|Rd|Street|St|Avenue|Ave|Lane|Ln|Drive|Dr|Way|Court|Close|Square|Blvd|Boulevard)\b)"
    r"|\s(?:extras|people|metres|meters|miles|steps|euros?|dollars|pounds|quid|bucks|watts|rpm|hours|bottles|meals|seats)\b",
    re.IGNORECASE,
)
# "fill is 150 cooler than the key at 5480": the figure is another's.
_COMPARED = re.compile(
    r"\b\d{1,4}\s?K?\s(?:kelvins?\s)?(?:warmer|cooler|colder|more|less|higher|lower|over|under|above|below|hotter)\b|\bthan\b",
    re.IGNORECASE,
)
# "fill 20K under": by how much two differ.
_APART = re.compile(
    r"\s?k?\s(?:under|over|off|warmer|cooler|colder|lower|higher|less|more|below|above|shy|apart|difference)\b",
    re.IGNORECASE,
)
# A gel that came off, or is to be hung: "key - CTO off - 5480", "5480 +.004 -> add 1/4 minus green".
_NOT_HUNG = re.compile(
    r"\b(?:no|pulled|removed?|took|taken|without|w/o|lost|dropped|lose|off|add|adding|needs?|wants?|try|trying|will|would|"
    r"should|could|might|gonna|going\sto|let['’]?s|ohne|sans|sin|senza|sem|zonder|bez)\b[^,;.]{0,20}\Z",
    re.IGNORECASE,
)
_CAME_OFF = re.compile(
    r"\s?(?:(?:is|was|came|comes|now|taken|gel)\s){0,2}(?:off|removed|out|pulled|gone)\b", re.IGNORECASE
)
# "average 4335 +.0015" beneath readings.
_MEAN = re.compile(
    r"\W*(?:the\s|an\s|on\s)?(?:average|averages|avg|mean|median|total|sum|overall|mittel|mittelwert|durchschnitt|schnitt|"
    r"moyenne|media|promedio|gemiddelde?|średnia|medel|medelvärde|ø)\b",
    re.IGNORECASE,
)
_PLANS = frozenset({"base", "baseline", "base white", "white", "show", "tonight", "balance", "white point"})
"""What people call the white that they aim at: "base is 5600 today"."""
_SIDES = re.compile(r"\b(?:left|right|side|l|r)\b", re.IGNORECASE)
# Figures or a clause in a name: "key 850", "fill +200", "From where the camera".
_NO_NAME = re.compile(
    r"\b(?:key|fill|back|backlight|rim|edge|hair|kicker|bounce|top|side|window)\s[1-9]\d{2,4}\Z|\s[-+]\s?\d"
    r"|\b(?:where|when|why|how|because|while|agrees)\b",
    re.IGNORECASE,
)


# A figure by itself that is hardly anything but a CCT, or a Duv.
_LIKE_COLOUR = re.compile(
    r"(?<![\w.,:'’/-])(?:[2-9]|1[0-2])[ '’]?\d{3}(?!\d|[.,:'’/-]\d|\s?(?:lx|lux|fc|%|h\b|am|pm))"
    r"|(?<![\w.,:])[-+−]?0?[.,]0\d{1,3}(?!\d)"
)
_SAME_FIGURE = 0.00001


def doubt(said: Sequence[Said], told: Container[int]) -> None:
    """Mark readings whose words leave open whether anybody read them, and gels that may not hang.

    A marked reading is `likely` unless its words say that it was wanted or ordered, or that it is a camera's
    or a mean. In lines that were `told` already only the gels are looked at.
    """
    before: list[float] = []
    for line in said:
        own = [each for each in line.spoken if Field.CCT in each.cells]
        if len(before) > 1 and len(own) == 1 and line.line not in told and _is_mean(line.message.text):
            counts = {*range(2, min(len(before), _MOST_MEANT) + 1), len(before)}
            near = any(_near(own[0], before[-count:]) for count in counts)
            own[0].bad = own[0].bad or (UNREAD if near else NOT_SURE)
        else:
            _doubt_line(line, own, asked=line.line in told)
        before += [value_of(each.cells[Field.CCT]) for each in own if not each.bad]


def _doubt_line(line: Said, own: Sequence[Spoken], *, asked: bool) -> None:
    text = line.message.text
    spans = _spans(text, own)
    above = line.text[: max(line.text.find(text[:_SHOWN]), 0)]  # "yesterday's numbers: "
    wanted = False
    for at, each in enumerate(own):
        if each.bad:
            continue
        start, end = spans[at]
        last = spans[at - 1][1] if at else 0
        ahead = _CLAUSE.split(f"{'' if at else above} {text[last:start]}")[-1].lstrip()
        goes_on = wanted and _ENDS.search(text[last:start]) is None
        behind = text[end : spans[at + 1][0] if at + 1 < len(own) else len(text)]
        wanted = goes_on or _WANTED.search(ahead) is not None
        unlikely = (
            wanted
            or _ORDER.search(ahead) is not None
            or _COUNTS.match(behind) is not None
            or _COMPARED.search(ahead) is not None
            or (end - start < _SHORT and _APART.match(behind) is not None)
            or _is_camera(each.name)
        )
        each.gels_open = _not_hung(text[last : spans[at + 1][0] if at + 1 < len(own) else len(text)], each)
        doubted = _DOUBTED.search(behind) or _QUESTION.match(behind) or _NO_NAME.search(each.name)
        if not asked and (unlikely or doubted):
            each.bad, each.likely = NOT_SURE, not unlikely


def _not_hung(text: str, spoken: Spoken) -> list[str]:
    """Return those of the gels of a reading that came off, or are to be hung, as the words by them say."""
    found = [
        gel_of(each)
        for each in GEL.finditer(text)
        if _NOT_HUNG.search(text[: each.start()]) or _CAME_OFF.match(text, each.end())
    ]
    return [gel for gel in spoken.gels if gel in found]


def _spans(text: str, own: Sequence[Spoken]) -> list[tuple[int, int]]:
    """Return where the CCT of each reading stands in a text; all of it for those that stand nowhere."""
    out: list[tuple[int, int]] = []
    numbers = [(found.start(), found.end(), found[0]) for found in _NUMBER.finditer(text)]
    for each in own:
        cct = value_of(each.cells[Field.CCT])
        after = out[-1][1] if out else 0
        fits = (
            (start, end)
            for start, end, shown in numbers
            if start >= after and cct in (value_of(shown), round(value_of(shown) * 1000))
        )
        out.append(next(fits, (after, after) if out else (len(text), 0)))
    return out


def passed_by(line: Said) -> list[str]:
    """Return the figures of a line of readings that look like a CCT or a Duv, and that none of them took."""
    if len(line.lines) > 1 or any(each.bad or each.ranges for each in line.spoken):
        return []
    texts = [text for each in line.spoken for text in (each.name, each.note, *each.cells.values())]
    values = {abs(value_of(text)) for each in line.spoken for text in each.cells.values()}
    values |= {value / 1000 for value in values} | {round(1e6 / value) for value in values if value > 1}
    found = [figure[0].strip() for figure in _LIKE_COLOUR.finditer(line.text)]
    return [
        figure
        for figure in found
        if not any(abs(_plain_value(figure) - value) < _SAME_FIGURE for value in values)
        and not any(figure in text for text in texts)
    ]


def _plain_value(figure: str) -> float:
    """Return the value, without its sign, of what `_LIKE_COLOUR` found: a CCT in kelvin, or a Duv."""
    plain = figure.lstrip("+-−").replace(",", ".")
    return float(plain) if "." in plain[:2] else float(re.sub(r"\D", "", plain))


def _is_mean(text: str) -> bool:
    """Whether a line tells the mean of others: it says so first, and names no light."""
    return _MEAN.match(text) is not None and not LIGHTS & set(re.findall(r"[^\W\d_]+", text.casefold()))


def _near(own: Spoken, ccts: Sequence[float]) -> bool:
    return abs(value_of(own.cells[Field.CCT]) / fmean(ccts) - 1) < _SAME_MEAN


def _is_camera(name: str) -> bool:
    """Whether a name is that of a camera, or of the white that is aimed at."""
    words = name.casefold().split()
    camera = bool(CAMERAS & set(words[:2])) and len(words) < 3 and not _SIDES.search(name)
    return camera or name.casefold() in _PLANS
