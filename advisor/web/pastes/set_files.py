"""The file of a set, read apart: its history comes back as the rows that are to be written.

There may be 100 000 of them, and values of the model take twenty times as long to hand over as text does.
"""

from ...imports.set_file import read_whole
from ...model.sets.whole import Whole
from ...store.sets.whole import HistoryRow, history_rows
from ..live.aside import read_apart

_SHORT = 100_000
"""A file of at most so many signs is read at once, a longer one aside. [sign]"""
_PATIENCE = 0.3
"""So long a request waits for the file: it has to be written too. [s]"""


def read_set_file(text: str) -> tuple[Whole, list[HistoryRow]]:
    """Return what the file of a set holds, without its history, and that.

    One that is long is read aside. Raises Refused, and Working while it is read.
    """
    if len(text) <= _SHORT:
        return in_parts(text)
    fields = {"text": text}
    return read_apart([text], in_parts, text, what="The file", fields=fields, patience=_PATIENCE)


def in_parts(text: str) -> tuple[Whole, list[HistoryRow]]:
    """Read a file; see `read_set_file`. Raises Refused."""
    whole = read_whole(text)
    return whole.model_copy(update={"history": []}), history_rows(whole.history)
