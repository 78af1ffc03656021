"""Second thoughts: "sorry, 5480 not 5840", "*3190", "make that 4240", "scratch that"."""

import re
from dataclasses import dataclass

from ..vocabulary.spoken import ROLES

_WORDS = (
    r"sorry|oops|whoops|correction|corrected|edit|typo|i\smeant?|make\s(?:that|it)|scratch\sthat|no\swait|wait|my\sbad|"
    r"actually|misread|misheard|(?:ignore|forget|disregard|scrap)\s(?:that|(?:my|the)\slast(?:\sone)?)|i\smisread|korrektur|korrigiere|entschuldigung|pardon|perdon|perdón|"
    r"corrección|scusa|scusate|errata|desculpa|correção|correctie|korekta|przepraszam|訂正"
)
_OPENING = re.compile(
    rf"(?:[\s*.,:;!–-]{{0,3}}(?:{_WORDS})\b[\s,:;!.–-]{{0,4}}){{1,4}}(?:(?:it's|its|that's|it\sis|is|to)\s)?",
    re.IGNORECASE,
)
# "No mate that's 5480", "nope, 5480": of what is counted ("no 4 is 5600") a figure does not follow at once.
_DENIES = re.compile(
    r"[\s.,:;!–-]{0,3}(?:no|nope|nah|nein|nee|non|nie|não|nej)\b(?:(?:,?\s[^\W\d_]+){0,2}?,?\s"
    r"(?:it['’]?s|that['’]?s|(?:it|that)\s(?:is|was)|das\s(?:ist|sind|waren)|c['’]est|c['’]était|es|è|era|é|dat\sis|det\sär)"
    r"|[,.!:]?)\s(?=(?:\d{4}|\d['’.,\s]\d{3}|[+-]?0?\.\d{2,4})(?!\d))",
    re.IGNORECASE,
)
_CONFIRMS = re.compile(
    r"[\s,;.]{1,3}(?:(?:and|but)\s)?(?:the\s)?\S{1,8}\s(?:is|was|'s)\s(?:right|ok|okay|fine|correct|good)\b.*",
    re.IGNORECASE,
)
# Not the point of ".0014".
_MARKS = re.compile(r"\A(?:[ ,;:]|\.(?!\d))+|[ ,;:.]+\Z")
_STAR = re.compile(r"\*{1,2}(?=[^\s*])|(?<=\S)\*{1,2}\s*\Z")
_SPELLED = re.compile(r"(?<!\S)\*([^\W\d_][\w'-]{1,30})(?=[\s,.;:!?*]|$)")
_SHOULD = re.compile(
    r"\bshould(?:\shave)?\s(?:be|been|read|say)\b|\bmeant\s(?:to\sbe|to\ssay)\b", re.IGNORECASE
)
_NOT = re.compile(
    r"[\s,;(]{0,3}\b(?:and\s|but\s)?(?:not|instead\sof|nicht|et\snon|non|no|niet|nie)\s(?:plus\s|minus\s|[+-]\s?)?"
    r"(?P<number>\d[\d.,']{0,9}|\.\d{1,5})\s?[kK]?\)?",
    re.IGNORECASE,
)
_SAID_FIRST = r"(?:(?:sorry|no|oops|please|actually|wait)\W{1,3}){0,2}"
_STRIKES = "scratch|ignore|forget|delete|strike|cancel|disregard|bin|scrap"
_RETRACTS = re.compile(
    rf"{_SAID_FIRST}(?:{_STRIKES})\s"
    r"(?:that\slast(?:\sone)?|that|it|this|the\slast(?:\sone)?|my\slast(?:\sone)?|last(?:\sone)?|the\sprevious(?:\sone)?)\W*(?:one|reading)?\W*",
    re.IGNORECASE,
)
_RETRACTS_ONE = re.compile(
    rf"{_SAID_FIRST}(?:{_STRIKES}|lose)\s"
    r"(?:(?:about|the|my|last)\s){0,3}([^\W\d_][\w '-]{1,30}?)(?:\sone|\sreading)?(?:\s?[,.;:!–-].*|\s?)",
    re.IGNORECASE,
)
# "scrap the fill, someone was standing in it. 5580 +.003"
_REPLACES = re.compile(
    rf"{_SAID_FIRST}(?:{_STRIKES}|redo|redid|remetered|re-metered)\s"
    r"(?:(?:about|the|my|last|that)\s){0,3}"
    r"(?P<name>(?!(?:last|that|one|reading|it|my|the|about)\b)[^\W\d_][\w'-]*(?:\s[^\W\d_][\w'-]*){0,2}?)(?:\sone|\sreading|\snumber)?\s?[,.;:!–-][^\d+]{0,80}?"
    r"(?P<figures>(?<![\w.,])\d{4}.*|\d{1,2}\.\d{1,2}\s?k.*)",
    re.IGNORECASE,
)
_RENAMES = re.compile(
    r"(?:(?:sorry|no|oops|wait)\W{1,3}){0,2}(?:i\smeant?|that\swas|that's|make\sthat)\s"
    r"(?:the\s)?([^\W\d_][^\W\d_ ]*(?:\s[^\W\d_]+){0,2}?)(?:,?\snot\s(?:the\s)?[^\W\d_]+)?\W?",
    re.IGNORECASE,
)
# "sorry the fill is the back", "what I called fill is actually the kicker": a name that was another's.
_SORRY = r"(?:(?:sorry|oops|whoops|no|wait|actually|correction|my\sbad|oh)\W{1,3}){1,3}"
_WAS = r"(?:the\s|my\s)?(?P<was>[^\W\d_]+(?:\s[^\W\d_]+){0,2}?)"
_NOW = r"(?:the\s|a\s)?(?P<now>[^\W\d_]+(?:\s[^\W\d_]+){0,2}?)(?:\W{1,3}(?:sorry|my\sbad|thanks|ta))?\W*"
_IS = r"\s(?:is|was|are|were|should\s(?:be|read|say))\s"
_REALLY = r"(?:actually|really|meant\sto\sbe)\s"
_CALLED = tuple(
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        rf"{_SORRY}{_WAS}{_IS}(?:{_REALLY})?{_NOW}",
        rf"(?:{_SORRY})?{_WAS}{_IS}{_REALLY}{_NOW}",
        rf"(?:{_SORRY})?(?:what\si\scalled|where\si\ssaid|for)\s{_WAS},?\s(?:is|was|read|i\smeant)\s(?:{_REALLY})?{_NOW}",
    )
)
_SWAPS = re.compile(
    r"\b(?:swapped|mixed\s(?:them\s|those\s)?up|(?:the\s)?(?:wrong|other)\sway\s(?:a?round)|vertauscht|inversés?|invertid[oa]s|"
    r"scambiat[ei]|omgewisseld|zamienione|förväxlat)\b",
    re.IGNORECASE,
)
_CCT = r"(?:1?\d|2[0-5])'?\d{3}"
_DUV = r"[+-]?0?\.\d{2,4}"
_BREATH = (
    r"[\s,;.…–-]{1,4}(?:(?:no|sorry|oops|wait|hang\son|hold\son|nope|scrap\sthat|i\smean|make\sthat|correction|scratch\sthat|rather|äh|nein|pardon|"
    r"non|perdón)[\s,;.…–-]{1,3}){1,3}"
)
_AT_ONCE = re.compile(
    rf"(?<![\w.+-])(?:{_CCT}\s?[kK]?{_BREATH}(?={_CCT}(?!\d))|{_DUV}{_BREATH}(?={_DUV}(?!\d)))", re.IGNORECASE
)


@dataclass(frozen=True)
class Correction:
    """What a line says anew, in `text`, and the number that it says was wrong; no text where all was.

    `name` is the source whose reading it takes back, `renames` the one that the reading is of. `swaps`: the
    names of the last two are swapped. `spelled` are names as they were meant: "*key *fill, stupid phone".
    `wished`: it says what should be, which may be what is wanted.
    """

    text: str
    instead: str = ""
    name: str = ""
    wished: bool = False
    renames: str = ""
    spelled: tuple[str, ...] = ()
    swaps: bool = False


def at_once(text: str) -> str:
    """Return a line without the numbers that it takes back itself: "key 5840, sorry, 5480" says 5480."""
    return _AT_ONCE.sub("", text)


def correction_in(text: str) -> Correction | None:
    """Return what a line says anew of a reading before it; None where it says nothing of the kind."""
    if _RETRACTS.fullmatch(text.strip()[:80]):
        return Correction("")
    anew = _REPLACES.fullmatch(text.strip()[:200])
    if anew:
        return Correction(f"{anew['name']} {anew['figures']}")
    whose = _RETRACTS_ONE.fullmatch(text.strip()[:120])
    if whose and not re.search(r"\d", text):
        return Correction("", name=whose[1].strip())
    renamed = _RENAMES.fullmatch(text.strip()[:80])
    if renamed and ROLES & set(renamed[1].casefold().split()):
        return Correction("", renames=renamed[1].strip())
    called = next((found for each in _CALLED if (found := each.fullmatch(text.strip()[:80]))), None)
    if called and all(ROLES & set(called[name].casefold().split()) for name in ("was", "now")):
        return Correction("", renames=called["now"], name=called["was"])
    spelled = tuple(_SPELLED.findall(text)) if not re.search(r"\d", text) else ()
    if spelled and text.lstrip().startswith("*"):
        return Correction("", spelled=spelled)
    if _SWAPS.search(text) and not re.search(r"\d{3}", text):
        return Correction("", swaps=True)
    rest, instead = text, ""
    wrong = _NOT.search(rest)
    numbered = re.search(r"\d", rest[: wrong.start()] if wrong else "")
    if wrong and numbered:
        instead = wrong["number"].strip(".,")
        rest = rest[: wrong.start()] + " " + rest[wrong.end() :]
    denies = _DENIES.match(rest)
    opened = denies or _OPENING.match(rest)
    rest = rest[opened.end() :] if opened else rest
    rest = _CONFIRMS.sub("", rest) if denies else rest
    starred = _STAR.search(rest) if not opened else None
    rest = _STAR.sub("", rest, count=1) if starred else rest
    should = _SHOULD.search(rest)
    rest = _SHOULD.sub(" ", rest, count=1) if should else rest
    if not (opened or starred or should or instead) or not re.search(r"\d", rest):
        return None
    return Correction(_MARKS.sub("", rest), instead, wished=should is not None)
