"""The words by which crews call what makes the light, and what it does in the shot."""

import re
from collections.abc import Sequence

from ...model import Kind, Role
from .languages import folded, folded_each
from .words import words

# The first line that has one of its words decides: a "daylight LED tube" is an LED. HMI is said for
# any metal-halide head and is read so.
_WORDS: list[tuple[Kind, str]] = [
    (Kind.SODIUM, "sodium, hps, lps"),
    (Kind.FLUORESCENT_TRIBAND, "triband, tri band, three band, triphosphor, tri phosphor"),
    (
        Kind.LED_MIX,
        "rgb, rgbw, rgbww, rgba, rgbaw, led mix, colour mixing, color mixing, colour mix, color mix, "
        "multicolour, multicolor, multi colour, multi color, full colour, full color",
    ),
    (Kind.LED_WHITE, "led, leds, white led, bicolour, bicolor, bi colour, bi color"),
    (Kind.FLUORESCENT, "fluorescent, fluorescents, fluoro, fluo, tube, tubes, cfl"),
    (Kind.DISCHARGE, "discharge, hmi, metal halide, halide, arc, xenon, mercury, mercury vapour, hid"),
    (Kind.TUNGSTEN, "tungsten, halogen, incandescent, quartz, filament"),
    (Kind.DAYLIGHT, "daylight, window, windows, sky, skylight, sun, sunlight, sunshine, overcast"),
    (Kind.UNKNOWN, "unknown, not known, other, mixed"),
]
# The same in German, French, Spanish, Italian, Portuguese, Dutch, Polish, Japanese. From memory, no source.
_ELSEWHERE: dict[Kind, str] = {
    Kind.SODIUM: "natrium, natriumdampf, sodio, sodu, sodowa, ナトリウム",
    Kind.FLUORESCENT: "leuchtstoff, leuchtstofflampe, leuchtstoffrohre, fluorescente, "
    "fluorescentes, fluorescence, fluorescentie, tl buis, swietlowka, "
    "jarzeniowka, 蛍光灯",
    Kind.DISCHARGE: "entladung, entladungslampe, metalldampf, halogenmetalldampf, decharge, "
    "descarga, scarica, ontlading, ontladingslamp, wyladowcza, メタルハライド, 放電灯",
    Kind.TUNGSTEN: "gluhlampe, gluhlicht, halogenlampe, kunstlicht, tungstene, halogene, "
    "incandescence, tungsteno, halogeno, halogena, incandescente, alogena, "
    "alogeno, incandescenza, tungstenio, wolfram, halogeen, gloeilamp, "
    "wolframowa, halogenowa, zarowka, zarowa, タングステン, ハロゲン, 白熱, 白熱灯, 白熱電球",
    Kind.DAYLIGHT: "tageslicht, fenster, himmel, sonne, lumiere du jour, fenetre, soleil, "
    "luz de dia, luz del dia, luz do dia, luz natural, ventana, luce diurna, "
    "luce naturale, finestra, janela, daglicht, raam, zonlicht, okno, swiatlo "
    "dzienne, dzienne, 自然光, 太陽光, 昼光, 窓, デイライト",
}


def _pattern(kind: Kind, said: str) -> re.Pattern[str]:
    every = re.split(", ?", said + (", " + _ELSEWHERE[kind] if kind in _ELSEWHERE else ""))
    return re.compile(rf" (?:{'|'.join(folded(word) for word in every)}) ")


_PATTERNS = [(kind, _pattern(kind, said)) for kind, said in _WORDS]


def kind_of(text: str) -> Kind | None:
    """Tell the kind of source from a crew's words for it; None if no word of them is known."""
    return kinds_of([text])[0]


def kinds_of(texts: Sequence[str]) -> list[Kind | None]:
    """Tell the kind of source of each of several texts, as `kind_of` does."""
    said = [" ".join(re.findall(r"[^\W\d_]+", plain)) for plain in folded_each([text[:80] for text in texts])]
    return [next((kind for kind, pattern in _PATTERNS if pattern.search(f" {s} ")), None) for s in said]


_TECHNOLOGIES = [(kind, pattern) for kind, pattern in _PATTERNS if kind not in (Kind.DAYLIGHT, Kind.UNKNOWN)]
# Words that say something else too: a tube may be an LED one, an arc a lamp's stand.
_DOUBTFUL = frozenset({"tube", "tubes", "arc", "quartz", "filament", "hid", "full"})
_DAYLIGHT = words("window windows daylight sky skylight sun sunlight sunshine")
_PLACES = words(
    "left right north south east west camera cam back front big small upper lower top bottom centre "
    "center main side the a"
)


def kind_in_name(name: str) -> Kind:
    """Tell the kind from a source's name where it is plain: “tungsten fresnel”, “Window left”.

    “Key by the window” may be anything, and so may “Tube 2”.
    """
    words = re.findall(r"[^\W\d_]+", name[:80].casefold())
    said = " " + " ".join(word for word in words if word not in _DOUBTFUL) + " "
    found = {kind for kind, pattern in _TECHNOLOGIES if pattern.search(said)}
    if len(found) == 1 or Kind.LED_MIX in found:
        return Kind.LED_MIX if Kind.LED_MIX in found else found.pop()
    rest = [word for word in words if word not in _PLACES]
    return Kind.DAYLIGHT if not found and len(rest) == 1 and rest[0] in _DAYLIGHT else Kind.UNKNOWN


_ROLES = {
    Role.KEY: words("key keylight fuhrungslicht principal hauptlicht"),
    Role.FILL: words("fill filllight aufheller aufhellung relleno riempimento"),
    Role.BACK: words(
        "back backlight rim rimlight kicker hair hairlight edge spitze contre contraluz controluce"
    ),
    Role.PRACTICAL: words("practical practicals prac pracs praktikel"),
    Role.OTHER: words("background backgrounds bg set other hintergrund fond fondo"),
}
BACKGROUND = _ROLES[Role.OTHER] - {"other"}
"""Words for what lights the set behind: none of our roles, and it does not fall on the subject."""
_BESIDE_ROLES = words("light lights lamp the side licht lumiere luz luce")


def role_of(text: str) -> tuple[Role, bool | None] | None:
    """Tell what a source does in the shot from a crew's words, and whether it falls on the subject.

    None if they are no words for that; whether it falls there is None where the role itself tells.
    """
    said = re.findall(r"[^\W\d_]+", folded(text[:40]))
    told = {word for word in said if word not in _BESIDE_ROLES}
    for role, known in _ROLES.items():
        if told and told <= known:
            return role, False if told <= BACKGROUND else None
    return None
