"""A sheet that the truck has too little of, counted over all openings, is told where it is to be hung.

The scenario is invented: a ballroom whose tall windows take several sheets a layer, and a stock of three.
"""

import pytest

from advisor.model import GelTable, LightSet, Limits, Opening, Reading, Source, Target

WINDOW = [Opening(width=1.2, height=2.0, count=2)]


@pytest.fixture
def ballroom(stores):
    """Count three sheets of ½ CTO; of the two windows one is small."""
    rows = stores.gels.in_force().table.rows
    counted = [g.model_copy(update={"stock": 3}) if g.name == "CTO 1/2" else g for g in rows]
    stores.gels.replace(GelTable(rows=counted), "counted")
    return stores.sets.create_set(
        LightSet(
            name="Ballroom",
            target=Target(cct=3450),
            limits=Limits(max_layers=3, share_stock=True),
            spare_percent=0,
            sources=[
                Source(name="Window", kind="daylight", reading=Reading(cct=4770, duv=0.001), openings=WINDOW),
            ],
        )
    )


SHORT = "½ CTO is 6 sheets short, the truck has 3."


def test_a_first_line_that_the_truck_cannot_serve_says_so_with_what_there_is(ballroom, get):
    """A layer is a sheet where the stock is shared; over both windows it takes nine."""
    head = get("/sources/1")
    assert "Hang ½ CTO 2 openings: 2 pieces. " + SHORT in head.text
    assert "Hang two ¼ CTO instead: " in head.text and "close" in head.text.split("instead: ")[1][:20]
    assert "there is enough" not in head.text, "it said so of a sheet that was six short"
    assert "½ CTO is 6 short" in get(f"/sets/{ballroom}/pulls").heading
    board = get(f"/sets/{ballroom}")
    assert "½ CTO is 6 short: see Pull" in board.text and f"/sets/{ballroom}/pulls" in board.links


def test_the_pull_list_offers_the_same_stack_though_the_ranking_does_not_list_it(ballroom, get):
    text = get(f"/sets/{ballroom}/pulls").text
    assert "Window: Hang two ¼ CTO" in text.split("Within the stock, instead")[1]


def test_one_tap_plans_what_there_is_and_then_nothing_is_short(ballroom, get, press, stores):
    head = press("plan", ["CTO 1/4", "CTO 1/4"])
    assert stores.sets.get_source(1).source.work.gels == ["CTO 1/4", "CTO 1/4"]
    assert "short" not in head.text and "2 openings: 4 pieces." in head.text
    assert "short" not in get(f"/sets/{ballroom}/pulls").heading + get(f"/sets/{ballroom}").text
    assert "4 × ¼ CTO from the truck" in get(f"/sets/{ballroom}/order").text
    assert "4 cuts take" in get(f"/sets/{ballroom}/pulls").text, "all count pieces: layers over openings"


def test_where_the_stock_is_enough_nothing_is_said(ballroom, get, change):
    change(1, openings=[Opening(width=0.5, height=0.6, count=2)])
    assert "short" not in get("/sources/1").text


def test_what_others_take_of_the_stock_counts_too(ballroom, get, change, stores):
    """Each of two windows alone would have enough."""
    small = [Opening(width=0.5, height=1.2, count=2)]
    change(1, openings=small)
    source = stores.sets.get_source(1).source
    stores.sets.add_source(ballroom, source.model_copy(update={"name": "Door"}))
    assert "½ CTO is 1 sheet short, the truck has 3." in get("/sources/2").text


def test_the_task_of_the_work_order_says_it_of_the_cuts_that_it_sends_for(ballroom, get):
    assert "2 × ½ CTO from the truck, 6 sheets short" in get(f"/sets/{ballroom}/order").text
