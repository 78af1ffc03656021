"""Single cells of a table's CSV: what a spreadsheet does to them, and how it is undone."""

import re

#: The columns that hold text, which a spreadsheet may take for a formula.
PARTS = frozenset({"family", "fraction", "note", "known", "spectrum"})

_FORMULA = re.compile(r"'*[=+\-@\t\r＝＋－＠]")
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


def escape(text: str) -> str:
    """Put an apostrophe before text that a spreadsheet would run as a formula (OWASP, CSV injection).

    Text that begins with apostrophes and then such a sign gets one more, so that `unescape` is exact.
    """
    return "'" + text if _FORMULA.match(text) else text


def unescape(text: str) -> str:
    """Take off the apostrophe that `escape` put there."""
    return text[1:] if text.startswith("'") and _FORMULA.match(text) else text


def written(value: float | None) -> str:
    """Write a number so that it reads back as the same; nothing for None."""
    if value is None:
        return ""
    return str(int(value)) if value == int(value) else repr(value)


def plain_fraction(text: str) -> str:
    """Undo what spreadsheets make of 1/4: a date such as "4-Jan", "01-Apr" or "2025-01-04".

    No fraction of a gel is a date, and its smaller number always stands above, so nothing is guessed:
    whichever of day and month the spreadsheet took it for, 1/4 comes back. Other text stays as it is.
    """
    folded = text.casefold().strip()
    named = re.fullmatch(r"(\d{1,2})\.?[-/ ]([a-z]{3})\.?|([a-z]{3})\.?[-/ ](\d{1,2})", folded)
    month = (named[2] or named[3]) if named else ""
    if named and month in _MONTHS:
        parts = [int(named[1] or named[4]), _MONTHS.index(month) + 1]
    else:
        dated = re.fullmatch(r"\d{4}-(\d{1,2})-(\d{1,2})(?:[ t]00:00(?::00)?)?", folded) or re.fullmatch(
            r"(\d{1,2})[./-](\d{1,2})[./-](?:19|20)\d\d", folded
        )
        if not dated:
            return text
        parts = [int(dated[1]), int(dated[2])]
    return f"{min(parts)}/{max(parts)}"
