"""The gel table as a form saw it, and who changed what in it since."""

from collections.abc import Callable
from itertools import pairwise
from typing import Any

from ...model import GelTable, Refused
from ...store import NotFound, StoredTable
from ..state import state


def table_at(version: int) -> StoredTable:
    """Return the version of the gel table that a form saw; raises Refused where there is none."""
    try:
        return state().gels.get(version)
    except NotFound:
        says = f"{version} is not a version of the table"
        raise Refused.one("version", says, "open the page again") from None


def changed_by(version: int, value: Callable[[GelTable], Any]) -> tuple[str, str]:
    """Return who changed a `value` of the table last since a version, and when; empty where nobody did."""
    for older, newer in reversed(list(pairwise(state().gels.since(version)))):
        if value(older.table) != value(newer.table):
            return newer.who, newer.made_at or ""
    return "", ""
