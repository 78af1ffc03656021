"""`advisor invite`: a link for one phone that may then give roles, where nobody sits at the machine."""

import sys
from pathlib import Path
from typing import Any

from .store.crew.invites import LIFE, Invites
from .store.file.faults import StoreFault
from .store.file.lock import told_by_holder
from .terminal import show_qr
from .web.access.lan import Lan


def invite(folder: Path) -> int:
    """Make a link beside the server that holds the data folder, and print it. Returns the exit status."""
    try:
        lan = _lan(told_by_holder(folder), folder)
        code = Invites(folder).make()
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
        return 1
    first, *others = (f"{url}join/{code}" for url in lan.urls())
    minutes = int(LIFE.total_seconds() // 60)
    print(f"Open this on the phone that is to give roles. It works once, within {minutes} minutes:")
    print(f"  {first}")
    for other in others:
        print(f"  or {other}")
    print("To withdraw it: advisor invite --withdraw, or the page Phones.")
    if not lan.secure:
        print("This is plain HTTP: whoever is on this network can read along, and so become the host, too.")
    show_qr(first)
    return 0


def withdraw(folder: Path) -> int:
    """End all links that nobody has used yet. Returns the exit status."""
    try:
        invites = Invites(folder)
        count = sum(invites.withdraw(each.name) for each in invites.pending())
    except StoreFault as fault:
        print(f"advisor: {fault}", file=sys.stderr)
        return 1
    print(f"{count} link{'' if count == 1 else 's'} withdrawn." if count else "No link was open.")
    return 0


def _lan(told: dict[str, Any] | None, folder: Path) -> Lan:
    """Return the network that the running server is open to; raises StoreFault where there is none."""
    if told is None:
        raise StoreFault(
            f"No advisor runs over the data folder {folder}. Start it with --lan, then run this again; "
            "or give the folder that it runs over with --data."
        )
    if not told.get("port"):
        raise StoreFault(
            f"The advisor over the data folder {folder} is open to this machine alone. "
            "Start it with --lan, then run this again."
        )
    return Lan(int(told["port"]), secure=bool(told.get("secure")), bind=told.get("bind"))
