"""What crews write and say, made into the words that tokens are read from: sure senses only.

Each pattern looks at a few signs around it, so that a line takes time in proportion to its length.
"""

import re

from ..vocabulary.hung import GEL
from ..vocabulary.words import words
from .asides import without_asides
from .lettered import JOINT, with_first_held
from .number_words import TO_NINETEEN, in_digits
from .numerals import with_digits

_MONTHS = (
    r"(?:jan(?:uary|uar|vier)?|feb(?:ruary|ruar)?|m[aä]rz?|march|apr(?:il)?|may|mai|june?|juni|july?|juli"
    r"|aug(?:ust)?|sep(?:t|tember)?|o[ck]t(?:ober)?|nov(?:ember)?|de[cz](?:ember)?)\b\.?"
)
_DATES = re.compile(
    rf"\b\d{{1,2}}(?:st|nd|rd|th|\.)?\s{_MONTHS},?\s(?:19|20)\d\d\b|\b{_MONTHS}\s\d{{1,2}}(?:st|nd|rd|th)?,?\s(?:19|20)\d\d\b",
    re.IGNORECASE,
)
# "5 480 K": of the three digits alone no CCT could be made, so that the one before belongs to them.
_KELVIN_APART = re.compile(r"(?<![\w.,'])(1?\d|2[0-5])[ .](\d{3})(?=\s?[Kk]\b)")
_SIGNED_APART = re.compile(r"(?<![\w.,'])([2-9]|1\d)\s(\d{3})(?=[\s,;]{1,3}[+-]\s?0?[.,]\d)")
# "key 5 480, duv +.003": no light but one that is counted has a number of its own.
_FIGURE_APART = re.compile(
    r"(?P<word>[^\W\d_]+)(?P<between>\s?[:=]?\s)(?P<first>[2-9]|1\d)\s(?P<rest>\d{3})"
    r"(?=\s?[,;/]|\s*$|\s(?:duv|cc|plus|minus)\b|\.\s)",
    re.IGNORECASE,
)
_COUNTED = words(
    "head heads tube tubes panel panels unit lamp light channel ch chan fixture par pars spot strip "
    "bulb row nr no nummer kopf lampe scheinwerfer projecteur lámpara foco lampada luz lampa reflektor lux"
)
# Behind another number the first digits can be no part of a name.
# A comma between digits marks decimals: "+0,003 700 lx" is a Duv and its lux.
_LUX_APART = re.compile(
    r"((?<!\d),|,\s|[;/Kk)]\s{0,4}|\d[,;/]?\s{1,4})(\d{1,3})[ .](\d{3})(?=\s?(?:lx|lux)\b)", re.IGNORECASE
)
_LOCUS = (
    r"(?:(?:(?:right|dead|bang|smack|exactly|spot|sitting|sits|straight|square)\s){0,2}on\sthe\s"
    r"(?:black\s?body\s?|planckian\s?|planck\s?)?(?:locus|curve|planckian|black\s?body|line)|(?:dead|spot|bang)[\s-]on"
    r"|(?:exactly\s|precies\s|genau\s|pile\s|justo\s|proprio\s|dokładnie\s|precis\s)?(?:auf|sur|en|in|sulla|op|na|på|på)\s"
    r"(?:der\s|la\s|de\s|a\s|o\s)?(?:kurve|planck-?kurve|courbe|curva|curve|krzywej|kurvan|kurven|křivce))\b"
)
_ON_LOCUS = re.compile(
    rf"(?<=[\dkKn])([\s,;:.…–-]{{1,5}}(?:and\s|is\s|it's\s|its\s)?)({_LOCUS})(?!\s?[:=]?\s?[+-]?[\d.]*\d)",
    re.IGNORECASE,
)
# A point of green is a CC to some, and to others the step of a printer.
_POINTS = re.compile(
    r"\b(?:(?P<half>half\sa|½)|(?P<one>a)|(?P<number>\d{1,2}(?:\.\d)?))\s?(?:points?|pts?)\s(?:of\s)?(?=green|magenta)",
    re.IGNORECASE,
)
_GREEN_MAGENTA = re.compile(r"\b(?:g\s?/\s?m|m\s?/\s?g)\b(?=[\s:=]{0,3}[+-]?\s?\d)", re.IGNORECASE)
_LABEL_SIGNED = re.compile(r"(?<=uv)(?=[+-]0?\.\d)", re.IGNORECASE)
# How far off the meter stood; a small m before nothing of the kind may be magenta.
_DISTANCE = re.compile(
    r"(?:\b(?:at|from)\s|@\s?)\d{1,3}(?:\.\d)?\s?(?:m|metres?|meters?|ft|feet|foot)\b(?!\s?[-/])"
    r"|\b\d{1,3}(?:\.\d)?\s?(?:m|metres?|meters?|ft|feet|foot)\s(?:away|off|out|up|high|from)\b(?:\s(?:from\s)?(?:the\s)?[^\W\d_]{1,20})?",
)
_ISH = re.compile(r"(?<=\d)(?:\s?-?ish\b)", re.IGNORECASE)
_PLUS_GEL = re.compile(
    r"\+\s?(?=(?:\d/\d|[⅛¼½¾]|half|quarter|full)\s?(?:cto|ctb|cts|plus|minus|[+-]\s?green))", re.IGNORECASE
)
_ZERO = re.compile(
    r"(?<=[\dkK])([\s,]{1,3})(?:(?:basically|about|nearly|almost|practically|pretty\smuch|flat|dead)\s)?(?:zero|nought|nil|null|nul|±\s?0)(?:\s(?:green|duv|tint))?(?![\w.])(?!\s(?:point|oh))",
    re.IGNORECASE,
)
_DUV_ZERO = re.compile(
    r"\b(duv[\s:=]{1,3}(?:is\s|was\s|of\s|=\s?)?)(?:zero|nought|nil|null|nul|zéro|cero|nulla|none)\b(?!\s(?:point|oh))",
    re.IGNORECASE,
)
_ZERO_ASIDE = re.compile(r"(?<=\d\d)(\s?[kK]?\s)\(\s?0(?:\.0+)?\s?\)")
# "fill came back 5530": no place.
_CAME = re.compile(r"\b(?:came|comes|come|coming)\s(?:back|in|out|up)\s(?:at\s|as\s)?(?=\d)", re.IGNORECASE)
_SHADE_JOINED = re.compile(r"(?<=グリーン)(?=\d)|(?<=マゼンタ)(?=\d)|(?<=緑)(?=\d)")
_SIDE = re.compile(
    r"(?<=\d)\s(?:on\sthe\s|to(?:wards?)?\s|into\s|over\sto\s)(?:the\s)?(?=(?:green|magenta)\b)(green|magenta)(?:\sside)?",
    re.IGNORECASE,
)
_OVER = re.compile(
    r"(?<=\d)\s(?:(above|over)|below|under(?:neath)?|beneath)\s(?:the\s)(?:black\s?body\s?|planckian\s?)?(?:locus|curve|line|planckian|body)\b",
    re.IGNORECASE,
)
_CHEMICAL = re.compile(r"\bM\s?K\s?(?:-1|⁻¹|\^-1)(?!\d)")
# "4k2" is how some write 4.2k.
_K_AS_POINT = re.compile(r"(?<![\w.,])(\d{1,2})k(\d{1,2})(?!\w)")
# What should be, before what is: "should be 5600 but reads 5390".
_WANTED = re.compile(
    r"\bshould\s(?:be|read|say)\s\d[\d']{3,5}\s?k?,?\s(?:but\s|and\s)?(?:it\s)?(?:reads?|is|it's|shows?|gives?|measures?)\s(?=\d)"
    r"|\b(?:wants?|wanted|needs?|targets?|aim(?:ing|ed)?)(?:\s(?:is|for|at|was))?\s\d[\d']{3,5}\s?k?,?\s(?:but\s|and\s)?(?:it\s)?"
    r"(?:reads?|is|it's|shows?|gives?|gett?ing|gets?|got|now)\s(?=\d)",
    re.IGNORECASE,
)
# What a day is parted by is no source: "before lunch, now 7150".
_PARTS_OF_A_DAY = re.compile(
    r"\b(before|after)\s(?:the\s)?(?:lunch|dinner|breakfast|supper|tea|break|noon|midday|sunset|sunrise|rain|wrap)\b",
    re.IGNORECASE,
)
# Behind a name, square brackets are round ones; a stamp stands in front.
# Units that stand against the next number: "5520K+3.6cc1180lx", and thousands of lux.
_TIGHT = re.compile(r"(?<=\d)(K|k|cc|CC|lx)(?=[-+]?\d)")
_K_LUX = re.compile(r"(?<=\d)\s?k\s(?=(?:lux|lx)\b)", re.IGNORECASE)
# Whose it is, behind its numbers: "5520, plus 3.6, on the big frame".
_ON_WHAT = re.compile(
    r"(?P<numbers>[-+~\d(](?:[\W\d_]|(?:k|kelvin|cc|lx|lux|plus|minus|duv|point|oh|and|green|magenta|about)\b)*?)[\s,;–-]+(?:(?:<-{1,2}|<=|←)(?=\s)|(?:coming|spilling|bleeding|pouring|leaking|falling)\s(?:in\s)?(?:through|thru|from|off|in|under)|in\s(?=the\s)|through|thru|on|for|from|off|"
    r"auf|am|an|bei|sur|pour|en|para|sul|sulla|su|na|op|voor|på)\s(?:the\s|der\s|dem\s|die\s|das\s|la\s|le\s|el\s|il\s|"
    r"a\s|o\s|de\s|het\s)?(?P<name>[^\W\d_][^\d,;:()/|+]{1,38})",
    re.IGNORECASE,
)
# Where the numbers of the next source begin: "5610 for the key, 3080 for the lamps".
_NEXT_NUMBERS = re.compile(
    r"(?:[,;]\s+|\s/\s|[,;]?\s(?:and|und|et|y|e|en|i|och)\s)(?=\d{4}(?!\d)|\d{1,2}\.\d+\s?k)"
)
_LONGEST_LATE = 300
# "9 of green".
_OF_SHADE = re.compile(
    r"(?<=\d)\s(?:of|de|di|von|van)\s(?=(?:green|magenta|grün|vert|verde|groen)\b)", re.IGNORECASE
)
_GREEN_ABROAD = re.compile(
    r"(?<![\d.,])(\d{1,2}(?:\.\d)?)\s(?:grün|vert|verde|groen|zielonego|grönt)(?![\w-])", re.IGNORECASE
)
# "4120 6+", as some write a sign.
_SIGN_BEHIND = re.compile(r"(?<=\d)(\s?[kK]?[\s,/]{1,3})(\d{1,2}(?:\.\d)?)([+-])(?=[\s,;]|$)")
# "put 1/4 minus green on the cove, now 4090".
_GEL_PUT = re.compile(
    rf"(?:we\s|i\s|i've\s)?(?:put|added|hung|stuck|slapped|threw|adding)\s(?:a\s|some\s)?(?P<gel>{GEL.pattern})\s(?:on|over|in|onto)\s(?:the\s)?"
    r"(?P<name>[^,;:\d]{2,40})[,;:]",
    re.IGNORECASE,
)
_GEL_OFF = re.compile(
    rf"(?:we\s|i\s|i've\s|just\s)?(?:took|pulled|removed|lost|dropped|taken|peeled|stripped)\s(?:the\s|a\s|that\s)?(?:{GEL.pattern})\s(?:off|from)\s"
    r"(?:of\s)?(?:the\s)?(?P<name>[^,;:\d]{2,40}?)\s?[,;:]",
    re.IGNORECASE,
)
_GEL_CHANGED = re.compile(
    _GEL_PUT.pattern + r"\s(?:it\s)?(?:was|were|read|started\sat)\s(?P<was>[^,;]{4,30})[,;]?\s"
    r"(?:and\s|but\s)?(?:it's\s|is\s|it\s)?(?:now|reads)\s",
    re.IGNORECASE,
)
# In "u 0.2039 v 0.4820" the letter is no volt.
_U_V = re.compile(r"(\bu['′]?\s?[=:]?\s?0?\.\d{2,5})\s+(?=v)", re.IGNORECASE)
# "plus 4 or 5": nobody says which.
_EITHER = re.compile(r"(?<=[\dkK])\s(?:or|oder|ou|lub|eller)\s(?:plus\s|minus\s|[+-])?\d", re.IGNORECASE)
_LEADS_ON = re.compile(
    r"^\s*(?:(?:first|then|next|second|third|last(?:ly)?|finally|and)\s+)+(?=(?:the|a)\s.{0,200}\d)",
    re.IGNORECASE,
)
# A sentence of talk before the first number: "two readings for you. window 7150".
_TALK = re.compile(
    r"^\s*(?:[^\W\d_][\w'’]*[,\s]+){2,9}[^\W\d_]+[.!]\s+"
    r"(?!(?i:(?:the\s)?(?:one|one's|other|it|it's|its|they|they're|both|left|right|first)\b))(?=[^\W\d_][^.!]{0,40}\d)"
)
# "+3,2" is no 3 and 2: nothing that is read has so small a number behind its Duv.
_CC_COMMA = re.compile(r"(?<![\d,.])([+-]\s?\d{1,2}),(\d{1,2}(?=\s?cc\b)|\d(?![\d.]|,\d))", re.IGNORECASE)
_K_COMMA = re.compile(r"(?<![\d,.])(\d{1,2}),(\d{1,3})(?=\s?k\b)", re.IGNORECASE)
# How far one light is from another is no reading of either.
_FARTHER = re.compile(
    r",?\s(?:that's\s|it's\s|so\s|about\s|some\s)?\d{1,4}\s?(?:mireds?|mk-1|k|kelvin|cc)\s(?:warmer|cooler|colder|higher|lower|off|more|less)"
    r"(?:\sthan\s[^,;.\d]{1,40})?(?=[,;.]|$)",
    re.IGNORECASE,
)
_SQUARE = re.compile(r"(?<=[^\W\d_]\s)\[([^\[\]]{1,60})\]")
_WITH = re.compile(r"\bw/(o\b)?\s?", re.IGNORECASE)
_CALL_IT = re.compile(
    r"\b(?:call\sit|let's\ssay|let's\scall\sit|say)\s(?=\d)(?!\d{4}\s?k?\s(?:on|label)\b)", re.IGNORECASE
)
# What is printed on a lamp: "2700 on the box".
_PRINTED = re.compile(
    r"\b(?:on|auf|sur|en|sulla|op|na|på)\s(?:the|its|their|der|dem|la|le|el|de)\s"
    r"(?:box|label|labels|packet|package|packaging|packing|sticker|tin|tube\sitself|bulb\sitself|base|schachtel|"
    r"packung|verpackung|boîte|caja|scatola|doos|pudełku|kartongen)\b",
    re.IGNORECASE,
)
# "panel one ... panel two": the first is numbered as the others are.
_NUMBER_ONE = re.compile(r"\b([^\W\d_]{3,20})\sone\b(?=[^\n]{0,400}\b\1\s(?:two|three)\b)", re.IGNORECASE)
# "CC+5" and "1k1 lux".
_CC_FIRST = re.compile(r"\bCC\s?[:=]?\s?([+-]\s?\d{1,2}(?:\.\d)?)(?![\w.])", re.IGNORECASE)
_K_LIGHT = re.compile(r"(?<![\w.,])(\d{1,2})k(\d)(?=\s?(?:lux|lx)\b)", re.IGNORECASE)
# "54 hundred", as it is spoken.
_SPOKEN_HUNDREDS = re.compile(
    r"(?<![\w.,+-])([2-9]\d)\s(?:hundred|hundert|cents|cientos|centos|honderd|setek)(?![\w-])", re.IGNORECASE
)
_BRACKETED_ISH = re.compile(r"\(\s?-?ish\s?\)", re.IGNORECASE)
_TO_TWELVE = TO_NINETEEN[1:13]
# "four thousandths" are 4 CC.
_THOUSANDTHS = re.compile(
    rf"(?P<number>\d(?:\.\d)?|\b(?:(?:{'|'.join(_TO_TWELVE)})(?:\spoint\s(?:\d|{'|'.join(_TO_TWELVE[:9])}))?|an?))\s?"
    r"(?:thousandths?|thous?|tausendstel|millièmes?|milésim[ao]s?|millesimi|duizendsten|tysięcznych|tysięczne|tusendelar)\b"
    r"(?:\s(?:of|de|di|von)\s(?=green|magenta))?",
    re.IGNORECASE,
)
# "minus 0015": a whole number does not begin with 0, so that its point was left out.
_POINT_LEFT_OUT = re.compile(
    r"(?<![\w.,:'/-])([+-]|\b(?:plus|minus)\s|(?=0\d{2,3}\s?(?:green|magenta|[gm])\b))\s?(0[0-3]\d{1,2})"
    r"(?![.,:'/]?\d|\s?(?:lx|lux|%|h\b))",
    re.IGNORECASE,
)
# "+,004", and "6 CC de magenta".
_COMMA_ALONE = re.compile(r"(?<=[\s+-]),(?=0\d{1,3}\b)")
_CC_OF = re.compile(
    r"(?<=\d)\s?(?:CC|punkte?|points?)\s(?:(?:of|de|di|von|van)\s|d')(?=(?:green|magenta|grün|vert|verde|groen)\b)",
    re.IGNORECASE,
)
# "32K" is said for 3 200 K.
_HUNDREDS = re.compile(r"(?<![\w.,+-])(2[6-9]|[3-9]\d)\s?K\b(?!\s?(?:lx|lux))")
_FULL_STOP = re.compile(r"\bfull\sstop\b", re.IGNORECASE)
_KILOLUX = re.compile(r"\bkilo\s?-?lux\b", re.IGNORECASE)
_LUXES = re.compile(r"(?<=[\d\s])(?:luxes|ルクス)(?!\w)|(?<=\d)ルクス", re.IGNORECASE)
# Japanese joins a topic to its number, and ends a sentence so.
_TOPIC = re.compile(r"[はが](?=\d)")
_ENDED = re.compile(r"(?<=[\dKkxCcX%ス])(?:です|でした)(?=[\s,。.!]|$)")


def reworded(text: str) -> str:
    """Return a message in plain numbers: dates out, thousands and spoken ones joined, "dead on" as Duv 0."""
    text = _K_LIGHT.sub(r"\g<1>\g<2>00", text)
    text = _K_LUX.sub("k", _TIGHT.sub(r"\1 ", text)) if _TIGHT.search(text) or _K_LUX.search(text) else text
    text = _SIGN_BEHIND.sub(r"\1\3\2", text)
    text = _GEL_PUT.sub(lambda found: f"{found['name']} with {found['gel']}", _was_and_is(text), count=1)
    text = without_asides(_LEADS_ON.sub("", _TALK.sub("", text, count=1)))
    text = _CAME.sub("reads ", _FARTHER.sub("", text))
    text = _K_COMMA.sub(r"\1.\2", _CC_COMMA.sub(r"\1.\2", text))
    text = _U_V.sub(r"\1, ", text)
    text = _GREEN_ABROAD.sub(r"\1 green", _OF_SHADE.sub(" ", text))
    text = _GEL_OFF.sub(lambda found: f"{found['name']} bare ", text, count=1)
    text = _CC_FIRST.sub(r"\1 CC", text)
    text = _NUMBER_ONE.sub(rf"\1{JOINT}one", text)
    text = with_first_held(text)
    text = _SPOKEN_HUNDREDS.sub(r"\g<1>00", _PRINTED.sub("label", _FULL_STOP.sub(".", text)))
    text = _HUNDREDS.sub(r"\g<1>00 K", _POINT_LEFT_OUT.sub(r"\g<1>0.\2", _COMMA_ALONE.sub(".", text)))
    text = _names_first(text)
    text = _SQUARE.sub(r"(\1)", text)
    text = _K_AS_POINT.sub(r"\1.\2k", _BRACKETED_ISH.sub(" ", _DATES.sub(" ", text)))
    text = _CALL_IT.sub("about ", _WITH.sub(lambda found: "without " if found[1] else "with ", text))
    text = _PARTS_OF_A_DAY.sub(r"\1", _WANTED.sub(" ", text))
    if not text.isascii():
        text = _ENDED.sub("", _TOPIC.sub(" ", text.replace("−", "-")))
    text = _LUXES.sub("lx", _KILOLUX.sub("klx", text))
    text = _ZERO_ASIDE.sub(r"\1Duv 0", text)
    text = _ZERO.sub(r"\1Duv 0", _DUV_ZERO.sub(r"\g<1>0", text))
    text = _SHADE_JOINED.sub(" ", in_digits(with_digits(text)))
    text = _KELVIN_APART.sub(r"\1'\2", text)
    text = _FIGURE_APART.sub(_joined, _SIGNED_APART.sub(r"\1'\2", text))
    text = _LUX_APART.sub(r"\1\2'\3", text)
    text = _CC_OF.sub(" CC ", _THOUSANDTHS.sub(_thousandths, _POINTS.sub(_in_cc, text)))
    text = _GREEN_MAGENTA.sub("CC ", _LABEL_SIGNED.sub(" ", text))
    text = _DISTANCE.sub(" ", text)
    text = _PLUS_GEL.sub("& ", _ISH.sub("", text))
    text = _SIDE.sub(r" \1", _OVER.sub(lambda found: " green" if found[1] else " magenta", text))
    text = _CHEMICAL.sub("mk-1", text)
    return _ON_LOCUS.sub(r"\1Duv 0", text)


def _joined(found: re.Match[str]) -> str:
    if found["word"].casefold() in _COUNTED:
        return found[0]
    return f"{found['word']}{found['between']}{found['first']}'{found['rest']}"


def _was_and_is(text: str) -> str:
    """Put a gel to the later of two readings: "hung 1/2 CTO on the window, was 6300, now 4150"."""
    return _GEL_CHANGED.sub(lambda f: f"{f['name']} bare {f['was'].strip()}, with {f['gel']} ", text, count=1)


def _names_first(text: str) -> str:
    """Put names before their numbers, where each part says whose its numbers are: "5610 for the key"."""
    if len(text) > _LONGEST_LATE:
        return text
    named = [_ON_WHAT.fullmatch(part.strip()) for part in _NEXT_NUMBERS.split(text)]
    if not all(named):
        return text
    return ", ".join(f"{each['name'].strip()}: {each['numbers'].strip()}" for each in named if each)


def in_points(text: str) -> bool:
    """Whether green or magenta is counted in points, which `reworded` takes for CC."""
    return _POINTS.search(in_digits(text)) is not None


def is_either(text: str) -> bool:
    """Whether two numbers stand for one, and nothing tells which: "plus 4 or 5"."""
    return _EITHER.search(text) is not None


def _thousandths(found: re.Match[str]) -> str:
    said, _, part = found["number"].casefold().partition(" point ")
    if part:
        tenth = part if part.isdigit() else str(_TO_TWELVE.index(part) + 1)
        return f"{_TO_TWELVE.index(said) + 1}.{tenth} CC "
    number = _TO_TWELVE.index(said) + 1 if said in _TO_TWELVE else "1" if said in ("a", "an") else said
    return f"{number} CC "


def _in_cc(found: re.Match[str]) -> str:
    number = found["number"] or ("0.5" if found["half"] else "1")
    return f"{number} CC "
