"""Words of a message that are signs, numbers or nothing: "plus", "minus three", "point oh oh four"."""

from collections.abc import Sequence

from .words import words

_SIGNS = {
    **dict.fromkeys(("plus", "positive", "pos"), 1),
    **dict.fromkeys(("minus", "negative", "neg"), -1),
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
GREEN = frozenset({"green", "grn"})
MAGENTA = frozenset({"magenta", "mag"})
#: Words that stand between a name and its numbers, or around them, and say nothing of their own.
FILLERS = words(
    "at is are was reads read reading readings got getting gives meter metered says now it its it's about "
    "around approx approximately ca circa roughly and with w on the a an of measured measures measuring "
    "just new update updated hey hi ok okay so then fyi temp colour color"
)
#: What stands in front of a source. A message may name it behind the numbers.
MODIFIERS = words("softbox silk muslin grid gridcloth frame umbrella bounce diffusion eggcrate snoot")
#: Words that say how something looks or went, and name nothing.
DESCRIPTIONS = words(
    "a bit green magenta warm cool bright dim ok okay good now again low high too looks look still same "
    "fine flickers flicker flickering hot dark slightly very quite little more less done stable steady "
    "drifting drifts after before maybe probably nice clean dirty off"
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
_MOST_DIGITS = 6


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
