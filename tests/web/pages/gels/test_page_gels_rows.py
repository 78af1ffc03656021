"""A row of the gel table: its swatch, how it is known, and its sheets by taps."""

import re

from advisor.model import GelTable, Known


def test_a_row_has_its_swatch_and_the_mark_of_how_it_is_known(get, stores):
    page = get("/gels")
    rows = stores.gels.in_force().table.rows
    assert len(re.findall(r'<svg class="patch"[^>]*><rect [^>]*fill="#[0-9a-f]{6}"', page.html)) == len(rows)
    assert page.html.count('<span class="known label"') == len(rows) + 1, "and one in the legend"
    taught = rows[0].model_copy(update={"known": Known.TAUGHT})
    stores.gels.replace(GelTable(rows=[taught, *rows[1:]]), "taught")
    assert get("/gels").html.count('<span class="known taught"') == 2


def test_sheets_are_counted_by_taps_and_below_none_is_plenty(get, post, stores):
    def stock():
        return stores.gels.in_force().table.find("CTO 1/4").stock

    for by, count in (("1", 1), ("1", 2), ("-1", 1), ("-1", 0), ("-1", None), ("-1", None)):
        page = post("/gels/stock", {"name": "CTO 1/4", "by": by})
        assert (page.status, stock()) == (200, count)
    assert stores.gels.in_force().why == "one sheet less of ¼\N{NO-BREAK SPACE}CTO"


def test_a_gel_is_taken_out_of_use_on_its_own_page(get, post, stores):
    assert "Take it out of use" in get("/gels/edit?name=CTO+1%2F4").text
    post("/gels/switch", {"name": "CTO 1/4", "on": ""})
    assert "Use it again" in get("/gels/edit?name=CTO+1%2F4").text
