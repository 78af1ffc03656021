"""Words without what tells one spelling from another: accents, and the bar of ł."""

import unicodedata


def without_accents(text: str) -> str:
    """Return text without accents; the marks of kana stay, which make another sound of a sign."""
    apart = unicodedata.normalize("NFD", text.replace("ł", "l").replace("ı", "i"))
    return unicodedata.normalize(
        "NFC", "".join(c for c in apart if unicodedata.category(c) != "Mn" or c > "\u3000")
    )
