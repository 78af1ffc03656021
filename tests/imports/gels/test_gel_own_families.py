"""Gels of a crew's own families, and curves with cells that hold no number. All of it is invented."""

import pytest

from advisor.advice.teaching.possible_rows import all_checked
from advisor.imports.gels.draft import draft_gels
from advisor.imports.vocabulary.gel_names import GelName, understand_name

WAVES = range(400, 701, 20)
CURVES = (("1/2 CTO", 0.3), ("1/4 CTB", 0.2))


@pytest.mark.parametrize(
    ("text", "family", "fraction"),
    [
        ("Fam12 1/2", "Fam12", "1/2"),
        ("Fam1 1/2", "Fam1", "1/2"),
        ("1/4 Fam3", "Fam3", "1/4"),
        ("House 12 1/2", "House 12", "1/2"),
        ("Rosy 1 1/2", "Rosy", "1.5"),
        ("Kitchen Blue full", "Kitchen Blue", "full"),
        ("B7 ½", "B7", "1/2"),
    ],
)
def test_a_number_in_a_family_is_no_part_of_the_fraction(text, family, fraction):
    assert understand_name(text) == GelName(family, fraction)


def test_many_gels_of_numbered_families_are_read():
    rows = [f"Fam{i} 1/2;{10 + i};0.3" for i in range(1, 101)]
    draft = draft_gels("\n".join(["Gel;Mired;Stops", *rows]))
    assert [(g.family, g.fraction, g.mired) for g in draft.gels] == [
        (f"Fam{i}", "1/2", 10 + i) for i in range(1, 101)
    ]
    assert (draft.to_mend, draft.asked) == ([], [])


@pytest.mark.parametrize(
    ("lines", "cell"),
    [
        (["gel,nm,T", *(f"1/2 CTO,{w},{0.3 + w / 2000}" for w in WAVES)], "1/2 CTO,500,"),
        (["nm,1/2 CTO", *(f"{w},{0.3 + w / 2000}" for w in WAVES)], "500,"),
    ],
)
def test_a_cell_of_a_curve_without_a_number_is_told(lines, cell):
    text = "\n".join(f"{cell}smudge" if line.startswith(cell) else line for line in lines)
    (row,) = draft_gels(text, check=all_checked).rows
    assert row.notes == ["no number at 500 nm (smudge): left out, a straight line in its place"]
    assert row.gel is not None
    assert row.gel.transmittance is not None
    assert row.gel.transmittance.values == pytest.approx([0.3 + w / 2000 for w in WAVES])


def test_curves_with_a_line_for_each_value_and_no_headings():
    lines = [
        f"{name} {w} {0.3 + w / 2000 + at / 10:.4f}"
        for at, name in enumerate(("1/2 CTO", "1/4 CTO"))
        for w in WAVES
    ]
    draft = draft_gels("\n".join(lines), check=all_checked)
    found = [
        row.gel.transmittance.values for row in draft.rows if row.gel is not None and row.gel.transmittance
    ]
    assert [row.cells[0] for row in draft.rows] == ["CTO 1/2", "CTO 1/4"]
    assert found == [pytest.approx([0.3 + w / 2000 + at / 10 for w in WAVES]) for at in (0, 1)]


FIGURES = [
    ("CTO", "full", 159.0, 0.9),
    ("CTO", "1/2", 81.0, 0.5),
    ("CTB", "full", -137.0, 1.5),
    ("CTB", "1/2", -68.0, 0.9),
]


@pytest.mark.parametrize(
    "lines",
    [
        [
            "Warm\tMired\tStops\t\tCool\tMired\tStops",
            "Full CTO\t159\t0.9\t\tFull CTB\t-137\t1.5",
            "1/2 CTO\t81\t.5\t\t1/2 CTB\t-68\t.9",
        ],
        [
            "CTO,,,CTB,,",
            "strength,mired,stops,strength,mired,stops",
            "full,159,0.9,full,-137,1.5",
            "1/2,81,0.5,1/2,-68,0.9",
        ],
        [
            "#;Filter;Mired;Stops",
            "1;Full CTO;159;0.9",
            "2;1/2 CTO;81;0.5",
            "3;Full CTB;-137;1.5",
            "4;1/2 CTB;-68;0.9",
        ],
        [
            "Name      Mired   Loss",
            "Full CTO  +159    0.9",
            "1/2 CTO   +81     0.5",
            "Full CTB  -137    1.5",
            "1/2 CTB   -68     0.9",
            "",
            "Thanks, at the dock by 7.",
        ],
    ],
)
def test_tables_side_by_side_numbered_and_with_a_farewell(lines):
    draft = draft_gels("\n".join(lines))
    found = [(g.family, g.fraction, g.mired, g.stops) for g in draft.gels]
    assert sorted(found) == sorted(FIGURES)
    assert (draft.to_mend, draft.asked) == ([], [])


def test_a_row_of_units_beneath_gels_over_their_curves():
    rows = [f"{w};{30 + w / 20:.2f};{90 - w / 20:.2f}".replace(".", ",") for w in WAVES]
    draft = draft_gels("\n".join(["Wellenlänge;1/2 CTO;1/2 CTB", "nm;%;%", *rows]), check=all_checked)
    cto, ctb = (row.gel for row in draft.rows)
    assert cto.transmittance.values == pytest.approx([0.3 + w / 2000 for w in WAVES])
    assert ctb.transmittance.values == pytest.approx([0.9 - w / 2000 for w in WAVES])


def test_sheets_in_two_columns_and_a_shift_without_unit_are_asked():
    draft = draft_gels("Gel\tNew\tUsed\tShift\n1/2 Rosy\t3\t1\t+44\n1/4 Rosy\t2\t2\t+21\n")
    assert [q.says for q in draft.asked] == ["column 'New' is not known", "column 'Shift' looks like mired"]
    assert [(g.mired, g.stock) for g in draft.gels] == [(44, 1), (21, 2)]


@pytest.mark.parametrize(
    "lines",
    [
        [
            f"{name} curve (400-700, 20 nm): {', '.join(f'{at + w / 2000:.4f}' for w in WAVES)}"
            for name, at in CURVES
        ],
        [line for name, at in CURVES for line in (name, *(f"{w} {at + w / 2000:.4f}" for w in WAVES))],
    ],
)
def test_curves_whose_names_stand_before_them(lines):
    draft = draft_gels("\n".join(lines), check=all_checked)
    assert [row.gel.name for row in draft.rows] == ["CTO 1/2", "CTB 1/4"]
    for row, (_, at) in zip(draft.rows, CURVES, strict=True):
        assert row.gel.transmittance.values == pytest.approx([at + w / 2000 for w in WAVES])


def test_figures_in_order_behind_names_parted_by_single_spaces():
    draft = draft_gels("CTO full 159 0.9 55% 2\nCTO 1/2 81 0.5 71% 3\nCTO 1/4 42 0.3 81% 5\n")
    assert [(g.name, g.mired, g.stops, g.stock) for g in draft.gels] == [
        ("CTO full", 159, 0.9, 2),
        ("CTO 1/2", 81, 0.5, 3),
        ("CTO 1/4", 42, 0.3, 5),
    ]
    assert draft.asked != []
