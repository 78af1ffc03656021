"""Gel tables in further languages and layouts, each with what is truly in it: see `further.txt`.

All of it is invented. A table stands under a line that begins with @@, what is in it under ---: a gel a
line, with those of its figures that the table gives. Words of the trade: common practice, no source.
"""

import re
from pathlib import Path

import pytest

from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.resources import folder

SHIPPED = read_gels((folder("gels") / "generic.csv").read_bytes())
CASES = [
    (title, *body.split("\n---\n"))
    for title, _, body in (
        part.partition("\n")
        for part in (Path(__file__).parent / "further.txt").read_text(encoding="utf-8").split("@@ ")[1:]
    )
]
FIELDS = {"mired": "mired", "cc": "cc", "stops": "stops", "sheets": "stock", "note": "note"}


def told(lines):
    for line in lines.strip().splitlines():
        name, _, figures = line.partition(":")
        yield name, re.findall(r"(mired|cc|stops|sheets|note) ([^,]+)", figures)


@pytest.mark.parametrize(("title", "text", "truth"), CASES, ids=[title for title, _, _ in CASES])
def test_every_gel_is_read_with_its_figures_and_nothing_else(title, text, truth):
    draft = draft_gels(text + "\n", base=SHIPPED)
    gels = {gel.name.casefold(): gel for gel in draft.gels}
    wanted = dict(told(truth))
    assert sorted(gels) == sorted(name.casefold() for name in wanted)
    assert not draft.to_mend
    for name, figures in wanted.items():
        for word, value in figures:
            found = getattr(gels[name.casefold()], FIELDS[word])
            if word == "note":
                assert found == value
            elif value == "plenty":
                assert found is None
            else:
                assert found == pytest.approx(float(value), abs=0.06 if word == "mired" else 0.002)
    assert not draft.asked or title.startswith("no headings")


HEAD = "Gel\tMired\tStops\n"


@pytest.mark.parametrize(
    ("name", "mired", "likely"),
    [("Xyzzy CTO", 80, "CTO 1/2"), ("CTB plugh", -33, "CTB 1/4"), ("I CTB", -150, "CTB full")],
)
def test_a_word_beside_a_family_that_may_be_a_strength_is_asked_with_what_the_figure_says(
    name, mired, likely
):
    draft = draft_gels(f"{HEAD}Full CTO\t134\t0.7\n{name}\t{mired}\t0.5\n", base=SHIPPED)
    assert [gel.name for gel in draft.gels] == ["CTO full"]
    (row,) = draft.to_mend
    assert row.likely == {0: (likely,)}
    mended = draft_gels(
        f"{HEAD}Full CTO\t134\t0.7\n{name}\t{mired}\t0.5\n", mended={(2, 0): likely}, base=SHIPPED
    )
    assert [gel.name for gel in mended.gels] == ["CTO full", likely]


def test_a_word_beside_a_family_is_taken_as_it_is_where_somebody_looked_at_it():
    text = f"{HEAD}Xyzzy CTO\t80\t0.5\n"
    draft = draft_gels(text, mended={(1, 0): "Xyzzy CTO"}, base=SHIPPED)
    assert [gel.name for gel in draft.gels] == ["Xyzzy CTO full"]


def test_columns_that_look_swapped_are_asked_about_and_a_tap_swaps_them():
    text = "Gel\tStops\tMired\nFull CTO\t160\t0.9\nHalf CTB\t-67\t0.9\n"
    draft = draft_gels(text, base=SHIPPED)
    assert {q.key: q.likeliest for q in draft.asked} == {"column 2": "mired", "column 3": "stops"}
    done = draft_gels(text, base=SHIPPED, said={"column 2": "mired", "column 3": "stops"})
    assert [(g.name, g.mired, g.stops) for g in done.gels] == [("CTO full", 160, 0.9), ("CTB 1/2", -67, 0.9)]
    assert not done.asked


def test_a_row_whose_cells_stand_under_no_heading_is_refused_and_not_moved_to_the_left():
    text = "Gel  Mired  CC  Stops  Sheets\nHalf CTO      80           0.5\nFull CTO  160  0  0.9  2\n"
    draft = draft_gels(text, base=SHIPPED)
    assert [gel.name for gel in draft.gels] == ["CTO full"]
    assert "the row has 3 cells and the header 5" in draft.to_mend[0].wrong[0].says


def test_a_green_gel_of_which_only_the_mired_is_told_has_its_green_from_the_table_in_force():
    draft = draft_gels(f"{HEAD}Half CTO\t80\t0.5\nHalf minus green\t2\t0.4\n", base=SHIPPED)
    own = next(gel for gel in SHIPPED.rows if gel.name == "Minus green 1/2")
    assert draft.gels[1].cc == own.cc
    assert draft.rows[1].notes == ["cc as in your table"]


def test_green_in_duv_is_brought_to_cc_though_its_heading_says_green_first():
    (gel,) = draft_gels("Gel\tMired\tGreen (Duv)\nHalf plus green\t0\t0.0150\n").gels
    assert gel.cc == pytest.approx(15)


def test_a_remark_behind_a_name_or_its_sheets_goes_to_the_note():
    text = "Gel\tMired\tSheets\tNote\n1/2 CTO (creased)\t80\t2\tvan\n1/4 CTB\t-34\t1 sheet (short)\t\n"
    draft = draft_gels(text)
    assert [(g.name, g.stock, g.note) for g in draft.gels] == [
        ("CTO 1/2", 2, "creased; van"),
        ("CTB 1/4", 1, "short"),
    ]


def test_plus_and_minus_alone_beneath_a_title_are_asked_about():
    text = "Gel\tMired\tCC\tStops\nFull CTO\t158\t0\t0.9\n1/2 plus\t0\t15\t0.3\n1/2 minus\t0\t-15\t0.4\n"
    draft = draft_gels(text, base=SHIPPED)
    assert [row.likely for row in draft.to_mend] == [{0: ("Plus green 1/2",)}, {0: ("Minus green 1/2",)}]


def test_one_unit_among_bare_figures_does_not_make_a_column_of_it():
    text = "Gel\tShift\tT%\nFull CTO\t+159\t55\nQuarter CTB\t-34\t66\n1/8 plus green\t0 / 4 CC\t92\n"
    draft = draft_gels(text, base=SHIPPED)
    assert {(gel.name, gel.mired) for gel in draft.gels} >= {("CTO full", 159), ("CTB 1/4", -34)}
    assert draft.asked or draft.to_mend


def test_gels_above_the_headings_are_not_lost_without_a_word():
    text = "3 sheets of full CTO came later\n\nGel\tMired\tStops\nHalf CTO\t80\t0.5\n1/4 CTB\t-34\t0.4\n"
    assert (1, "3 sheets of full CTO came later: left out") in draft_gels(text).layout.left


def test_a_heading_of_green_gels_heads_their_names():
    text = "| green gels | Duv shift | density |\n|---|---|---|\n| half plus green | +0.0100 | 0.08 |\n"
    (gel,) = draft_gels(text, base=SHIPPED).gels
    assert (gel.name, gel.cc) == ("Plus green 1/2", pytest.approx(10))


def test_a_roll_between_slashes_is_stock_and_no_part_of_a_name():
    text = "1/2 CTO / +80 / 73% / 2 rolls\n1/4 CTB / -37 / 69% / roll\n"
    draft = draft_gels(text, base=SHIPPED)
    assert [(gel.name, gel.mired) for gel in draft.gels] == [("CTO 1/2", 80), ("CTB 1/4", -37)]
    assert [q.key for q in draft.asked] == ["rolls"]


def test_fractions_that_contradict_the_names_are_never_taken_for_sheets():
    text = "gel\tmired\tsheets\nHalf CTO\t80\t1/2\nQuarter CTO\t40\t3/4\nFull CTB\t-130\t1/2\n"
    assert [gel.stock for gel in draft_gels(text, base=SHIPPED).gels] == [None]


@pytest.mark.parametrize(
    "text",
    [
        "CTO\tmired\tstops\t\tCTB\tmired\tstops\nFull\t134\t0.8\t\tFull\t-134\t1.6\n1/2\t80\t0.5\t\t1/2\t-70\t0.9\n",
        "Orange;mired;stops;Blue;mired;stops\nfull;134;0.8;full;-134;1.6\nhalf;80;0.5;half;-70;0.9\n",
        "CTO    mired  stops    CTB    mired  stops\n"
        "Full   134    0.8      Full   -134   1.6\n1/2    80     0.5      1/2    -70    0.9\n",
    ],
)
def test_families_that_stand_side_by_side(text):
    draft = draft_gels(text)
    found = [(g.name, g.mired, g.stops) for g in draft.gels]
    wanted = [("CTO full", 134, 0.8), ("CTO 1/2", 80, 0.5), ("CTB full", -134, 1.6), ("CTB 1/2", -70, 0.9)]
    assert found == wanted
    assert not draft.asked


@pytest.mark.parametrize(
    ("shares", "stops", "asked"),
    [
        (("54 %", "71 %", "80 %"), [0.889, 0.494, 0.322], 0),
        (("46 %", "29 %", "20 %"), [0.889, 0.494, 0.322], 1),
    ],
)
def test_per_cents_without_a_heading_are_known_by_the_strengths_of_their_gels(shares, stops, asked):
    names = ("Full CTO  +134 MK-1", "1/2 CTO  +80 MK-1", "1/4 CTO  +40 MK-1")
    draft = draft_gels("\n".join(f"{name}  {share}" for name, share in zip(names, shares, strict=True)))
    assert [g.stops for g in draft.gels] == pytest.approx(stops, abs=0.001)
    assert len(draft.asked) == asked
    assert all("share of light lost" in q.says for q in draft.asked)


def test_bare_shifts_and_counts_behind_names():
    draft = draft_gels("CTO:\nfull 134 (3)\nhalf 80 (5)\nCTB:\nhalf -70 (4)\n")
    found = [(g.name, g.mired, g.stock) for g in draft.gels]
    assert found == [("CTO full", 134, 3), ("CTO 1/2", 80, 5), ("CTB 1/2", -70, 4)]


def test_a_roll_behind_dashes_is_no_word_of_the_name():
    draft = draft_gels("full CTO – 134 mired – 0.8 stop – roll\n1/4 CTB – -35 mired – 0.5 stop – 6 sheets\n")
    assert [g.name for g in draft.gels] == ["CTO full", "CTB 1/4"]
    assert [q.key for q in draft.asked] == ["rolls"]


def test_a_figure_still_to_come_is_asked_with_the_usual_one_and_light_is_left_open_with_a_tap():
    text = "gel,mired,loss,sheets\n1/2 CTO,tbc,0.4,3\n1/4 CTB,#REF!,0.5,2\n1/4 CTO,40,tbc,2\n"
    draft = draft_gels(text, base=SHIPPED)
    assert [(g.name, g.mired) for g in draft.gels] == [("CTO 1/2", 80), ("CTB 1/4", -35)]
    assert [q.key for q in draft.asked] == ["figures"]
    [row] = draft.to_mend
    assert row.likely == {2: ("-",)}


def test_how_far_a_figure_may_be_off_does_not_cost_its_row():
    [gel] = draft_gels("gel,mired,T\n1/2 CTO,80 ± 4,71 % +/- 2\n").gels
    assert (gel.mired, gel.stops) == (80, 0.494)
