"""How much a text may hold, looked at before anything is made of it: what takes long is refused at once."""

from ...model import Refused

MOST_LINES = 40_000
"""The most lines, empty ones too."""
LONGEST_LINE = 20_000
"""The longest line of a text that is no JSON, XML or web page. [sign]"""
MOST_IN_A_LINE = 2000
"""The most cells of one line of such a text."""
MOST_CELLS = 100_000
"""The most cells of all its lines."""
MOST_RECORDS = 5000
"""The most objects and lists of a JSON text."""
MOST_TAGS = 20_000
"""The most tags of a web page."""
MOST_ELEMENTS = 40_000
"""The most tags of XML: a file of spectra has two for each wavelength."""
_PARTS = "Give it in parts"
_MARKS = ("\t", ";", ",", "|")
"""What may stand between two cells. Columns set apart by spaces are bounded by the line."""


def refuse_large(text: str, where: str) -> None:
    """Raise Refused, at `where`, for a text that holds more than is read."""
    lines = text.count("\n") + 1
    if lines > MOST_LINES:
        says = f"the text has {_said(lines)} lines"
        raise Refused.one(where, says, f"at most {_said(MOST_LINES)}. {_PARTS}")
    first = text.lstrip()[:1]
    if first in ("{", "["):
        records = text.count("{") + text.count("[")
        if records > MOST_RECORDS:
            says = f"the JSON has {_said(records)} objects and lists"
            raise Refused.one(where, says, f"at most {_said(MOST_RECORDS)}. {_PARTS}")
    elif first == "<":
        tags, most = text.count("<"), MOST_ELEMENTS if "IESTM2714" in text[:2000] else MOST_TAGS
        if tags > most:
            raise Refused.one(where, f"the text has {_said(tags)} tags", f"at most {_said(most)}. {_PARTS}")
    else:
        refuse_cells(text, where, MOST_CELLS)
        _refuse_long_lines(text, where)


def refuse_cells(text: str, where: str, most: int) -> None:
    """Raise Refused for a text of more cells than `most`."""
    cells = sum(text.count(mark) for mark in _MARKS)
    if cells > most:
        raise Refused.one(where, f"the text has {_said(cells)} cells", f"at most {_said(most)}. {_PARTS}")


def _refuse_long_lines(text: str, where: str) -> None:
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            says = f"line {number} has {_said(len(line))} characters"
            raise Refused.one(where, says, f"at most {_said(LONGEST_LINE)} in a line")
        if len(line) > MOST_IN_A_LINE:
            most = max(line.count(mark) for mark in _MARKS) + 1
            if most > MOST_IN_A_LINE:
                says = f"line {number} has {_said(most)} cells"
                raise Refused.one(where, says, f"at most {_said(MOST_IN_A_LINE)} in a line")


def _said(count: int) -> str:
    return f"{count:,}".replace(",", " ")
