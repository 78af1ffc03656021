"""Gels of a crew's own families, and curves with cells that hold no number. All of it is invented."""

import pytest

from advisor.advice.teaching.possible_rows import all_checked
from advisor.imports.gels.draft import draft_gels
from advisor.imports.vocabulary.gel_names import GelName, understand_name

WAVES = range(400, 701, 20)


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
