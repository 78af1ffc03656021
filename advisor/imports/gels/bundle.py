"""A gel table with the curves beside it: as one .zip, or as several files chosen at once."""

import io
import zipfile
import zlib
from collections.abc import Mapping

from ...model import GelTable, Refused
from ...model.basis.base import name_key
from ..text.decode import characters
from .csv_table import is_gel_table, write_gels
from .curves import is_plain_name, write_curves

TABLE = "gels.csv"
MOST_FILES = 251
"""A table, and the curves that are read in a second. Further ones are added after these."""
MOST_BYTES = 20_000_000
"""The largest content of an archive, unpacked: far more than its curves in steps of 1 nm. [byte]"""
_WHERE = "file"
_MADE = (1980, 1, 1, 0, 0, 0)
_ALLOWED = "a .zip of the table and its curves, without folders, as the export makes it"


def pack(table: GelTable) -> bytes:
    """Return a .zip of the table, as ``gels.csv``, and its curves; equal tables give equal bytes."""
    texts = {TABLE: write_gels(table), **write_curves(table)}
    return packed({name: text.encode("utf-8") for name, text in texts.items()})


def packed(files: Mapping[str, bytes]) -> bytes:
    """Return a .zip of files by their names, which `unpack` gives back; equal files give equal bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in files.items():
            info = zipfile.ZipInfo(name, _MADE)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system, info.external_attr = 3, 0o644 << 16
            archive.writestr(info, data)
    return out.getvalue()


def is_archive(data: bytes) -> bool:
    """Whether the bytes begin as a .zip does (a spreadsheet's own file is one too)."""
    return data.startswith((b"PK\x03\x04", b"PK\x05\x06"))


def unpack(data: bytes) -> dict[str, bytes]:
    """Return the files of a .zip by name; nothing is written anywhere.

    Raises Refused for an archive that cannot be read or is encrypted, that holds folders, a name twice,
    over MOST_FILES files or over MOST_BYTES, whatever its own table of contents says.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = [e for e in archive.infolist() if not e.filename.startswith("__MACOSX/")]
            _refuse_entries(entries)
            return {e.filename: _content(archive, e) for e in entries}
    except (zipfile.BadZipFile, zlib.error, EOFError, ValueError, OSError, NotImplementedError) as error:
        if isinstance(error, Refused):
            raise
        says = "this is a spreadsheet or archive file that cannot be opened"
        raise Refused.one(_WHERE, says, f"CSV as plain text, or {_ALLOWED}") from None


def _refuse_entries(entries: list[zipfile.ZipInfo]) -> None:
    names = [e.filename for e in entries]
    if "[Content_Types].xml" in names:
        raise Refused.one(_WHERE, "this is a spreadsheet or archive file, not text", "the sheet saved as CSV")
    if len(names) > MOST_FILES:
        raise _too_many(len(names))
    if paths := [name for name in names if not is_plain_name(name)]:
        says = f"the .zip holds {paths[0][:60]!r}, which is not a plain file name"
        raise Refused.one(_WHERE, says, _ALLOWED)
    if len(set(names)) < len(names):
        twice = next(name for i, name in enumerate(names) if name in names[:i])
        raise Refused.one(_WHERE, f"the .zip holds {twice[:60]!r} twice", "each name once")
    if sum(e.file_size for e in entries) > MOST_BYTES:
        size = sum(e.file_size for e in entries) / 1e6
        raise Refused.one(_WHERE, f"the .zip holds {size:.0f} MB", f"at most {MOST_BYTES / 1e6:.0f} MB")
    if any(e.flag_bits & 1 for e in entries):
        raise Refused.one(_WHERE, "the .zip is encrypted", "one without a password")
    if any(e.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) for e in entries):
        raise Refused.one(_WHERE, "the .zip is packed in an unusual way", "the usual way: deflate")


def _too_many(count: int) -> Refused:
    allowed = f"at most {MOST_FILES}, the table and its curves. Add the others after these"
    return Refused.one(_WHERE, f"there are {count} files", allowed)


def _content(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    with archive.open(entry) as file:
        # The size that is stated bounds what is read, so the sum above holds for what is true as well.
        return file.read(entry.file_size)


def choose_table(files: Mapping[str, bytes], text: str = "") -> tuple[str | bytes, dict[str, bytes]]:
    """Find the gel table among files, or take the pasted text; the rest are the files beside it.

    One .zip stands for the files in it. Raises Refused where none or several are gel tables, and for
    files that no row can name.
    """
    if len(files) == 1 and is_archive(data := next(iter(files.values()))):
        files = unpack(data)
    elif archive := next((name for name, data in files.items() if is_archive(data)), None):
        raise Refused.one(_WHERE, f"{archive[:60]} is an archive among other files", "the .zip alone")
    if len(files) > MOST_FILES:
        raise _too_many(len(files))
    tables = [name for name in files if is_gel_table(files[name])]
    if len(tables) > 1:
        names = " and ".join(name[:60] for name in tables[:2])
        raise Refused.one(_WHERE, f"{names} are gel tables", "one gel table, with the curves that it names")
    if len(files) == 1 and not tables and not text.strip():
        return next(iter(files.values())), {}  # to be told what is wrong with it
    if not tables and not text.strip():
        says = f"none of the {len(files)} files is a gel table"
        raise Refused.one(_WHERE, says, "one with the header family,fraction,…, and the curves that it names")
    table = files[tables[0]] if tables else text
    beside = {name: data for name, data in files.items() if name not in tables}
    _refuse_unnamed(beside, characters(table, where=_WHERE) if beside else "")
    return table, beside


def _refuse_unnamed(beside: Mapping[str, bytes], table: str) -> None:
    """Raise Refused for a file that the table does not name: it would be dropped in silence."""
    folded = name_key(table)
    for name in beside:
        if name_key(name) not in folded:
            says = f"no row of the table names {name[:60]!r}"
            raise Refused.one(_WHERE, says, "only files that stand in the column spectrum")
