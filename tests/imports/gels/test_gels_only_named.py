"""Gels that a text only names, or of which it tells the light alone: what they shift is asked, with a tap."""

import pytest

from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.model import Gel, GelTable
from advisor.resources import folder

SHIPPED: GelTable = read_gels((folder("gels") / "generic.csv").read_bytes())


@pytest.mark.parametrize(
    "name",
    [
        *("CTS full", "full CTS", "Full Straw", "C.T.S.", "colour temperature straw", "ct straw"),
        *("Straw Full", "volles Straw", "full color temp straw"),
    ],
)
def test_straw_is_a_family_of_its_own(name):
    found = draft_gels(f"gel,mired\n{name},150\n1/4 CTO,40\n", base=SHIPPED)
    assert [(g.family, g.fraction, g.mired) for g in found.gels] == [("CTS", "full", 150), ("CTO", "1/4", 40)]
    assert not found.asked


def test_a_colour_without_a_strength_is_a_gel_of_its_own():
    found = draft_gels("Gel,Mired,Sheets\nStraw,60,2\nSteel,-40,3\nhalf straw,80,1\n", base=SHIPPED)
    assert [(g.name, g.mired) for g in found.gels] == [
        ("Straw full", 60),
        ("Steel full", -40),
        ("CTS 1/2", 80),
    ]


def test_a_crew_keeps_its_own_word_for_straw():
    rows = [Gel(family="Straw", fraction="full", mired=140), Gel(family="CTO", fraction="1/2", mired=80)]
    own = GelTable(rows=rows)
    found = draft_gels("3x full CTS\n2x half straw\n1x half CTO\n", base=own)
    assert [(g.name, g.mired, g.stock) for g in found.gels] == [
        ("Straw full", 140, 3),
        ("Straw 1/2", 67, 2),
        ("CTO 1/2", 80, 1),
    ]


@pytest.mark.parametrize(
    ("text", "name", "mired", "cc"),
    [
        ("quarter CTS", "CTS 1/4", 33.5, 0),
        ("1/3 CTO", "CTO 1/3", 44.7, 0),
        ("double CTB", "CTB 2", -268, 0),
        ("3/4 plus green", "Plus green 3/4", 0, 22.5),
        ("three quarter minus green", "Minus green 3/4", 0, -22.5),
    ],
)
def test_what_no_table_has_is_as_the_trade_reckons_and_asked(text, name, mired, cc):
    found = draft_gels(f"2x {text}\n4x half CTO\n", base=SHIPPED)
    assert [(g.name, g.mired, g.cc, g.stock) for g in found.gels] == [
        (name, mired, cc, 2),
        ("CTO 1/2", 80, 0, 4),
    ]
    assert [(q.key, q.likeliest) for q in found.asked] == [("figures", "base")]


def test_light_alone_keeps_the_light_that_was_told():
    found = draft_gels("Gel,Transmission\n1/2 CTS,73%\n1/2 CTO,71%\n", base=SHIPPED)
    assert [(g.name, g.mired, g.stops) for g in found.gels] == [
        ("CTS 1/2", 67, 0.454),
        ("CTO 1/2", 80, 0.494),
    ]
    assert [q.key for q in found.asked] == ["figures"]


def test_what_was_answered_otherwise_is_left_out():
    found = draft_gels("2x quarter CTS\n4x half CTO\n", base=SHIPPED, said={"figures": "leave"})
    assert found.gels == []


@pytest.mark.parametrize(
    ("row", "at", "likely"),
    [
        ("1/2 CTO\t81\t#REF!", 2, ("plenty", "0")),
        ("1/2 CTO\t81\t??", 2, ("plenty", "0")),
        ("1/2 CTO\tsmudged\t3", 1, ("+80",)),
        ("1/4 CTB\tblurred\t3", 1, ("-35",)),
    ],
)
def test_a_cell_that_says_nothing_is_mended_with_one_tap(row, at, likely):
    text = f"Name\tMired\tHave\n{row}\n1/8 CTO\t20\t4\n"
    [wrong] = draft_gels(text, base=SHIPPED).to_mend
    assert wrong.likely == {at: likely}
    assert not draft_gels(text, base=SHIPPED, mended={(wrong.number, at): likely[0]}).to_mend
