"""The file of a set (`model.sets.whole`) read back; or why it is none that can be restored, in words."""

from ..model.sets.whole import FORMAT, Whole
from . import own_file
from .own_file import OwnFile

_EXPORTED = "a file that the advisor saved with Export"
_OWN = OwnFile(
    field="advisor_set",
    format=FORMAT,
    called="record of a set",
    short="record",
    saved_with="Export",
    exported=_EXPORTED,
    elsewhere="readings go in by Paste readings, gels by the gel table's import",
    others=(("advisor_heads", "this is a file of heads: import it under Heads"),),
)


def text_of(data: bytes) -> str:
    """Return the text of a file, in whichever of its encodings JSON is written. Raises Refused."""
    return own_file.text_of(data, _EXPORTED)


def read_whole(text: str) -> Whole:
    """Read a file that `Whole.to_json` wrote. Raises Refused, which says where in the file."""
    return own_file.read_own(text, _OWN, Whole)
