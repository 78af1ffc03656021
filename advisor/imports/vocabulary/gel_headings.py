"""The headings of gel tables, in the words of crews: what a column holds, in which unit, with which sign.

Words of common practice, no source; so are those of the other languages.
"""

import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from .words import words


class GelColumn(StrEnum):
    """What a column of a gel table can hold, as a person reads it."""

    NAME = "name"
    FAMILY = "family"
    FRACTION = "fraction"
    MIRED = "mired"
    CC = "cc"
    DUV = "Duv shift"
    STOPS = "stops"
    TRANSMISSION = "transmission"
    LOST = "share of light lost"
    DENSITY = "density"
    FACTOR = "filter factor"
    STOCK = "stock"
    ROLLS = "rolls"
    NOTE = "note"
    REFERENCE = "reference"
    KNOWN = "known"
    PERCENT = "percent"
    SPECTRUM = "spectrum"
    ON = "on"
    FROM = "from CCT"
    TO = "to CCT"
    UNUSED = "not used"


LIGHT = (GelColumn.STOPS, GelColumn.TRANSMISSION, GelColumn.LOST, GelColumn.DENSITY, GelColumn.FACTOR)
"""Columns that tell the light lost, the plainest first."""
EFFECTS = (GelColumn.MIRED, GelColumn.CC, GelColumn.DUV, *LIGHT, GelColumn.FROM, GelColumn.TO)
"""Columns that tell what a gel does."""


@dataclass(frozen=True)
class GelHeading:
    """A heading that was understood: `factor` brings its numbers to mired, CC, stops or sheets.

    `percent` says that its numbers are per cent; `vague` that its words may mean something else too;
    `kelvin` is the CCT of which a column says what it becomes, 0 where none is said.
    """

    column: GelColumn
    factor: float = 1.0
    percent: bool = False
    vague: bool = False
    kelvin: float = 0.0


# A heading that holds one of these words, in this order, is that column.
_MIRED = "mired mireds mired's mk mrd µrd µr microreciprocal ミレッド"
_TENS = "decamired decamireds damired dam dekamired"
_STARTS: tuple[tuple[GelColumn, str], ...] = (
    (
        GelColumn.SPECTRUM,
        "spectrum spectrumfile curve curvefile spectrumdatei kurve courbe curva krzywa spektrum",
    ),
    (
        GelColumn.NOTE,
        "note notes comment comments remark remarks notiz notizen bemerkung bemerkungen anmerkung "
        "anmerkungen kommentar hinweis remarque remarques commentaire commentaires nota notas "
        "observaciones observacion comentario comentarios osservazioni commento observacoes opmerking "
        "opmerkingen notitie uwagi uwaga notatka 備考 メモ 注記 コメント",
    ),
    (
        GelColumn.ROLLS,
        "rolls roll rollen rolle rouleaux rouleau rollos rollo rotoli rotolo rolos rolo rolki rolka rolek "
        "ロール",
    ),
    (
        GelColumn.STOCK,
        "stock onthetruck truck inthevan aboard left carried wehave sheets sheet qty quantity quantities "
        "count pcs pieces onhand have instock available howmany wieviele combien amount onboard antal "
        "antalark ark kpl ks pocet maara db darab bestand "
        "bogen blatt anzahl menge stuck stk lager vorrat quantite qte feuilles feuille nb "
        "nombredefeuilles existencias hojas hoja cantidad cant quantita fogli foglio scorta scorte "
        "giacenza quantidade qtd folhas folha estoque existencia aantal vellen vel voorraad stuks ilosc "
        "sztuk szt sztuki arkusze arkuszy zapas stan 枚数 枚 在庫 数量",
    ),
    (
        GelColumn.TRANSMISSION,
        "genomslapp lystransmission lapaisy propustnost "
        "transmission transmittance transmissionpercent trans transm transmits passes lets t tv y tau τ "
        "transmiss transmissionsfaktor transmissiony visibletransmission luminoustransmission lt "
        "lighttransmission durchlassigkeit durchlass transmissionsgrad lichtdurchlassigkeit "
        "lichtdurchlass transmittanz transmitancia transmision transmitancja transmissione trasmissione "
        "trasmittanza transmissao transmitancia transmissie lichtdoorlating doorlaatbaarheid doorlating "
        "transmisja przepuszczalnosc 透過率 透過",
    ),
    (
        GelColumn.FACTOR,
        "filterfactor filterfaktor facteurdefiltre exposurefactor factor faktor facteur 露出倍数",
    ),
    (
        GelColumn.DENSITY,
        "density opticaldensity od dens d optdens optdensity dichte optischedichte densite densiteoptique "
        "densidad densidadoptica densita densitaottica densidade dichtheid gestosc 濃度",
    ),
    (
        GelColumn.STOPS,
        "stops stop przyslony przyslon przyslona stoploss stopsloss lightloss lightlost loss lost lose "
        "ljusforlust lystab steg trin trinn clony ztrata valohavio fenyveszteseg "
        "costs cost fstops fstop blenden blende blendenverlust blendenstufen lichtverlust verlust perte "
        "pertes pertelumiere pertedelumiere diaph diaphs diaphragme diaphragmes perdida perdidadeluz "
        "pasos paso diafragmas diafragma perdita perditadiluce diaframmi diaframma perda perdadeluz "
        "lichtverlies verlies diafragma's stratapelswiatla strata stratyswiatla przeslony przeslona ev "
        "光量損失 光量ロス 減光 段数 段 絞り",
    ),
    (GelColumn.DUV, "duv duvshift deltauv δuv shiftduv δduv deltaduv δuvshift shiftδuv"),
    (
        GelColumn.CC,
        "cc greenmagenta green magenta gm mg plusminusgreen greenshift magentagreen tint gruenmagenta "
        "grunmagenta grun grunwert vertmagenta vert verdemagenta verde groenmagenta groen zielonymagenta "
        "zielenmagenta zielony zielen グリーンマゼンタ グリーン 緑マゼンタ 緑 緑補正 cc値",
    ),
    (
        GelColumn.LOST,
        "absorbs absorbed absorption absorbtion absorbe blocks eats takes absorptie absorcion absorcao",
    ),
    (GelColumn.FROM, "from von de desde da van od fromk fromcct sourcecct convertsfrom"),
    (GelColumn.TO, "to nach zu a naar do tok tocct convertsto becomes"),
    (
        GelColumn.REFERENCE,
        "reference ref refk referencek referencecct basecct base referenz bezug reference referencia "
        "riferimento referentie odniesienie 基準",
    ),
    (
        GelColumn.KNOWN,
        "known howknown source herkunft bekannt source origin provenance origen origine origem",
    ),
    (
        GelColumn.PERCENT,
        "percent uncertainty tolerance accuracy offby spread toleranz tolerancia unsicherheit",
    ),
    (GelColumn.ON, "on inuse use used active enabled aktiv actif activo attivo ativo actief aktywny 使用"),
    (
        GelColumn.FRACTION,
        "fraction strength grade cut level fractions depth starke staerke stufe grad bruchteil anteil "
        "styrka styrke sila vahvuus erosseg "
        "force intensite fraction degre valeur intensidad fuerza fraccion grado intensita frazione forza "
        "intensidade forca fracao grau sterkte fractie moc stopien ulamek natezenie "
        "強さ 強度 分数 度合い 濃さ",
    ),
    (
        GelColumn.FAMILY,
        "family familie famille familia famiglia rodzina 系統 ファミリー group gruppe series serie reihe "
        "kind",
    ),
    (
        GelColumn.NAME,
        "name gel gels gelname filter filters filtername colour color colours gelcolour gelcolor label "
        "item type description desc title folie folien farbfolie filterfolie farbe bezeichnung artikel "
        "nom gelatine gelatines filtre filtres couleur designation nombre gelatina gelatinas filtro "
        "filtros color tipo descripcion nome colore gelatine descrizione cor descricao naam kleur gel "
        "omschrijving nazwa folia zel filtr kolor opis typ "
        "ジェル フィルター フィルタ 名前 名称 カラー 色 品名",
    ),
    (
        GelColumn.UNUSED,
        "no nr num number # id code sku ref.no price preis prix precio prezzo preco prijs cena 価格 brand "
        "maker manufacturer supplier hersteller marque marca merk size format width length dimensions "
        "grosse breite taille tamano dimensione location shelf box case where lagerort ort date datum hex "
        "rgb swatch picture line row pos position lfd 番号 メーカー サイズ 場所",
    ),
)
_LOOKUP = {word: column for column, terms in reversed(_STARTS) for word in terms.split()}
_VAGUE = words(
    "t d y a de da od do van use cut have source base color gradation level grade cost costs ev mg "
    "tint factor "
    "serie series"
)
_STRONG = (
    GelColumn.SPECTRUM,
    GelColumn.TRANSMISSION,
    GelColumn.STOPS,
    GelColumn.DENSITY,
    GelColumn.ROLLS,
    GelColumn.STOCK,
    GelColumn.CC,
    GelColumn.NOTE,
    GelColumn.FRACTION,
    GelColumn.REFERENCE,
    GelColumn.FAMILY,
    GelColumn.NAME,
)
_LIGHT_WORDS = words(
    "loss lost verlust perte perdida perdita perda verlies strata light licht lumiere luz luce"
)
_SHORT = {"cc", "ev", "od", "nd"}
_SHIFT = words("shift correction change verschiebung korrektur decalage desplazamiento spostamento")
_UNSURE = words("uncertainty tolerance accuracy error spread toleranz unsicherheit tolerancia ±")
_MAGENTA = ("magenta", "マゼンタ")
_GREEN = ("green", "grun", "gruen", "vert", "verde", "groen", "zielony", "zielen", "グリーン", "緑")
_THOUSANDTHS = re.compile(r"10\s?\^?\s?-\s?3\b|[x×*/]\s?1\s?000\b|\be-3\b|‰")
_BECOMES = re.compile(
    r"(?:from |von |de )?"
    r"(?:([1-9]\d{3,4}) ?k?|(tungsten|halogen|kunstlicht|gluhlicht|tungstene)|(?:daylight|tageslicht))"
    r" ?(?:becomes|turns (?:in)?to|gives|wird|->|→)[ k?]*$"
)
_TUNGSTEN, _DAYLIGHT = 3200, 5600
"""The CCTs that are meant where a heading has the words. Common practice, no source. [K]"""
_COOLS = words("cools cool cooler cooling blue bluer kalter kuhler")
_WARMS = words("warms warm warmer warming orange")
_PERCENT = frozenset({"%", "percent", "pct", "prozent", "procent", "pourcent"})


_UNSPACED = [(term, c) for term, c in _LOOKUP.items() if ord(term[0]) > 0x3000 and len(term) > 1]


def squeezed(heading: str) -> str:
    """Return a heading in lower case, without accents, in plain signs."""
    shown = unicodedata.normalize("NFKC", heading.replace("ß", "ss")).casefold().replace("ł", "l")
    apart = unicodedata.normalize("NFD", shown)
    kept = "".join(c for c in apart if unicodedata.category(c) != "Mn" or c in "\u3099\u309a")
    return unicodedata.normalize("NFC", kept)


def understand_gel_heading(heading: str) -> GelHeading | None:
    """Recognise one heading of a gel table; None if it is not in the vocabulary."""
    return _understood(heading) if len(heading) <= 80 else None


@lru_cache(maxsize=8192)
def _understood(heading: str) -> GelHeading | None:
    shown = squeezed(heading).translate(str.maketrans("−–—⁻", "----"))
    words = list(re.findall(r"[^\W\d_]+|[%±#]|\d+", shown))
    said = set(words)
    if not words:
        return None
    percent = bool(_PERCENT & said)
    plain = [w for w in words if w not in _PERCENT and w != "±"]
    if becomes := _BECOMES.match(shown):
        kelvin = float(becomes[1] or (_TUNGSTEN if becomes[2] else _DAYLIGHT))
        return GelHeading(GelColumn.TO, vague=not becomes[1], kelvin=kelvin)
    if said & _UNSURE:
        return GelHeading(GelColumn.PERCENT) if percent else None
    if said & set(_TENS.split()):
        return GelHeading(GelColumn.MIRED, 10.0)
    if said & set(_MIRED.split()) or re.search(r"\bmk\s?-?\s?1|ミレッド", shown):
        cools = bool(said & _COOLS) and not said & _WARMS
        return GelHeading(GelColumn.MIRED, -1.0 if cools else 1.0)
    if not plain and percent:
        return GelHeading(GelColumn.PERCENT, vague=True)
    whole = _whole(plain, shown)
    if whole is None:
        return None
    return _with_unit(whole, plain, shown, percent=percent)


def _whole(words: list[str], shown: str) -> GelColumn | None:
    joined = "".join(words)
    front = "".join(re.findall(r"[^\W\d_]+", re.split(r"[(\[{]", shown)[0]))
    for term in (joined, front):
        if term in _LOOKUP:
            return _LOOKUP[term]
    found = {c for w in words if (len(w) > 2 or w in _SHORT) and (c := _LOOKUP.get(w)) is not None}
    found |= {c for term, c in _UNSPACED if term in shown}
    if GelColumn.STOPS in found and {"stops", "stop"} & set(words):
        return GelColumn.STOPS
    column = next((c for c in _STRONG if c in found), None)
    return None if column is GelColumn.NAME and _SHIFT & set(words) else column


def _with_unit(column: GelColumn, words: list[str], shown: str, *, percent: bool) -> GelHeading:
    said = set(words)
    vague = "".join(words) in _VAGUE
    if column is GelColumn.STOPS and percent:
        return GelHeading(GelColumn.LOST, percent=True)
    if column is GelColumn.CC:
        return GelHeading(column, _sign(shown), vague=vague)
    if column is GelColumn.DUV:
        return GelHeading(column, 0.001 if _THOUSANDTHS.search(shown) else 1.0)
    if column is GelColumn.DENSITY and said & _LIGHT_WORDS:
        return GelHeading(column)
    if column is GelColumn.FRACTION and percent:
        return GelHeading(column, percent=True)
    return GelHeading(column, percent=percent, vague=vague)


def _sign(shown: str) -> float:
    """Return −1 where a heading says that what it counts is magenta, or that magenta is positive."""
    green, magenta = any(g in shown for g in _GREEN), any(m in shown for m in _MAGENTA)
    signed = re.search(r"([+-])\s?(?:=\s?)?(green|magenta|grun|vert|verde|groen|g|m)\b", shown)
    if signed:
        of_magenta = signed[2] in ("magenta", "m")
        return -1.0 if (signed[1] == "+") == of_magenta else 1.0
    return -1.0 if magenta and not green else 1.0
