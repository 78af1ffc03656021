"""The file of heads (`model.sets.head_file`) read back; or why it is none, in words."""

from ..model.sets.head_file import HEADS_FORMAT, HeadFile
from . import own_file
from .own_file import OwnFile

_EXPORTED = "a file that the advisor saved with Export, under Heads"
_OWN = OwnFile(
    field="advisor_heads",
    format=HEADS_FORMAT,
    called="file of heads",
    short="file of heads",
    saved_with="Export",
    exported=_EXPORTED,
    elsewhere="a table of a head's test goes in at its test",
    others=(("advisor_set", "this is the record of a set: import it under Sets"),),
)


def heads_text_of(data: bytes) -> str:
    """Return the text of a file, in whichever of its encodings JSON is written. Raises Refused."""
    return own_file.text_of(data, _EXPORTED)


def read_heads(text: str) -> HeadFile:
    """Read a file that `HeadFile.to_json` wrote. Raises Refused, which says where in the file."""
    return own_file.read_own(text, _OWN, HeadFile)
