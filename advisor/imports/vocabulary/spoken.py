"""Words of a message that are signs, numbers or nothing: "plus", "minus three", "point oh oh four"."""

from collections.abc import Sequence

from .words import words

_SIGNS = {
    **dict.fromkeys(("plus", "positive", "pos", "más", "mas", "più", "piu", "mais", "プラス"), 1),
    **dict.fromkeys(("minus", "negative", "neg", "moins", "menos", "meno", "min", "マイナス"), -1),
}
_TO_NINE = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_DIGITS = {
    **{word: str(n) for n, word in enumerate(_TO_NINE)},
    "oh": "0",
    "o": "0",
    "nought": "0",
    "ten": "10",
    "eleven": "11",
    "twelve": "12",
}
GREEN = words("green grn greenish grün gruen grünlich vert verde groen zielony zielonego zieleni 緑 グリーン")
MAGENTA = words("magenta mag magentas magenty マゼンタ")
#: Words that stand between a name and its numbers, or around them, and say nothing of their own.
FILLERS = words(
    "ligger på visar mäter är viser er måler on näyttää má ma je ukazuje měří pokazuje mierzy wskazuje "
    "ma affiche donne fait font donnent affichent sont estão estao están estan dan marcan sono segnano "
    "tá deu dá da marca indica lee lese zeigt zit kommt leest toont sta liegt steht zeigt misst marca "
    "segna wynosi geeft staat at is are was reads read reading "
    "readings got getting gives meter metered says now it its it's about around approx approximately ca "
    "circa roughly and with w on the a an of measured measures measuring just new update updated hey hi "
    "ok okay so then fyi temp colour color they came come comes in out sits sitting clocks clocked "
    "haben segna fa "
    "sat sitting parked running hovering hovers averaged averages averaging clocked clocking "
    "registers registered registering "
    "zitten staan hangen komen geven meten liegen hängen messen kommen stehen bringen sort sortent tourne "
    "tournent salen sale quedan stanno escono esce danno sta ficam fica dão saem mają dają świecą ligger "
    "und et y och i e showing shows here here's that that's looking ist sind hat bei est sont fait "
    "mesure es son está "
    "mide è misura é são mede zijn meet jest ma like unos unas ongeveer ungefähr etwa "
    "environ około cirka hej hola ciao salut hallo moin servus cześć oi olá bonjour bjr slt"
)
#: Words around a name that are no part of it: "now the bare key again".
BEFORE_NAME = words(
    "except also "
    "ah uh um er erm hm hmm i we i'm we're i've we've i'd get see have read la le les los las el il lo "
    "os as gli um uma een het den det "
    "der die das het same again ditto idem still bare then so also wieder nochmal encore otra igual "
    "outra znowu sorry oops medi medí he medido j'ai mesuré mesure gemessen gemeten misurato ho "
    "misuro uppmätt "
    "re-did redid did remetered re-metered retook retaken redone rechecked re-checked net gerade eben "
    "zmierzyłem zmierzyłam mam mám ich habe hab we've read metered measured"
)
BEHIND_NAME = words(
    "all each both have has he she whatever "
    "unchanged steady op em sur more maybe perhaps nackt jetzt ahora adesso ora agora maintenant teraz "
    "swapped replaced relamped re-lamped warmed settled cleaned tweaked trimmed panned "
    "al alla na przy itself themselves selbst "
    "shy dimmed "
    "dim down set level "
    "gedimmt lowered brought à con avec mit met com same again ditto still bare then also ungelled "
    "warmer cooler greener brighter darker pinker redder bluer wieder nochmal encore igual ohne wärmer "
    "kühler"
)
#: How a light looks, where a word such as "at" stands between it and the numbers.
LOOKS = words("warm cool hot cold green pink magenta bright dim")
#: What is thought of it, and by how much it is so: "way off", "bit green".
VERDICTS = words("off ok okay good fine nice bad ugly dodgy horrid warmer cooler greener high low")
DEGREES = words("bit slightly touch tad little very way too really pretty quite super kinda still rather")
#: Words that say of a source what was not read: "if the key is 5600", "the key should be 5600".
NOT_READ = words(
    "if not isn't isnt aren't don't dont didn't wasn't should would could target aim goal unless or "
    "want wanted need ideally supposed thought think wish expect expected wenn nicht soll sollte si pas "
    "non se niet als jeśli"
)
#: What begins a clause that is no name: "the fill, which I still don't like".
CLAUSES = words(
    "ah uh um er erm hm hmm argh damn copy roger over out which who that i i'm i've i'd i'll we we're "
    "we've you he she they still though but not as because since sorry thanks thank please hey hi hello "
    "ok okay guys boss mate btw fyi just if when while and so oh yes no yeah well finally looks seems "
    "think done good nice great bitte danke leider aber die der das merci mais pero gracias grazie ma"
)
#: What stands in front of a source. A message may name it behind the numbers.
MODIFIERS = words(
    "softbox silk muslin grid gridcloth frame umbrella bounce diffusion eggcrate snoot dish dome "
    "lantern octabox octa reflector honeycomb barndoors flag net chinaball spot flood"
)
#: Those of them that are sources too: "key 5600, bounce 5580".
ALONE = words("bounce lantern chinaball")
#: Words that say how something looks or went, and name nothing.
DESCRIPTIONS = words(
    "or over out copy roger a bit green magenta warm cool bright dim ok okay good now again low high "
    "etwas bisschen leicht sehr wenig peu légèrement très poco ligeramente muy leggermente molto "
    "iets beetje heel trochę lekko lite något mycket "
    "too looks look still same fine flickers flicker flickering hot dark slightly very quite little "
    "way really super pretty kinda basically practically nearly touch tad smidge smidgen bit slight "
    "very little gotten dropped drifted more less done stable "
    "steady drifting drifts after before maybe probably nice clean dirty off tho though lol haha tbh "
    "imo btw fwiw rn atm lmk pls plz thx thanks ta cheers ugh yuck meh wow yikes yay sure certain happy"
)
#: Words that are never counted: "+5 for sure", "+4 coming through".
NOT_COUNTED = words(
    "for from off in on under above near by beside next coming through thru if can can't cannot could "
    "would should i'd you'd we'd they're it'll that'll there here today tonight tomorrow already again "
    "wow yuck ugh meh lol haha für von im vom pour dans sur depuis por para desde en per nel dal voor dla"
)
#: Words that link others, and are no note.
LINKS = words(
    "with a an of and at the by mit einem einer ein eine bei von und avec un une de du des d'un et con "
    "una di del y e com um uma "
    "do da met een van en z o i med av och"
)
#: The same, of what a number says in its sign.
HUES = words(
    "way really super pretty kinda basically a bit little touch tad slightly slight smidge very quite "
    "more less green greenish magenta pink still"
)
#: Words before a kind of source that belong to it: "white LED", "metal halide".
KIND_OF_KIND = words(
    "white daylight metal high low pressure cool warm bicolour bicolor bi-colour tri-band rgb"
)
#: Words before a number that has nothing to do with light.
NOT_LIGHT = words(
    "iso ei asa scene take slate sc tk ch channel dmx address addr serial sn shutter fps lens day page"
)
#: Words that sources are called by for what they do, or for where they are.
ROLES = words(
    "key fill back backlight rim edge hair kicker kick bounce top side front background bg practical "
    "practicals window windows door lamp light panel tube tubes head sun sky kitchen desk table shelf "
    "wall ceiling"
)
#: Words for another reading of the source that was read before, and for how it stood then.
STATES = words(
    "nackt jetzt ahora adesso agora maintenant teraz start startup start-up switch-on struck restrike "
    "sans without w/o gélatine gelatina gelatine no gel none filter folie gel-free same again ditto "
    "dito idem still now then later afterwards next bare open naked ungelled clean uncorrected nogel "
    "raw after before warm-up warmup warming warm-down warmed settled settling recheck re-check "
    "rechecked remeasured re-measured retake second third wieder nochmal erneut danach nachher gleich "
    "gleiche selbe ohne encore pareil puis ensuite nu otra vez igual luego sin stesso ancora poi senza "
    "outra mesmo depois sem zelfde weer daarna zonder znowu potem bez 同じ 再測定"
)
#: Those of them that a note keeps.
TELLING = words(
    "after before later warm-up warmup warming warm-down warmed settled settling recheck re-check"
)
#: Words that may stand between such words and the numbers.
BETWEEN_STATES = words(
    "was were al alla na cold gelled filtered corrected with w behind through thru under at the a an is "
    "are it "
    "its it's reads reading gives measures and on up to lamp source mit hinter durch bei auf avec "
    "derrière à con detrás detras dietro com atrás met achter op z za przy"
)
#: Those that part a gel or a level from what stands before: "…, behind 1/2 CTB 4300".
BEHIND = words("with w behind through thru under mit hinter avec derrière con dietro com met achter")
_MOST_DIGITS = 6


def is_digit(word: str) -> bool:
    """Whether a word is a number below ten."""
    return word.casefold() in _TO_NINE


def sign_said(word: str) -> int:
    """Return 1 or −1 for a word that is a sign, 0 for any other."""
    return _SIGNS.get(word.casefold(), 0)


def number_said(words: Sequence[str]) -> tuple[str, int] | None:
    """Return the number that some words begin with, and how many of them it takes.

    Whole numbers are small and have a sign ("minus three", "plus two and a half"); shares begin with "point".
    None for any others, so that "key two" stays a name.
    """
    folded = [word.casefold().strip(".") for word in words]
    at, sign = 0, ""
    if folded and folded[0] in _SIGNS:
        sign, at = ("-" if _SIGNS[folded[0]] < 0 else "+"), 1
    whole = ""
    if at < len(folded) and folded[at] in _DIGITS:
        whole, at = _DIGITS[folded[at]], at + 1
    if at < len(folded) and folded[at] == "point":
        digits = []
        for word in folded[at + 1 : at + 1 + _MOST_DIGITS]:
            digit = _DIGITS.get(word, "")
            if len(digit) != 1:
                break
            digits.append(digit)
        if digits and whole in ("", "0"):
            return f"{sign}0.{''.join(digits)}", at + 1 + len(digits)
        if not (sign and whole):
            return None
    if not (sign and whole):
        return None
    if (part := _part_said(folded[at:])) is not None:
        share, count = part
        return f"{sign}{whole}{share}", at + count
    return f"{sign}{whole}", at


def _part_said(words: Sequence[str]) -> tuple[str, int] | None:
    """Return what follows a whole number in words, as its digits behind the point, and how many words."""
    if list(words[:3]) in (["and", "a", "half"], ["and", "one", "half"]):
        return ".5", 3
    if list(words[:3]) == ["and", "a", "quarter"]:
        return ".25", 3
    if words[:1] == ["point"] and len(words) > 1 and len(_DIGITS.get(words[1], "")) == 1:
        return f".{_DIGITS[words[1]]}", 2
    return None
