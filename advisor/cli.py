"""The `advisor` command."""

import argparse
import os
import sqlite3
import sys
from pathlib import Path

from .version import version

PORT = 8080


def main(argv: list[str] | None = None) -> int:
    """Start the server, or do what the command says. Returns the exit status: 0 is well, 1 says why not."""
    parser = _parser()
    asked = parser.parse_args(argv)
    if asked.version:
        runs_on = f"SQLite {sqlite3.sqlite_version}, Python {sys.version.split()[0]}"
        print(f"advisor {version()} ({runs_on})")
        return 0
    if asked.command == "check-gels":
        return check_gels(asked.file)
    try:
        data = asked.data or data_folder()
    except RuntimeError:
        print("advisor: This user has no home folder. Say with --data where the data is.", file=sys.stderr)
        return 1
    if asked.command == "backup":
        return back_up(data, asked.file)
    if asked.command == "restore":
        return restore(data, asked.file)
    if asked.command == "invite":
        from .invite import invite, withdraw

        return withdraw(data) if asked.withdraw else invite(data)
    from .serve import serve

    if (asked.certificate is None) != (asked.key is None):
        parser.error("--certificate and --key belong together: give both, or none")
    return serve(
        data,
        asked.port,
        lan=asked.lan,
        bind=os.environ.get("ADVISOR_BIND") or None,
        pair=(asked.certificate, asked.key) if asked.key else None,
    )


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="advisor", description="On-set gel and correction advisor: without a command, start the server."
    )
    parser.add_argument("--version", action="store_true", help="say which build this is, and what it runs on")
    parser.add_argument("--port", type=_port, default=PORT, help=f"where to listen (default {PORT})")
    parser.add_argument(
        "--data",
        type=Path,
        default=None,
        metavar="DIR",
        help=f"where all data is kept (or set ADVISOR_DATA; now it is {_shown_folder()})",
    )
    parser.add_argument(
        "--lan",
        action="store_true",
        help="let phones on the local network join (at all addresses, or at the one that ADVISOR_BIND names)",
    )
    parser.add_argument(
        "--certificate", type=Path, metavar="FILE", help="serve HTTPS with this certificate (PEM)"
    )
    parser.add_argument("--key", type=Path, metavar="FILE", help="the certificate's key (PEM)")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")
    check = commands.add_parser("check-gels", help="say what is wrong in a gel table, line by line")
    check.add_argument(
        "file",
        type=Path,
        metavar="FILE.csv",
        help="a gel table, as Gels, Export writes it: a row a gel, with family, fraction, mired, cc, stops, "
        "stock and note; curves that it names lie beside it",
    )
    backup = commands.add_parser("backup", help="copy all data to a new file, also while the server runs")
    backup.add_argument("file", type=Path, metavar="FILE", help="where to; a file that is there is kept")
    restored = commands.add_parser(
        "restore",
        help="put a backup in the place of the data, which is kept beside it; stop the server first",
    )
    restored.add_argument(
        "file",
        type=Path,
        metavar="FILE",
        help="made by `advisor backup`, or one of the hourly copies in backups/",
    )
    invited = commands.add_parser(
        "invite",
        help="print a link by which one phone may give roles, for a machine at which nobody sits; it works "
        "beside the running server, once",
    )
    invited.add_argument("--withdraw", action="store_true", help="end the links that nobody has used yet")
    for command in (backup, restored, invited):
        # Left out where it is not given, so that one before the command is not lost.
        command.add_argument(
            "--data", type=Path, default=argparse.SUPPRESS, metavar="DIR", help="where all data is kept"
        )
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


def _shown_folder() -> str:
    try:
        return str(data_folder().absolute()).replace("%", "%%")
    except RuntimeError:  # no home folder
        return "nowhere yet"


def check_gels(file: Path) -> int:
    """Say what is wrong in a gel table, line by line, with the curves that it names beside it."""
    from .advice.teaching.possible_rows import checked
    from .imports.gels.csv_table import read_gels
    from .imports.gels.curves import CurvesInDoubt, Folder
    from .imports.gels.transmittance import CurveAs
    from .model import Refused
    from .web.gels.curves import ask_about

    doubtful = 0
    try:
        try:
            table = read_gels(file.read_bytes(), Folder(file.parent), checked, ask_about)
        except CurvesInDoubt as doubt:
            doubtful = len(doubt.curves)
            for problem in doubt.problems:
                print(f"warning: {problem.where}: {problem}")
            take = {curve.gel: CurveAs(curve.likeliest) for curve in doubt.curves}
            table = read_gels(file.read_bytes(), Folder(file.parent), checked, ask_about, take)
    except OSError as error:
        print(f"advisor: cannot read {file}: {error.strerror}", file=sys.stderr)
        return 1
    except Refused as no:
        for problem in no.problems:
            print(f"{problem.where}: {problem}" if problem.where else str(problem))
        return 1
    measured = sum(gel.transmittance is not None for gel in table.rows)
    curves = f" ({measured} measured)" if measured else ""
    found = f"{doubtful} in doubt, to be asked about at the import" if doubtful else "nothing wrong"
    print(f"{file}: {len(table.rows)} gel{'' if len(table.rows) == 1 else 's'}{curves}, {found}")
    return 0


def back_up(folder: Path, file: Path) -> int:
    """Copy all data to a new file."""
    from .store.file import backup
    from .store.file.faults import StoreFault

    try:
        backup.back_up(folder, file)
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
        return 1
    print(f"All data of {folder} is in {file}. To put it back: advisor restore FILE")
    return 0


def restore(folder: Path, file: Path) -> int:
    """Put a backup in the place of the data."""
    from .store.file import restore as restoring
    from .store.file.faults import StoreFault

    try:
        aside = restoring.restore(folder, file)
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
        return 1
    print(f"The data in {folder} is that of {file}. Every phone has to join again.")
    if aside:
        print(f"What was there is kept in {aside}")
    return 0
