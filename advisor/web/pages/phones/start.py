"""Where a phone begins: at its own last page, else at today's set."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from urllib.parse import unquote

from flask import Blueprint, Response, current_app, redirect, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException

from ....store import NotFound
from ...access.guard import ours
from ...state import state

blueprint = Blueprint("start", __name__)
LAST_PAGE = "last"
"""The cookie in which a page keeps its address (`static/place.js`); browsers send it to `/start` alone."""
_NO_PLACE = {"start", "join", "live", "api", None}
"""Areas that are nowhere to go on."""


@blueprint.get("/start")
def go_on() -> ResponseReturnValue:
    """Lead to the page that this phone showed last, if it is still there; else to today's set."""
    return redirect(_last_page() or _of_today())


@blueprint.get("/today")
def show_today() -> ResponseReturnValue:
    """Lead to today's set."""
    return redirect(_of_today())


@blueprint.get("/worker.js")
def show_worker() -> Response:
    """Send what keeps pages readable without the link: from the root, since it is for all pages below."""
    return current_app.send_static_file("worker.js")


def _last_page() -> str:
    """Return the address of the page that this phone showed last; nothing where there is none any more."""
    address = ours(unquote(request.cookies.get(LAST_PAGE, "")))
    routes = current_app.url_map.bind_to_environ(request.environ)
    try:
        endpoint, values = routes.match(address.partition("?")[0] or "-", method="GET")
        there = endpoint.partition(".")[0] not in _NO_PLACE and "." in endpoint and _is_kept(values)
    except (HTTPException, NotFound):
        return ""
    return address if there else ""


def _is_kept(values: Mapping[str, Any]) -> bool:
    """Whether what an address is about was not removed; raises NotFound where there never was one."""
    sets = state().sets
    if "source_id" in values:
        source = sets.get_source(values["source_id"])
        return not source.deleted and _is_kept({"set_id": source.set_id})
    return "set_id" not in values or sets.get_set(values["set_id"]) is not None


def _of_today() -> str:
    """Return the address of the set that was changed last, if that was today; else of the list of sets."""
    sets = state().sets.list_sets()  # the one changed last first
    newest = next((one for one in sets if not one.sample), sets[0] if sets else None)
    if newest is None or _day(newest.changed_at) != datetime.now().astimezone().date():
        return url_for("sets.list_sets")
    return url_for("sets.show_set", set_id=newest.id)


def _day(at: str) -> date:
    """Return the day of a time of the store, in this machine's zone."""
    return datetime.fromisoformat(at).astimezone().date()
