"""Curves with a line for each value, figures among curves, and no number that is dropped without a word."""

import json

import pytest

from advisor.advice.teaching.possible_rows import all_checked
from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.imports.gels.transmittance import CurveAs
from advisor.resources import folder

SHIPPED = read_gels((folder("gels") / "generic.csv").read_bytes())
WAVES = list(range(400, 701, 20))
ORANGE = [round(0.5 + 0.02 * i, 3) for i in range(16)]
BLUE = [round(0.9 - 0.03 * i, 3) for i in range(16)]
BOTH = list(zip(WAVES, ORANGE, BLUE, strict=True))


def curves(draft):
    return [(g.name, g.mired, list(g.transmittance.values)) for g in draft.gels if g.transmittance]


def by_gel(line, orange, blue):
    """Return lines for each value, first of the one gel and then of the other."""
    one = [line.format(orange, wave, t) for wave, t, _ in BOTH]
    return "\n".join([*one, *(line.format(blue, wave, t) for wave, _, t in BOTH)]) + "\n"


@pytest.mark.parametrize(
    "text",
    [
        "gel\tnm\tT\n" + by_gel("{}\t{}\t{}", "1/2 CTO", "1/4 CTB"),
        "family,fraction,wavelength (nm),transmittance\n" + by_gel("{},{},{}", "CTO,1/2", "CTB,1/4"),
        "Filter;Wellenlänge [nm];T\n" + by_gel("{};{};{}", "Halbes CTO", "Viertel CTB"),
        "| nm | gel | T |\n|---|---|---|\n"
        + "\n".join(f"| {w} | 1/2 CTO | {a} |\n| {w} | 1/4 CTB | {b} |" for w, a, b in BOTH),
        "wavelength;gel;transmission %\n"
        + "\n".join(f"{w};1/2 CTO;{100 * a:.1f}\n{w};1/4 CTB;{100 * b:.1f}" for w, a, b in BOTH),
    ],
)
def test_curves_with_a_line_for_each_value(text):
    found = curves(draft_gels(text, check=all_checked))
    assert [name for name, _, _ in found] == ["CTO 1/2", "CTB 1/4"]
    assert [values for _, _, values in found] == [pytest.approx(ORANGE), pytest.approx(BLUE)]


def test_what_stands_on_each_of_those_lines_is_the_gels():
    text = "gel,mired,sheets,nm,T\n" + by_gel("{},{},{}", "CTO 1/2,81,3", "CTB 1/4,-35,2")
    draft = draft_gels(text)
    assert curves(draft) == [("CTO 1/2", 81, ORANGE), ("CTB 1/4", -35, BLUE)]
    assert [g.stock for g in draft.gels] == [3, 2]
    assert not draft.layout.left


def test_rows_of_figures_among_curves_are_the_gels():
    rows = "\n".join(f"{w};{a};{b}" for w, a, b in BOTH)
    draft = draft_gels(f"nm;1/2 CTO;1/4 CTB\nMired;81;-35\n{rows}\nSheets;3;2\n")
    assert curves(draft) == [("CTO 1/2", 81, ORANGE), ("CTB 1/4", -35, BLUE)]
    assert [g.stock for g in draft.gels] == [3, 2]


def test_a_curve_that_cannot_be_read_is_asked_about_and_its_row_stays():
    rows = "\n".join(f"{w};{a};{b if w > 420 else ''}" for w, a, b in BOTH)
    text = f"nm;1/2 CTO;1/4 CTB\nMired;81;-35\n{rows}\n"
    draft = draft_gels(text)
    assert [(g.name, g.mired, g.transmittance is None) for g in draft.gels] == [
        ("CTO 1/2", 81, False),
        ("CTB 1/4", -35, True),
    ]
    [doubt] = draft.curves
    assert doubt.gel == "CTB 1/4"
    assert "cannot be read" in doubt.says
    assert not draft_gels(text, take={"CTB 1/4": CurveAs.LABEL}).curves


@pytest.mark.parametrize("word", ["Optische Dichte", "densité optique", "densidad óptica", "光学濃度"])
def test_a_title_that_says_density_in_other_languages(word):
    rows = "\n".join(f"{w};{a}" for w, a, _ in BOTH)
    draft = draft_gels(f"{word}\n\nnm;1/2 CTO\n{rows}\n", check=all_checked)
    assert "headed as density" in draft.to_mend[0].wrong[0].says


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Rig 7, truck 2\nGel\tMired\n1/2 CTO\t81\n1/4 CTB\t-35\n", [(1, "Rig 7, truck 2: left out")]),
        (
            "Gel\tMired\n1/2 CTO\t81\n1/4 CTB\t-35\n\nBox 17, shelf 2, and more\n",
            [(5, "Box 17, shelf 2, and more: a title, left out")],
        ),
        ("gel,1/2 CTO,1/4 CTB\nmired,81,-35\nsheets,3,2\n", []),
        ("gel\nmired\n1/2 CTO\n81\n1/4 CTB\n-35\n", []),
    ],
)
def test_a_line_with_numbers_that_is_no_row_is_told(text, left):
    draft = draft_gels(text)
    assert [(g.name, g.mired) for g in draft.gels] == [("CTO 1/2", 81), ("CTB 1/4", -35)]
    assert [(line, why) for line, why in draft.layout.left if any(map(str.isdigit, why))] == left


def test_numbers_of_json_that_go_nowhere_are_told():
    tree = [{"gel": "1/2 CTO", "mired": 81, "cut": [[400, 0.51], [550, 0.62], [700, 0.73]]}]
    draft = draft_gels(json.dumps(tree))
    assert [(g.name, g.mired) for g in draft.gels] == [("CTO 1/2", 81)]
    assert draft.layout.left == [(1, "7\xa0numbers not used: 400, 0, 51, 550, 62, 700, …")]


def test_a_duv_beside_cc_is_noted_and_the_cc_counts():
    [gel] = draft_gels("Gel\tCC\tDuv\nFull plus green\t30G\t+0.018\n").gels
    assert gel.cc == 30
    draft = draft_gels("Gel\tCC\tDuv\nFull plus green\t30G\t-0.018\n")
    assert "both green and magenta" in draft.to_mend[0].wrong[0].says


@pytest.mark.parametrize("head", ["", "curve (nm, T):\n", "nm\tT\n"])
@pytest.mark.parametrize("figures", ["81 mired, 3 sheets", "Mired: 81\nSheets: 3"])
def test_figures_over_a_curve_in_one_block(head, figures):
    rows = "\n".join(f"{w} nm: {a}" for w, a, _ in BOTH)
    draft = draft_gels(f"1/2 CTO\n{figures}\n{head}{rows}\n")
    assert curves(draft) == [("CTO 1/2", 81, ORANGE)]
    assert [g.stock for g in draft.gels] == [3]


LISTS = {w: " ".join(map(str, values)) for w, values in (("nm", WAVES), ("a", ORANGE), ("b", BLUE))}


@pytest.mark.parametrize(
    "text",
    [
        f"wavelengths: {LISTS['nm']}\n1/2 CTO: {LISTS['a']}\n1/4 CTB: {LISTS['b']}\n",
        f"1/2 CTO\nnm: {LISTS['nm']}\nT: {LISTS['a']}\n\n1/4 CTB\nnm: {LISTS['nm']}\nT: {LISTS['b']}\n",
        f"nm = [{LISTS['nm'].replace(' ', ', ')}]\nCTO 1/2 = [{LISTS['a'].replace(' ', ', ')}]\n"
        f"CTB 1/4 = [{LISTS['b'].replace(' ', ', ')}]\n",
    ],
)
def test_curves_as_lists_in_lines(text):
    found = curves(draft_gels(text, check=all_checked))
    assert [(name, values) for name, _, values in found] == [("CTO 1/2", ORANGE), ("CTB 1/4", BLUE)]


def test_a_gel_with_too_few_values_costs_no_other_gel_its_curve():
    text = "gel,nm,T\n" + by_gel("{},{},{}", "1/2 CTO", "1/4 CTB") + "ND 0.3,400,0.5\nND 0.3,700,0.5\n"
    draft = draft_gels(text, check=all_checked)
    assert [name for name, _, _ in curves(draft)] == ["CTO 1/2", "CTB 1/4"]
    assert "2 samples" in draft.to_mend[0].wrong[0].says


def test_the_light_without_a_gel_is_no_gel():
    rows = "\n".join(f"{w};1.0;{a}" for w, a, _ in BOTH)
    draft = draft_gels(f"nm;open;1/2 CTO\n{rows}\n", check=all_checked)
    assert [g.name for g in draft.gels] == ["CTO 1/2"]
    assert [why for _, why in draft.layout.left] == ["open: lets all light through, left out"]


def test_a_name_of_more_than_any_gel_is_told_at_its_row():
    draft = draft_gels("gel,nm,T\nCTO 39 1/2,400,0.5\n", base=SHIPPED)
    assert draft.gels == []
