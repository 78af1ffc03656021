"""Lists with remarks, leaders of points, gels called by a colour; what a tap mends. All of it is invented."""

import pytest

from advisor.advice.teaching.possible_rows import all_checked
from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.resources import folder

BASE = read_gels((folder("gels") / "generic.csv").read_bytes())


def test_a_list_whose_lines_have_commas_and_remarks():
    lines = ["full CTO, 2 sheets", "1/2 CTO, 3 sheets, one torn", "1/4 CTO: 6", "1/2 CTB: none left"]
    draft = draft_gels("from the truck:\n\n- " + "\n- ".join(lines), base=BASE)
    assert [(g.name, g.stock, g.note) for g in draft.gels] == [
        ("CTO full", 2, ""),
        ("CTO 1/2", 3, "one torn"),
        ("CTO 1/4", 6, ""),
        ("CTB 1/2", 0, ""),
    ]
    assert draft.to_mend == []


def test_what_a_gel_loses_without_a_unit():
    text = "1/2 CTO - 81 mireds - loses 0.5 - 3 cuts\n1/4 CTO - 42 mireds - loses 0.3 - 5 cuts\n"
    found = [(g.name, g.mired, g.stops, g.stock) for g in draft_gels(text).gels]
    assert found == [("CTO 1/2", 81, 0.5, 3), ("CTO 1/4", 42, 0.3, 5)]


def test_points_that_lead_from_names_to_figures_part_cells():
    rows = ["1/2 CTO ... +81 ..... 0.5 ..... 3", "Full CTB .. -137 .... 1.5 ..... 1"]
    text = "\n".join(["Gel ....... Mired ... Stops ... Qty", *rows])
    found = [(g.name, g.mired, g.stops, g.stock) for g in draft_gels(text).gels]
    assert found == [("CTO 1/2", 81, 0.5, 3), ("CTB full", -137, 1.5, 1)]


def test_families_that_head_strengths_over_green_and_magenta():
    text = (
        "Plus green | G | stops\nfull | 30 | 0.5\n1/2 | 15 | 0.3\nMinus green | M | stops\n1/2 | 15 | 0.5\n"
    )
    found = [(g.name, g.cc, g.stops) for g in draft_gels(text).gels]
    assert found == [("Plus green full", 30, 0.5), ("Plus green 1/2", 15, 0.3), ("Minus green 1/2", -15, 0.5)]


@pytest.mark.parametrize(
    ("text", "at", "likely"),
    [
        ("gel,cc,stops\n-Green 1/2,-15,0.4\n-Green 1/4,(8),0.25\n", 1, ("-8",)),
        ("gel,stops\n1/2 CTO,0.5\nGreen 1/2,0.3\n", 0, ("Plus green 1/2",)),
        ("color;strength;passes\nmagenta;1/4;86%\n", 0, ("Minus green",)),
        ("gel\tmired\n1/2 CTO\t+8l\n", 1, ("+81",)),
    ],
)
def test_a_row_that_cannot_be_taken_offers_what_it_likely_means(text, at, likely):
    (row,) = draft_gels(text, base=BASE).to_mend
    assert row.likely[at] == likely


def test_light_without_a_unit_is_asked():
    draft = draft_gels("gel;light\n1/2 Rosy;-0.5\n1/4 Rosy;-0.3\n", said={})
    assert [(q.says, q.likeliest) for q in draft.asked] == [("column 'light' looks like stops", "stops")]


def test_shifts_that_each_bring_their_unit_are_not_asked_about():
    draft = draft_gels(
        "Half CTO, +79 mired, loses 0.5 stop, 2 sheets\nQuarter plus green, 8G, 0.2 stop, 4 sheets\n"
    )
    assert [(g.name, g.mired, g.cc) for g in draft.gels] == [("CTO 1/2", 79, 0), ("Plus green 1/4", 0, 8)]
    assert draft.asked == []


def test_the_ends_of_a_curve_are_held_with_a_word():
    head = "\t".join(["Transmission %", *(f"{w} nm" for w in range(420, 681, 20))])
    cells = "\t".join(["Full CTO", *(f"{w / 8:.1f}" for w in range(420, 681, 20))])
    (row,) = draft_gels(f"{head}\n{cells}\n", check=all_checked).rows
    assert row.notes == ["measured from 420 to 680 nm: its ends are held as they are"]
    curve = row.gel.transmittance
    assert (row.gel.name, curve.start, curve.step) == ("CTO full", 400, 20)
    assert curve.values == pytest.approx([0.525, *(w / 800 for w in range(420, 681, 20)), 0.85], abs=6e-4)
