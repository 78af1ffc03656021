"""The `advisor` command."""

import argparse
import os
import sqlite3
import sys
from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from .version import version

PORT = 8080


def main(argv: list[str] | None = None) -> int:
    """Start the server, or do what the command says. Returns the exit status: 0 is well, 1 says why not."""
    try:
        status = _done(argv)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read has ended, as `head` does: what is left goes nowhere (Python, signal, Note on SIGPIPE).
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1
    return status


def _done(argv: list[str] | None) -> int:
    parser = _parser()
    words = sys.argv[1:] if argv is None else argv
    refuse_unknown(parser, words)
    asked = parser.parse_args(words)
    if asked.version:
        runs_on = f"SQLite {sqlite3.sqlite_version}, Python {sys.version.split()[0]}"
        print(f"advisor {version()} ({runs_on})")
        return 0
    if asked.command == "check-gels":
        from .commands.check_gels import check_gels

        return check_gels(asked.file)
    if asked.command == "advise":
        from .commands.advise import advise

        return advise(asked)
    if asked.command == "bundle":
        from .commands.bundle import bundle

        return bundle(asked.folder)
    try:
        data = asked.data or data_folder()
    except RuntimeError:
        print("advisor: This user has no home folder. Say with --data where the data is.", file=sys.stderr)
        return 1
    if asked.command == "backup":
        from .commands.data import back_up

        return back_up(data, asked.file)
    if asked.command == "restore":
        from .commands.data import restore

        return restore(data, asked.file)
    if asked.command == "invite":
        from .invite import invite, withdraw

        return withdraw(data) if asked.withdraw else invite(data)
    from .serve import serve

    if (asked.certificate is None) != (asked.key is None):
        parser.error("--certificate and --key belong together: give both, or none")
    if asked.https and asked.key:
        parser.error("--https makes a certificate of its own: leave out --certificate and --key, or --https")
    if asked.https and not asked.lan:
        parser.error("--https belongs to --lan: on this machine alone nobody reads along")
    return serve(
        data,
        asked.port,
        lan=asked.lan,
        bind=os.environ.get("ADVISOR_BIND") or None,
        pair=(asked.certificate, asked.key) if asked.key else None,
        https=asked.https,
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
        "--https",
        action="store_true",
        help="with --lan: serve HTTPS with a certificate of this laptop's own, which each phone trusts once",
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
        help="a gel table (- for stdin), as Gels, Export writes it: a row a gel, with family, fraction, "
        "mired, cc, stops, stock and note; curves that it names lie beside it",
    )
    _add_advise(commands)
    bundled = commands.add_parser(
        "bundle",
        help="put the advisor and all that it needs into a folder, to start it on another machine like this "
        "one without internet",
    )
    bundled.add_argument("folder", type=Path, metavar="DIR", help="a new or empty folder")
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


def _add_advise(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    advise = commands.add_parser(
        "advise",
        help="say what to hang, without a server: exit status 0 where gel likely brings every source within "
        "its tolerance, 3 where it does not, 1 where something was not understood",
    )
    advise.add_argument(
        "reading",
        nargs="+",
        metavar="CCT DUV",
        help="what the meter reads, such as 5600 +0.004; or - for a pasted text on stdin",
    )
    advise.add_argument("--to", default="5600", metavar="CCT", help="the white to match, in K (default 5600)")
    advise.add_argument(
        "--locus",
        choices=("daylight", "planckian"),
        help="without it daylight, and Planckian below 4 000 K",
    )
    advise.add_argument("--kind", default="unknown", metavar="KIND", help="of the lamp, such as led-white")
    advise.add_argument("--lux", metavar="LX", help="illuminance, if it was read")
    advise.add_argument("--tolerance", metavar="STEPS", help="what still counts as matched (default 3)")
    advise.add_argument("--layers", metavar="N", help="the most gels in a stack (default 3)")
    advise.add_argument("--gels", type=Path, metavar="FILE", help="a gel table in place of the generic one")
    advise.add_argument("--json", action="store_true", help="answer as POST /api/v1/advice does")


def refuse_unknown(parser: argparse.ArgumentParser, words: Sequence[str]) -> None:
    """End with a word on the first option that is none: argparse takes what follows it for a command."""
    [commands] = [a.choices for a in parser._actions if isinstance(a, argparse._SubParsersAction)]
    known = set(parser._option_string_actions)
    for word in words:
        if word in commands:
            known |= set(commands[word]._option_string_actions)
            break
    for word in words:
        name = word.partition("=")[0]
        if word == "--":
            return
        if name.startswith("--") and not any(one.startswith(name) for one in known):
            near = get_close_matches(name, sorted(known), 1)
            meant = f"did you mean {near[0]}?" if near else "see advisor --help"
            parser.error(f"{name} is unknown: {meant}")


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
