"""The `advisor` command."""

import argparse
import os
import sqlite3
import sys
from pathlib import Path

from . import __version__

PORT = 8080


def main(argv: list[str] | None = None) -> int:
    """Start the server, or check a gel table. Returns the exit status: 0 is well, 1 says what is wrong."""
    parser = _parser()
    asked = parser.parse_args(argv)
    if asked.command == "check-gels":
        return check_gels(asked.file)
    from .serve import serve

    return serve(asked.data or data_folder(), asked.port)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="advisor", description="On-set gel and correction advisor: without a command, start the server."
    )
    version = f"advisor {__version__} (SQLite {sqlite3.sqlite_version}, Python {sys.version.split()[0]})"
    parser.add_argument("--version", action="version", version=version)
    parser.add_argument(
        "--port", type=_port, default=PORT, help=f"where to listen on 127.0.0.1 (default {PORT})"
    )
    parser.add_argument(
        "--data",
        type=Path,
        default=None,
        metavar="DIR",
        help="where the database lives (or set ADVISOR_DATA)",
    )
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    check = commands.add_parser("check-gels", help="say what is wrong in a gel table, line by line")
    check.add_argument("file", type=Path, metavar="FILE.csv")
    return parser


def _port(text: str) -> int:
    if not text.isdecimal() or not 0 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(
            f"{text!r} is not a port: allowed are 1 to 65535, or 0 for a free one"
        )
    return int(text)


def data_folder() -> Path:
    """Return where the data lives if nobody says: the folder that the system keeps for it."""
    if named := os.environ.get("ADVISOR_DATA"):
        return Path(named)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", Path.home() / "AppData" / "Local")) / "gel-advisor"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "gel-advisor"
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "gel-advisor"


def check_gels(file: Path) -> int:
    """Say what is wrong in a gel table, line by line, with the curves that it names beside it."""
    from .advice.teach import checked
    from .imports.gel_csv import read_gels
    from .imports.gel_csv_curves import Folder
    from .model import Refused

    try:
        table = read_gels(file.read_bytes(), Folder(file.parent), checked)
    except OSError as error:
        print(f"advisor: cannot read {file}: {error.strerror}", file=sys.stderr)
        return 1
    except Refused as no:
        for problem in no.problems:
            print(f"{problem.where}: {problem}" if problem.where else str(problem))
        return 1
    measured = sum(gel.transmittance is not None for gel in table.rows)
    curves = f" ({measured} measured)" if measured else ""
    print(f"{file}: {len(table.rows)} gel{'' if len(table.rows) == 1 else 's'}{curves}, nothing wrong")
    return 0
