"""Numbers said in other languages: "achtundsechzighundert", "six mille huit cents", "duemilasettecento".

A word is cut into the pieces that a language makes numbers of. Only what can be nothing else becomes digits:
a CCT of several pieces, a number with its unit behind it, a small one behind a sign. From memory, no source.
"""

import re
from collections.abc import Sequence
from functools import lru_cache

from ..vocabulary.languages import folded
from ..vocabulary.spoken import sign_said
from ..vocabulary.words import words

_HUNDRED, _THOUSAND, _AND = -100, -1000, -1


def _language(ones: str, tens: str, rest: str, hundreds: str, thousands: str, joins: str) -> dict[str, int]:
    """Return the pieces of a language: `ones` are 1 to 19, `tens` 20 to 90, strokes part their forms."""
    pieces = {form: n for n, word in enumerate(ones.split(), 1) for form in word.split("/")}
    pieces |= {form: 10 * n for n, word in enumerate(tens.split(), 2) for form in word.split("/")}
    pieces |= {word: int(value) for word, value in (each.split("=") for each in rest.split())}
    pieces |= dict.fromkeys(hundreds.split(), _HUNDRED) | dict.fromkeys(thousands.split(), _THOUSAND)
    return pieces | dict.fromkeys(joins.split(), _AND)


_GERMAN = _language(
    "ein/eins/eine zwei/zwo drei vier funf/fuenf sechs sieben acht neun zehn elf zwolf/zwoelf dreizehn "
    "vierzehn "
    "funfzehn/fuenfzehn sechzehn siebzehn achtzehn neunzehn",
    "zwanzig dreissig/dreißig vierzig funfzig/fuenfzig sechzig siebzig achtzig neunzig",
    "",
    "hundert",
    "tausend",
    "und",
)
_FRENCH = _language(
    "un/une deux trois quatre cinq six sept huit neuf dix onze douze treize quatorze quinze seize dix-sept "
    "dix-huit dix-neuf",
    "vingt trente quarante cinquante soixante septante huitante/octante nonante",
    "quatre-vingt=80 quatre-vingts=80 quatrevingt=80",
    "cent cents",
    "mille",
    "et",
)
_SPANISH = _language(
    "un/uno/una dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciseis "
    "diecisiete dieciocho diecinueve",
    "veinte/veinti treinta cuarenta cincuenta sesenta setenta ochenta noventa",
    "cien=100 ciento=100 doscientos=200 trescientos=300 cuatrocientos=400 quinientos=500 seiscientos=600 "
    "setecientos=700 ochocientos=800 novecientos=900",
    "",
    "mil",
    "y",
)
_ITALIAN = _language(
    "un/uno/una due tre quattro cinque sei sette otto nove dieci undici dodici tredici quattordici "
    "quindici "
    "sedici diciassette diciotto diciannove",
    "venti/vent trenta/trent quaranta/quarant cinquanta/cinquant sessanta/sessant settanta/settant "
    "ottanta/ottant novanta/novant",
    "",
    "cento",
    "mille mila",
    "e",
)
_PORTUGUESE = _language(
    "um/uma dois/duas tres quatro cinco seis sete oito nove dez onze doze treze catorze/quatorze quinze "
    "dezesseis/dezasseis dezessete/dezassete dezoito dezenove/dezanove",
    "vinte trinta quarenta cinquenta sessenta setenta oitenta noventa",
    "cem=100 cento=100 duzentos=200 trezentos=300 quatrocentos=400 quinhentos=500 seiscentos=600 "
    "setecentos=700 oitocentos=800 novecentos=900",
    "",
    "mil",
    "e",
)
_DUTCH = _language(
    "een twee drie vier vijf zes zeven acht negen tien elf twaalf dertien veertien vijftien zestien "
    "zeventien "
    "achttien negentien",
    "twintig dertig veertig vijftig zestig zeventig tachtig negentig",
    "",
    "honderd",
    "duizend",
    "en",
)
_POLISH = _language(
    "jeden/jedna dwa/dwie trzy cztery piec szesc siedem osiem dziewiec dziesiec jedenascie dwanascie "
    "trzynascie "
    "czternascie pietnascie szesnascie siedemnascie osiemnascie dziewietnascie",
    "dwadziescia trzydziesci czterdziesci piecdziesiat szescdziesiat siedemdziesiat osiemdziesiat "
    "dziewiecdziesiat",
    "sto=100 dwiescie=200 trzysta=300 czterysta=400 piecset=500 szescset=600 siedemset=700 osiemset=800 "
    "dziewiecset=900",
    "",
    "tysiac tysiace tysiecy",
    "i",
)
_SWEDISH = _language(
    "en/ett tva tre fyra fem sex sju atta nio tio elva tolv tretton fjorton femton sexton sjutton arton "
    "nitton",
    "tjugo trettio fyrtio femtio sextio sjuttio attio nittio",
    "",
    "hundra",
    "tusen",
    "och",
)
_LANGUAGES = (_GERMAN, _FRENCH, _SPANISH, _ITALIAN, _PORTUGUESE, _DUTCH, _POLISH, _SWEDISH)
_PATTERNS = tuple(
    re.compile("|".join(sorted(map(re.escape, each), key=len, reverse=True))) for each in _LANGUAGES
)
# A hundred, a thousand, a unit behind a word, a word behind a sign: without one there is no number.
_MAY_SAY = re.compile(
    r"hund|taus|tus|mil|cent|cien|cem|hond|duiz|tysi|st[ao]\b|set\b|wie[sś]cie|[^\W\d_]\s(?:k|kelvin|lux|lx|cc|fc|pro|per|por|pour|punkt)"
    r"|\b(?:plus|minus|moins|menos|meno|min|m[aá]s|mais|pi[uù])\s[^\W\d_]",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
_UNITS = words(
    "k kelvin lux lx cc fc prozent procent percent pourcent cento ciento porcento punkt punkte punkten mired"
)
_COMMAS = words("komma virgule coma virgola virgula przecinek punkt punto ponto punt")
_MOST_WORDS = 9
_LONGEST_WORD = 40
_MOST_SIGNED = 50
_ENGLISH = frozenset({"six", "elf"})
"""Words that English has too, and that are read as such."""
_KELVIN = range(1000, 25001)


def with_digits(text: str) -> str:
    """Return a text in which numbers said in another language than English are digits."""
    if _MAY_SAY.search(text) is None:
        return text
    found = list(_WORD.finditer(text))
    out, at, i = [], 0, 0
    while i < len(found):
        number, count = _number(text, found, i)
        if count:
            out += [text[at : found[i].start()], number]
            at = found[i + count - 1].end()
        i += count or 1
    return "".join([*out, text[at:]])


def _number(text: str, found: Sequence[re.Match[str]], at: int) -> tuple[str, int]:
    """Return the number that begins with a word, and how many words it takes; 0 for none."""
    longest: tuple[str, int] = ("", 0)
    signed = (
        at > 0 and sign_said(found[at - 1][0]) != 0 and text[found[at - 1].end() : found[at].start()] == " "
    )
    for language in range(len(_LANGUAGES)):
        pieces: list[int] = []
        best: tuple[str, int] = ("", 0)
        for i in range(at, min(at + _MOST_WORDS, len(found))):
            if i > at and text[found[i - 1].end() : found[i].start()] != " ":
                break
            own = _pieces(found[i][0], language)
            if not own or (i == at and own == (_AND,)):
                break
            pieces += own
            value = _value(pieces)
            following = found[i + 1][0].casefold() if i + 1 < len(found) else ""
            if i == at and found[i][0].casefold() in _ENGLISH:
                continue
            if value is not None and _is_said(value, pieces, following, signed=signed):
                best = str(value), i + 1 - at
        if best[1] and signed:
            best = _with_places(text, found, at, best, language)
        longest = max(longest, best, key=lambda said: said[1])
    return longest


def _with_places(
    text: str, found: Sequence[re.Match[str]], at: int, said: tuple[str, int], language: int
) -> tuple[str, int]:
    """Return a number with the digit behind its decimal mark, where that is said too: "vier Komma sechs"."""
    number, count = said
    after = found[at + count : at + count + 2]
    if len(after) < 2 or folded(after[0][0]) not in _COMMAS or text[after[0].end() : after[1].start()] != " ":
        return said
    digit = _value(_pieces(after[1][0], language)) if _pieces(after[1][0], language) else None
    return (f"{number}.{digit}", count + 2) if digit is not None and 0 < digit < 10 else said


def _is_said(value: int, pieces: Sequence[int], following: str, *, signed: bool) -> bool:
    """Whether a value is a number for sure: by its size, its unit, or the sign before it."""
    count = sum(piece != _AND for piece in pieces)
    if signed and value <= _MOST_SIGNED:
        return True
    return (value in _KELVIN and count > 1) or (following in _UNITS and value > 1)


@lru_cache(maxsize=4096)
def _pieces(word: str, language: int) -> tuple[int, ...]:
    """Return the values of the pieces that make up all of a word; none where something is left over."""
    text = folded(word)
    own = _LANGUAGES[language]
    if text in own or len(text) > _LONGEST_WORD:
        return (own[text],) if text in own else ()
    text = text.replace("-", "")
    out, at = [], 0
    while at < len(text):
        piece = _PATTERNS[language].match(text, at)
        if piece is None:
            return ()
        out.append(own[piece[0]])
        at = piece.end()
    return tuple(out)


def _value(pieces: Sequence[int]) -> int | None:
    """Add up pieces in their order; None where no number is said so, as by "two three"."""
    total, now, joined = 0, 0, False
    for piece in pieces:
        if piece == _AND:
            joined = True
            continue
        if piece == _HUNDRED:
            if now > 99:
                return None
            now = (now or 1) * 100
        elif piece == _THOUSAND:
            if total or now > 99:
                return None
            total, now = (now or 1) * 1000, 0
        elif not _may_add(now % 100 if piece < 100 else now, piece, joined=joined):
            return None
        else:
            now += piece
        joined = False
    return None if joined else total + now


def _may_add(before: int, piece: int, *, joined: bool) -> bool:
    """Whether a piece may stand behind what was said: ones behind tens, or, joined, before them."""
    if before == 0:
        return True
    if piece < 10:
        return before >= 20 and before % 10 == 0
    if piece < 20:
        return before in (60, 80)  # "soixante-dix"
    return joined and before < 10 and piece < 100
