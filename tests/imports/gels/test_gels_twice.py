"""What would be wrong in silence: sheets in two columns, gels in two sizes, diffusion, figures left open."""

import pytest

from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.resources import folder

SHIPPED = read_gels((folder("gels") / "generic.csv").read_bytes())


def drafted(text, **said):
    return draft_gels(text, base=SHIPPED, said=said)


def sheets(draft):
    return [(g.name, g.stock) for g in draft.gels]


SIZES = "Gel,Size,Qty,Mired\n1/2 CTO,60 x 50 cm,4,81\n1/2 CTO,120 x 60 cm,1,81\n1/4 CTB,60 x 50 cm,3,-35\n"


@pytest.mark.parametrize(("answer", "counted"), [("add", 5), ("first", 4), ("last", 1)])
def test_a_gel_in_two_sizes_is_asked_about(answer, counted):
    [asked] = drafted(SIZES).asked
    assert asked.key == "twice"
    assert "CTO 1/2 on lines 2 and 3" in asked.says
    draft = drafted(SIZES, twice=answer)
    assert sheets(draft) == [("CTO 1/2", counted), ("CTB 1/4", 3)]
    assert not draft.to_mend


def test_sheets_on_a_roll_and_in_a_pile_are_not_counted_together():
    text = "Item\tSize\tIn stock\tMired\nCTO, half\troll\t2 rolls\t81\nCTO, half\tsheet\t4 sheets\t81\n"
    draft = drafted(text)
    assert {q.key for q in draft.asked} == {"rolls", "twice"}
    assert sheets(draft) == [("CTO 1/2", None)]
    assert sheets(drafted(text, rolls="sheets", twice="add")) == [("CTO 1/2", 6)]


def test_a_gel_that_stands_twice_with_other_figures_is_refused():
    draft = drafted("Gel,Size,Qty,Mired\n1/2 CTO,small,4,81\n1/2 CTO,large,1,60\n")
    assert [row.number for row in draft.to_mend] == [2]


@pytest.mark.parametrize(("answer", "counted"), [("add", 10), ("first", 4), ("last", 6)])
def test_sheets_in_two_columns_are_asked_about(answer, counted):
    text = "Gel,Mired,Truck A sheets,Truck B sheets\n1/2 CTO,81,4,6\n1/4 CTB,-35,0,3\n"
    [asked] = drafted(text).asked
    assert "'Truck A sheets' and 'Truck B sheets'" in asked.says
    assert sheets(drafted(text, stock=answer))[0] == ("CTO 1/2", counted)


def test_no_rolls_count_as_none_and_a_roll_is_plenty_beside_its_sheets():
    draft = drafted("Gel,Mired,Sheets,Rolls\n1/2 CTO,81,4,1\n1/4 CTB,-35,3,0\n")
    assert sheets(draft) == [("CTO 1/2", None), ("CTB 1/4", 3)]
    assert [q.key for q in draft.asked] == ["rolls"]


def test_diffusion_is_left_out_with_a_word_and_an_unknown_colour_is_asked_about():
    text = "Gel,Mired,T,Sheets\n1/2 CTO,81,71%,4\nHeavy frost,,50%,2\nParty red,,12%,1\nND 0.3,,50%,2\n"
    draft = drafted(text)
    assert [g.name for g in draft.gels] == ["CTO 1/2", "ND 0.3"]
    assert draft.layout.left == [(3, "Heavy frost: no gel that corrects, left out")]
    [row] = draft.to_mend
    assert row.wrong[0].says == "nothing says what Party red full does to the colour"
    assert row.doubted


def test_a_figure_that_a_column_leaves_open_is_asked_about():
    text = "gel;mired;stops;sheets\nCTO half;79;0.5;5\nCTO quarter;?;0.3;5\n"
    [asked] = drafted(text).asked
    assert asked.key == "figures"
    assert "without mired: CTO 1/4" in asked.says
    assert [g.mired for g in drafted(text, figures="base").gels] == [79, 40]
    left = drafted(text, figures="leave")
    assert [g.mired for g in left.gels] == [79]
    assert len(left.to_mend) == 1


def test_stops_that_are_said_count_before_those_of_a_density():
    draft = drafted("Filter\tDensity\tStops\nND 0.6\t0.60\t2\nND 0.9\t0.90\t3\n")
    assert [g.stops for g in draft.gels] == [2, 3]
