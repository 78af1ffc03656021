"""What a message says beside what was read: who read it, what is wanted, what a camera is set to."""

import re

from ..vocabulary.spoken import ROLES

_CCT = r"(?:1?\d|2[0-5])'?\d{3}\s?k?|\d{1,2}\.\d{1,2}\s?k"
_WHO = (
    r"(?:we|i|you|he|she|they|dop|dp|director|gaffer|boss|wir|ich|sie|er|on|je|nous|il|elle|noi|io|me|my|wij|ik|"
    r"vi|jag)"
)
_WISHES = (
    r"(?:wants?|wanted|wanting|needs?|needed|prefers?|aim(?:ing)?(?:\sfor)?|target(?:ing)?|going\sfor|shooting\sfor|"
    r"would\s(?:like|love|prefer|rather)|(?<=['’]d\s)(?:like|love|prefer|rather|go\sfor)|wollen|brauchen|brauche|hätten\sgern|möchten?|"
    r"veut|veux|voulons|voudrait|voudrais|vorrei|vorremmo|vogliamo|voglio|quiero|queremos|necesitamos|quero|precisamos|"
    r"willen|wil|graag|chcemy|chcę|vill|behöver)"
)
# "(we want 4300 there)", ", wir wollen 4300": a clause of its own, with nothing but a CCT in it.
_WISH = re.compile(
    rf"(?P<open>^|[,;.(!–]|\s-|\s(?:but|and|so|aber|mais|ma|pero|maar|ale|men))\s{{0,2}}"
    rf"(?:the\s|der\s|die\s|le\s|la\s)?(?:{_WHO}(?:'d|'s|\sare|\sis)?\s)?(?:(?:really|actually|all|only|just|both)\s)?"
    rf"{_WISHES}\s[^\d,;.()+]{{0,40}}(?:{_CCT})[^\d,;.()+=/:-]{{0,40}}(?:\b(?:by|before|until|at|um|bis|à|alle|a\slas)\s\d{{1,2}}(?:[:.h]\d\d)?(?:\s?[ap]m)?)?\s?(?=[,;.)!]|$)",
    re.IGNORECASE,
)
# "Joe wants to know the window - it's 6350": who asks, and what.
_WANTS_TO_KNOW = re.compile(
    r"^(?:@?[^\W\d_][\w'’.-]{0,20}\s){1,2}(?:wants\sto\sknow|is\sasking|asks|asked|wanted\sto\sknow|was\sasking)\s(?:for\s|about\s)?"
    r"(?=(?:the\s)?[^\W\d_]{2,20}[^\d]{0,30}\d)",
    re.IGNORECASE,
)
# "Joe says the sign is 9000": whose word it is names no source.
_SAYS = re.compile(
    r"^(?:@?[^\W\d_][\w'’.-]{0,20}\s){1,2}?(?:says|said|reckons|reports|texted|thinks|"
    r"sagt|meint|dit|dice|disse|zegt|mówi|säger)\s(?:that\s|dass\s|que\s|che\s|dat\s|że\s|att\s)?"
    r"(?:the|der|die|das|la|le|les|el|il|lo|o|a|de|het)\s(?!same|other|next|last|numbers?|readings?|meter)(?=[^\W\d_]{2})",
    re.IGNORECASE,
)
_CAMERA = re.compile(
    r"^(?:the\s)?(?:[a-h][\s-]?cam(?:era)?s?|cam(?:era)?s?(?:\s[a-h1-9])?|kamera|caméra|cámara|câmera|telecamera)\b(?!\s(?:left|right|side|pos))",
    re.IGNORECASE,
)
_SETTING = re.compile(
    r"\b(?:tint|shutter|iso|ei|fps|wb|white\sbalance|kelvin\sset)\b|\bt\s?/?\s?\d\.\d|\bf\s?/?\s?\d|\bnd\b",
    re.IGNORECASE,
)


# "kurz die Werte: ", "here are the readings: ": what stands above or before them names none.
_HEADED = re.compile(
    r"^[^\d:]{0,60}\b(?:numbers|readings|values|figures|results|werte|messwerte|valeurs|mesures|relevés|valores|medidas|"
    r"lecturas|leituras|valori|misure|letture|waarden|metingen|wartości|pomiary|odczyty|värden|mätningar)\b[^\d:]{0,20}:\s+(?=\S)",
    re.IGNORECASE,
)


# "hi all, ", "ciao raga, ": who is greeted is no source.
_GREETING = re.compile(
    r"^(?:(?:hi|hey|hello|hallo|hoi|hej|moin|ciao|salut|bonjour|bjr|hola|olá|oi|cześć|servus|bom\sdia|buongiorno|buenos\sdías|"
    r"goedemorgen|guten\smorgen)(?:\s[^\W\d_]+){0,3}|(?:good\s)?(?:morning|afternoon|evening)(?:\s(?:all|guys|team|everyone|everybody|folks|boss|chief|mate))*)\s?[,!.–]+\s+(?=\S)",
    re.IGNORECASE,
)
# What a light went through: "went from 6100 to 7200 in 20 min, now 7150" was read at 7150.
_STORY = re.compile(
    rf"\s(?:has\s)?(?:went|goes|gone|drifted|climbed|rose|fell|swung|shifted|moved|changed)\s(?:up\s|down\s)?(?:from\s)?(?:{_CCT})\s?(?:to|->|→|-)\s?(?:{_CCT})"
    r"(?:\s(?:in|over|within)\s(?:about\s)?\d{1,3}\s?(?:min\w{0,4}|h|hrs?|hours?|sec\w{0,4}))?\s?(?=[,;.]|$)",
    re.IGNORECASE,
)
# "did the three windows left 6650 … middle 6700 …": how many there are, before each is named.
_COUNTED = re.compile(
    r"^(?:(?:i|we|i've|we've|just|have|did|done|got|metered|measured|checked|read|took|here|are|all|both|the|of|these|"
    r"those)\s){0,6}(?:two|three|four|five|six|[2-6])\s[^\W\d_]{2,20}s[\s,:;–-]{1,4}"
    rf"(?!one\b|the\s(?:one|other)|[^\n]{{0,60}}\b(?:first|second)\b)(?=[^\W\d_][^\d]{{0,30}}(?:{_CCT})[^\n]{{1,60}}?[^\W\d_][^\d]{{0,30}}(?:{_CCT}))",
    re.IGNORECASE,
)
# "without it was 2900": the light bare, and no earlier one.
_WITHOUT = re.compile(
    r"\bwithout\s(?:(?:it|that|gel|the\sgel|any)\s?){0,2},?\s?(?:it\s)?(?:was|were|is|it's|reads?|got)\s(?=\d)",
    re.IGNORECASE,
)
_GUESSED = re.compile(
    r"\b(?:maybe|perhaps|probably|guess(?:ing)?|not\ssure|vielleicht|peut-être|quizás|forse|talvez|misschien|może|kanske)\b",
    re.IGNORECASE,
)

_ASKS = re.compile(
    r"(?:so\s|and\s|ok\s|hey\s)?(?:what'?s|what\sis|how'?s|how\sis|what\sabout|how\sabout|(?:and|et|und|y|e)(?=\s(?:the|der|die|das|la|le|el|il)\s)|and(?=[^?]*\?))\s"
    r"(?:the\s|der\s|die\s|das\s|la\s|le\s|el\s|il\s)?"
    r"([^\W\d_][\w '-]{1,30}?)(?:\s(?:at|reading|doing|now|like|giving|say|saying|pls)){0,3}\s?\?{0,3}",
    re.IGNORECASE,
)
# "got a Duv for the fill please?"
_ASKS_FOR = re.compile(
    r"[^?\d]{2,60}?\s(?:for|of|on|für|von|pour|para|per|voor)\s(?:the|der|die|das|la|le|el|il)\s"
    r"([^\W\d_][\w'-]*(?:\s[\w'-]+){0,2}?)(?:\s(?:please|pls|yet|now|at|today|again|bitte)){0,2}\s?\?{1,3}",
    re.IGNORECASE,
)
# "bay doors?", which asks for its numbers.
_NAMED = re.compile(
    r"(?!(?:why|when|who|where|what|how|which|is|are|do|does|did|can|could|will|would|ok|okay|ready|done|really|right|no|yes|any|and)\b)"
    r"(?:the\s)?([^\W\d_][\w'-]*(?:\s[\w'-]+){0,2})\s?\?{1,3}",
    re.IGNORECASE,
)


def asked_about(text: str) -> str:
    """Return the source that a message without figures asks about; empty where it asks about none."""
    found = next((each for one in (_ASKS, _NAMED, _ASKS_FOR) if (each := one.fullmatch(text))), None)
    return found[1].strip() if found else ""


def is_guessed(text: str) -> bool:
    """Whether a message asks whether its own figures are right: "fill maybe 5400 +2?"."""
    return text.endswith("?") and _GUESSED.search(text) is not None


def without_asides(text: str) -> str:
    """Return a message without greeting, who says it, title, and clauses that tell what is wanted or was."""
    text = _STORY.sub("", _HEADED.sub("", _GREETING.sub("", text, count=1), count=1))
    text = _WITHOUT.sub("bare ", _COUNTED.sub("", text, count=1))
    asks = _WANTS_TO_KNOW.match(text)
    if asks and not ROLES & set(asks[0].casefold().split()):
        text = text[asks.end() :]
    said = _SAYS.match(text)
    if said and not ROLES & set(said[0].casefold().split()):
        text = text[said.end() :]
    return _WISH.sub(lambda found: found["open"], text)


def is_camera(text: str) -> bool:
    """Whether a message begins with a camera, and not with a place beside one."""
    return _CAMERA.match(text) is not None


def is_setting(text: str) -> bool:
    """Whether a message about a camera says what it is set to: no light was read."""
    return _SETTING.search(text) is not None
