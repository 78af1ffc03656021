"""Signs in front of lines that say nothing of a gel: ticks, ranks of markdown, "#" over numbers of rows."""

import re

from ...vocabulary.gel_headings import GelColumn, understand_gel_heading
from ...vocabulary.gel_names import known_family

_TICKED = re.compile(r"^\s*(?:[-*]\s)?(?:\[[ xX✓]?\]|[☐☑✓✔✅])\s+")
_NUMBERED = re.compile(r"^(\s*(?:\|\s*)?)#(?=\s*[;,\t|]|\s{2,}[^\W\d_])")
"""A heading over the numbers of rows, which is no comment."""
_TITLED = re.compile(r"\s*[^\W\d_]{3,20}\s*[:=]\s*([^:=]+?)\s*")
_LONGEST = 200


def without_rank(line: str) -> str:
    """Take off the signs by which markdown makes a family a heading: other such lines are comments."""
    line = _TICKED.sub("", line)
    if (numbered := _NUMBERED.match(line)) and _names_columns(line[:_LONGEST]):
        return f"{numbered[1]}No{line[numbered.end() :]}"
    if (title := _TITLED.fullmatch(line[:_LONGEST])) and known_family(title[1]):
        return title[1]  # "Type: CTO"
    told = line.lstrip("#")
    return told.strip() if told != line and known_family(told.strip(" :")) else line


def _names_columns(line: str) -> bool:
    """Whether a line heads a column of names, and one of figures."""
    said = {
        h.column for c in re.split(r"[;,\t|]|\s{2,}", line) if (h := understand_gel_heading(c)) is not None
    }
    return bool(said & {GelColumn.NAME, GelColumn.FAMILY}) and len(said - {GelColumn.UNUSED}) > 1
