"""Gel tables as crews send them, written by somebody who had not read the importer; the truth beside them."""

import json
from pathlib import Path

import numpy as np
import pytest

from advisor.advice.teaching.possible_rows import all_checked
from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.model import GelTable
from advisor.resources import folder
from advisor.web.gels.curves import ask_about

LAYOUTS = sorted((Path(__file__).parents[1] / "layouts" / "gels").glob("*.txt"))
SHIPPED: GelTable = read_gels((folder("gels") / "generic.csv").read_bytes())
FIGURES = ("mired", "cc", "stops")


def drafted(path):
    return draft_gels(path.read_text(encoding="utf-8"), check=all_checked, ask=ask_about, base=SHIPPED)


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
def test_what_is_truly_in_a_table_is_read_and_nothing_else(path):
    truth = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    draft = drafted(path)
    refused = [draft.layout.rows[row.number - 1].text for row in draft.to_mend]
    # A gel that stands twice is asked about: its second row is one to mend.
    asked = [a["about"][0] for a in truth["asked"] if "twice" in a["question"]]
    assert len(refused) == len(truth["refused"]) + len(asked)
    assert set(truth["refused"]) <= set(refused)
    wanted = truth["gels"][: len(truth["gels"]) - len(asked)]
    assert len(draft.gels) == len(wanted)
    for gel, own in zip(draft.gels, wanted, strict=True):
        assert (gel.family.casefold(), gel.fraction) == (own["family"].casefold(), own["fraction"])
        for name in FIGURES:
            if name in own:
                assert getattr(gel, name) == pytest.approx(own[name], abs=0.001)
        if not any(name in own for name in FIGURES) and "curve" not in own:
            assert "base" in {q.likeliest for q in draft.asked} or gel.family == "ND"
        assert gel.stock == own.get("stock")
        if "curve" in own:
            curve = gel.transmittance
            at = np.interp(
                own["curve"]["nm"], curve.start + curve.step * np.arange(len(curve.values)), curve.values
            )
            assert at == pytest.approx(own["curve"]["t"], abs=2e-5)
        if "note" in own:
            assert gel.note == own["note"]


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
def test_what_a_careful_reader_asks_is_asked_with_its_likeliest_answer_first(path):
    truth = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    draft = drafted(path)
    likely = {next(iter(q.ways.values())) for q in draft.asked}
    for asked in truth["asked"]:
        if "likely" in asked:
            assert any(asked["likely"] in way for way in likely)
        else:
            assert draft.to_mend
    # Curves that are headed as densities are asked about although their heading is plain.
    assert bool(truth["asked"]) == bool(draft.asked or draft.to_mend[len(truth["refused"]) :])


@pytest.mark.parametrize(
    "text",
    [
        "Gel: 1/2 CTO\nMired: +81\nSheets: 3\n\nGel: 1/4 CTB\nMired: -35\nSheets: 2\n",
        "Fraction;Mired;Sheets\nCTO\n1/2;81;3\nCTB\n1/4;-35;2\n",
        "Gel;Mired;Sheets\nhalf CTO;81;3\n\nFilter;Bogen;Mired\nViertel CTB;2;-35\n",
        "CTO half = +81 mired, 3 sheets\nCTB quarter = -35 mired, 2 sheets\n",
        "Gel Mired Sheets\n1/2 CTO 81 3\n1/4 CTB -35 2\n",
    ],
)
def test_the_same_two_gels_in_further_shapes(text):
    found = [(g.name, g.mired, g.stock) for g in draft_gels(text).gels]
    assert found == [("CTO 1/2", 81, 3), ("CTB 1/4", -35, 2)]


@pytest.mark.parametrize(
    "text",
    [
        "Filter;1/2 CTO;1/4 CTB\nMired;81;-35\nSheets;3;2\n",
        "|  | unit | Half CTO | Quarter CTB |\n"
        "|--|--|--|--|\n"
        "| shift | MK-1 | 81 | -35 |\n| stock | sheets | 3 | 2 |\n",
        "Gel,CTO,CTB\nStrength,1/2,1/4\nMired,81,-35\nSheets,3,2\n",
        '[{"gel": "½ CTO", "mired": 81, "sheets": 3},\n {"gel": "CTB quarter", "mired": -35, "sheets": 2}]',
        '{"gel": ["1/2 CTO", "1/4 CTB"], "mired": [81, -35], "sheets": [3, 2]}',
        '{"1/2 CTO": {"mired": 81, "sheets": 3}, "1/4 CTB": {"mired": -35, "sheets": 2}}',
        '{"CTO": [{"strength": "1/2", "mired": 81, "stock": 3}], '
        '"CTB": [{"strength": "1/4", "mired": -35, "stock": 2}]}',
        '{"CTO": {"1/2": {"mired": 81, "stock": 3}}, "CTB": {"1/4": {"mired": -35, "stock": 2}}}',
        '{"columns": ["gel", "mired", "sheets"], "rows": [["1/2 CTO", 81, 3], ["1/4 CTB", -35, 2]]}',
        "CTO\ngel,mired,sheets\nhalf,81,3\n\nCTB\ngel,mired,sheets\nquarter,-35,2\n",
        "Gel\tMired\tSheets\nCTO:\n  1/2\t81\t3\nCTB:\n  1/4\t-35\t2\n",
        "| | CTO | CTB |\n|---|---|---|\n| | 1/2 | 1/4 |\n| mired | 81 | -35 |\n| sheets | 3 | 2 |\n",
        "<p>gels:</p><ul><li>1/2 CTO: +81 mired, 3 sheets</li><li>1/4 CTB: -35 mired, 2 sheets</li></ul>",
        "1/2 CTO - 81 mired - 3 sheets\n1/4 CTB - -35 mired - 2 sheets\nTotal 5 sheets\n",
        "strength,CTO mired,CTO sheets,CTB mired,CTB sheets\n1/2,81,3,,\n1/4,,,-35,2\n",
        "strength,CTO,,CTB,\n,mired,sheets,mired,sheets\n1/2,81,3,,\n1/4,,,-35,2\n",
        "## CTO\n| Strength | Mired | How many |\n|--|--|--|\n| 1/2 | 81 | three |\n"
        "## CTB\n| Strength | Mired | How many |\n|--|--|--|\n| 1/4 | -35 | two |\n",
        "<table><tr><th>Gel</th><th>Mired</th><th>Sheets</th></tr>"
        "<tr><td>&frac12; CTO</td><td>81</td><td>3</td></tr>"
        "<tr><td>Quarter CTB</td><td>&minus;35</td><td>2</td></tr></table>",
        "Warm\nGel,Mired,Sheets\nHalbes CTO,81,3\nTotal sheets,,3\n\n"
        "Cold ones\nGel,Sheets,Mired\nCTB Viertel,2,-35\nSumme,2,\n",
    ],
)
def test_two_gels_on_their_side_as_json_in_a_page_and_under_titles(text):
    draft = draft_gels(text)
    assert [(g.name, g.mired, g.stock) for g in draft.gels] == [("CTO 1/2", 81, 3), ("CTB 1/4", -35, 2)]
    assert not draft.to_mend
    assert not draft.asked


@pytest.mark.parametrize(
    "text",
    [
        "strength\tCTO\tCTB\tplus green\n\tmired\tmired\tcc\n1/4\t40\t-35\t7\nhalf\t80\t-70\t-\n",
        "strength;CTO (mired);CTB (mired);plus green (cc)\n1/4;40;-35;7\nhalf;80;-70;\n",
        "gel|1/4|half\nCTO (mired)|40|80\nCTB (mired)|-35|-70\nplus green (cc)|7|\n",
        "strength   CTO    CTB    +green\n           MK-1   MK-1   CC\n"
        "1/4        40     -35    7\nhalf       80     -70\n",
        "family,unit,1/4,half\nCTO,mired,40,80\nCTB,mired,-35,-70\nplus green,cc,7,\n",
    ],
)
def test_a_table_of_families_and_strengths_has_its_units(text):
    draft = draft_gels(text)
    found = {g.name: (g.mired, g.cc) for g in draft.gels}
    assert not draft.to_mend
    assert not draft.asked
    assert found == {
        "CTO 1/4": (40, 0),
        "CTB 1/4": (-35, 0),
        "Plus green 1/4": (0, 7),
        "CTO 1/2": (80, 0),
        "CTB 1/2": (-70, 0),
    }


@pytest.mark.parametrize(
    ("heading", "cell"),
    [("tau", "0.5"), ("τ (%)", "50"), ("T %", "50"), ("transm.", "0.5"), ("Dens.", "0.301"), ("D", "0.301")],
)
def test_the_light_beside_a_name_is_no_strength(heading, cell):
    text = f"gel;{heading};mired;Δuv\n1/2 CTB;{cell};-68;0.002\n1/4 CTB;{cell};-35;0.001\n"
    found = [(g.name, round(g.stops, 2), g.mired, g.cc) for g in draft_gels(text).gels]
    assert found == [("CTB 1/2", 1, -68, 2), ("CTB 1/4", 1, -35, 1)]


@pytest.mark.parametrize("heading", ["zeta", "level"])
def test_an_unknown_column_of_shares_is_asked_about_and_costs_no_row(heading):
    draft = draft_gels(f"gel,{heading},mired\n1/4 CTO,0.83,41\n1/2 CTB,0.54,-68\n")
    assert [g.name for g in draft.gels] == ["CTO 1/4", "CTB 1/2"]
    assert [q.key for q in draft.asked] == ["column 2"]


@pytest.mark.parametrize(
    "stock",
    ["half a roll", "a roll", "two rolls", "some", "part of a roll", "1 roll + 3", "ask at the truck"],
)
def test_stock_in_words_is_asked_about(stock):
    draft = draft_gels(f"Gel,Mired,Stock\nCTO 1/2,80,{stock}\nCTO 1/4,40,12\n")
    assert [(g.stock, g.note) for g in draft.gels] == [(None, stock), (12, "")]
    assert [q.key for q in draft.asked] == ["rolls"]


def test_rolls_counted_as_sheets_are_whole():
    draft = draft_gels("Gel,Mired,Stock\nCTO 1/2,80,half a roll\n", said={"rolls": "sheets"})
    assert [g.stock for g in draft.gels] == [1]


def test_curves_in_micrometres_with_signs_behind_their_figures():
    rows = "".join(f"{w / 1000:.2f}\t{50 + w / 20:.1f} %\t90.0 %\n" for w in range(380, 790, 10))
    draft = draft_gels("µm\t¼ CTO\t⅛ minus green\n" + rows, check=all_checked)
    assert [g.name for g in draft.gels] == ["CTO 1/4", "Minus green 1/8"]
    assert draft.gels[0].transmittance.values[0] == pytest.approx(0.69)


def test_a_heading_may_say_the_cct_that_is_changed():
    draft = draft_gels("gel;5600 K becomes;loss\n1/2 CTO;3850 K;0.6\n1/4 CTO;4550 K;0.3\n")
    assert [g.mired for g in draft.gels] == [81.2, 41.2]
    assert not draft.asked
