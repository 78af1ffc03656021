"""Signs that mean the same, made one: full-width letters and digits, minus signs, spaces.

Each sign becomes one sign, so that what stands in the text at an index stays there.
"""

import re

_FULL_WIDTH = {0xFF01 + i: chr(0x21 + i) for i in range(94)}
_OTHERS = {
    "\u3000": " ",
    "、": ",",
    "，": ",",
    "〜": "~",
    "٫": ".",
    "٬": "'",
    "⁄": "/",
    **{chr(start + i): str(i) for start in (0x0660, 0x06F0, 0x0966) for i in range(10)},
}
_ONE = str.maketrans({**{chr(c): s for c, s in _FULL_WIDTH.items()}, **_OTHERS})
_MINUS = re.compile(r"(?<![\w.,)%])[‐‑‒–—−﹘﹣⁻➖˗](?=[.,]?\d)")
# Spaces that a typesetter puts between thousands: they part no cells.
_THOUSANDS = re.compile(r"(?<=\d)[\u00a0\u2007\u2009\u202f](?=\d{3}(?!\d))")
_SPACES = re.compile(r"[\u00a0\u2000-\u200a\u202f\u205f]")


def plain(text: str) -> str:
    """Return a text of the same length in plain signs: “５４８０ Ｋ” is “5480 K”, “−0.004” is “-0.004”.

    A dash that begins no number stays, and so does one between two numbers. A space between thousands
    becomes an apostrophe, which parts thousands too.
    """
    if text.isascii():
        return text
    text = _THOUSANDS.sub("'", text.translate(_ONE))
    return _SPACES.sub(" ", _MINUS.sub("-", text))
