"""The first row of every page: where it leads, and where one is."""

from collections.abc import Collection
from dataclasses import dataclass

from flask import request, url_for

from .access.sessions import people, person

_OF_SETS = {
    *("sets", "sources", "work", "paste", "compare", "pulls", "openings", "formats"),
    *("light", "light_asked", "whites", "next_plans", "lamps", "together", "orders"),
    *("record", "mend", "undo", "from_heads", "keep_readings"),
}
_OF_HEADS = {"test_paste", "heads_beside", "known_heads", "head_tests", "test_sheet", "head_exchange"}


@dataclass(frozen=True)
class NavLink:
    """A link; `current` is its `aria-current`: this page, one of its area, or neither.

    `roomy` needs room; `rest` is what of its words is not shown where there is little.
    """

    url: str
    words: str
    current: str
    roomy: bool = False
    rest: str = ""


def nav_links() -> tuple[NavLink, ...]:
    """Return the links for whoever asks; on the network the host has one more, to the phones."""
    lan = people().lan is not None
    links = [
        _link("quick.quick_check", "Quick", ("quick",), rest="check"),
        _link("sets.list_sets", "Sets", _OF_SETS),
        _link("known_heads.list_heads", "Heads", _OF_HEADS),
        _link("gels.show_table", "Gels", ("gels", "gel_import", "teach", "truck")),
        _link(
            "look.show_choices",
            "Settings",
            ("look", "about", "join") if lan else ("look", "about", "join", "host"),
        ),
    ]
    if lan and person().host:
        current = "page" if request.blueprint == "host" else ""
        links.append(NavLink(url_for("host.show_host"), "Phones", current, roomy=True))
    return tuple(links)


def _link(endpoint: str, words: str, areas: Collection[str], rest: str = "") -> NavLink:
    current = "true" if request.blueprint in areas else ""
    return NavLink(url_for(endpoint), words, "page" if request.endpoint == endpoint else current, rest=rest)
