"""Gel tables with a line for each figure, with families for headings, in letters, and with curves in JSON."""

import json

import pytest

from advisor.advice.teaching.possible_rows import all_checked
from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.model import GelTable
from advisor.resources import folder
from advisor.web.gels.curves import ask_about

SHIPPED: GelTable = read_gels((folder("gels") / "generic.csv").read_bytes())
NM = list(range(400, 720, 20))
NAMES = ("CTO full", "CTO 1/2", "CTB full", "CTB 1/2")
HALF_CTO = [52.3, 53.7, 55.8, 58.9, 63, 67.9, 73.1, 78, 82.1, 85.2, 87.3, 88.6, 89.5, 90, 90.4, 90.6]


def drafted(text):
    return draft_gels(text, check=all_checked, ask=ask_about, base=SHIPPED)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("1/2 CTO\n81\n0.5\n1/4 CTB\n-35\n0.6\n", ["column 3"]),
        ("1/2 CTO\n+81 mired\n0.5 stop\n\n1/4 CTB\n-35 mired\n0.6 stop\n", []),
        ("CTO half\nmired 81\nstops 0.5\nCTB quarter\nmired -35\nstops 0.6\n", []),
        ("1/2 CTO\nMired shift: +81\nLoss (stops): 0.5\n1/4 CTB\nMired shift: -35\nLoss (stops): 0.6\n", []),
        ("1. Half CTO\n   Shift +81\n   0.5 stop\n2. Quarter CTB\n   Shift -35\n   0.6 stop\n", []),
        ("½ CTO:\n- 81 mired\n- ½ stop\n\n¼ CTB:\n* -35 mired\n* 0.6 stop\n", []),
        ("Halbes CTO\nMired +81\nBlenden 0,5\nViertel CTB\nMired -35\nBlenden 0,6\n", []),
        ("1/2 CTO\nstops = 0.5\nMK-1 = +81\n1/4 CTB\nMK-1 = -35\nstops = 0.6\n", []),
        ("1/2 CTO\n+81 mired, 0.5 stop\n1/4 CTB\n-35 mired, 0.6 stop\n", []),
        ("CTO\n1/2\n81 mired\n0.5 stop\nCTB\n1/4\n-35 mired\n0.6 stop\n", []),
        ("What we carry:\n1/2 CTO\n81 mired\n0.5 stop\n1/4 CTB\n-35 mired\n0.6 stop\n", []),
    ],
)
def test_a_line_for_each_figure(text, asked):
    draft = drafted(text)
    assert [(g.name, g.mired, g.stops) for g in draft.gels] == [("CTO 1/2", 81, 0.5), ("CTB 1/4", -35, 0.6)]
    assert [q.key for q in draft.asked] == asked
    assert not draft.to_mend


@pytest.mark.parametrize(
    "text",
    [
        "CTO\tMired\tSheets\nHalf\t81\t3\nCTB\tMired\tSheets\n1/4\t-35\t2\n",
        "Box 4\n\nCTO;Mired;Bogen\nhalb;81;3\nCTB;Mired;Bogen\nViertel;-35;2\n",
        "| CTO | mired | sheets |\n|--|--|--|\n| half | 81 | 3 |\n\n"
        "| CTB | mired | sheets |\n|--|--|--|\n| 1/4 | -35 | 2 |\n",
        "CTO     Mired   Sheets\nhalf    81      3\nCTB     Mired   Sheets\n1/4     -35     2\n",
        "Hi Jo,\n\nthis is left, as on a card:\n\n- ½ CTO, +81 MK-1, 3 sheets\n- ¼ CTB, -35 MK-1, 2 sheets\n",
    ],
)
def test_families_that_head_their_strengths_and_a_letter_over_a_list(text):
    draft = drafted(text)
    assert [(g.name, g.mired, g.stock) for g in draft.gels] == [("CTO 1/2", 81, 3), ("CTB 1/4", -35, 2)]
    assert not draft.to_mend
    assert not draft.asked


@pytest.mark.parametrize(
    ("said", "stops"),
    [
        *(
            ("loses ½ stop", 0.5),
            ("takes half a stop", 0.5),
            ("costs 0.5 stop", 0.5),
            ("loses ⅓ stop", 0.3333),
        ),
        *(("loses 29%", 0.494), ("passes 71 %", 0.494), ("verliert 0,5 Blenden", 0.5)),
    ],
)
def test_light_that_a_gel_takes_or_lets_through(said, stops):
    draft = drafted(f"½ CTO, +81 MK-1, {said}, 2 sheets\n½ CTS, +67 MK-1, {said}, 3 sheets\n")
    assert [(g.stops, g.stock) for g in draft.gels] == [(stops, 2), (stops, 3)]
    assert not draft.asked


@pytest.mark.parametrize(
    "tree",
    [
        {"wavelength_nm": NM, "gels": [{"name": "half CTO", "transmission": HALF_CTO}]},
        {"nm": NM, "curves": {"half CTO": HALF_CTO}},
        [{"gel": "half CTO", "nm": NM, "T": HALF_CTO}],
        {"half CTO": {f"{nm}": value for nm, value in zip(NM, HALF_CTO, strict=True)}},
    ],
)
def test_curves_in_json(tree):
    [gel] = drafted(json.dumps(tree)).gels
    assert gel.name == "CTO 1/2"
    assert gel.transmittance.values[0] == pytest.approx(0.523)
    assert gel.transmittance.values[-1] == pytest.approx(0.906)


def test_figures_over_curves_with_the_name_above_both():
    curve = "\n".join(f"{nm}  {value}" for nm, value in zip(NM, HALF_CTO, strict=True))
    text = "".join(
        f"{name}\nMired shift: +48\nStock: 4\nnm   T%\n{curve}\n\n" for name in ("1/2 CTO", "1/2 CTS")
    )
    draft = drafted(text)
    assert [(g.name, g.mired, g.stock, g.transmittance is None) for g in draft.gels] == [
        ("CTO 1/2", 48, 4, False),
        ("CTS 1/2", 48, 4, False),
    ]


def test_a_line_above_says_that_curves_are_densities():
    rows = "\n".join(f"{nm}  0.30  0.60" for nm in NM)
    draft = drafted(f"Our own samples, optical density, 20 nm steps\n\nnm  ND 0.3  ND 0.6\n{rows}\n")
    assert [g.transmittance.values[0] for g in draft.gels] == pytest.approx([0.5012, 0.2512], abs=1e-4)
    assert [doubt.likeliest for doubt in draft.curves] == ["density", "density"]


def test_a_curve_that_makes_daylight_no_white_holds_on_tungsten():
    values = [0.343, 0.485, 0.627, 0.706, 0.679, 0.56, 0.41, 0.287, 0.213, 0.178, 0.165, 0.161, 0.161]
    rows = "\n".join(f"{nm};{v}" for nm, v in zip(NM, [*values, 0.165, 0.186, 0.271], strict=True))
    draft = drafted(f"nm;CTB full\n{rows}\n")
    assert not draft.to_mend
    assert draft.gels[0].mired < -134


def test_a_neutral_curve_that_lets_through_what_its_name_does_not_is_asked_about():
    rows = "\n".join(f"{nm}  0.30" for nm in NM)
    assert drafted(f"nm  ND 0.3\n{rows}\n").to_mend


PAIRS = "".join(f"{nm} nm: {value} %\n" for nm, value in zip(NM, HALF_CTO, strict=True))
CELLS = "".join(f"{nm},{value}\n" for nm, value in zip(NM, HALF_CTO, strict=True))
TWICE = "".join(f"{nm},{value},,{nm},{value}\n" for nm, value in zip(NM, HALF_CTO, strict=True))
DENSE = "".join(f"{nm / 1000:.2f};{v}\n" for nm, v in zip(NM, [0.28] * 16, strict=True)).replace(".", ",")


@pytest.mark.parametrize(
    ("text", "first"),
    [
        (f"## 1/2 CTO\n{PAIRS}", 0.523),
        (f"1/2 CTO\n{PAIRS}\n1/2 CTS\n{PAIRS}", 0.523),
        (f"µm;ND 0.3 (D)\n{DENSE}", 0.525),
        (f"nm,1/2 CTO,,nm,1/2 CTS\n{TWICE}", 0.523),
        (f"Gel,Mired,Stock\n1/2 CTO,0,3\n\nnm,1/2 CTO\n{CELLS}", 0.523),
    ],
)
def test_further_layouts_of_curves(text, first):
    draft = drafted(text)
    assert not draft.to_mend
    found = [gel.transmittance.values[0] for gel in draft.gels]
    assert found == pytest.approx([first] * len(found), abs=1e-3)


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("CTO (mired)\nfull 160\n1/2 80\nCTB (mired)\nfull -131\n1/2 -68\n", []),
        ("full CTO 160\nhalf CTO 80\nfull CTB -131\nhalf CTB -68\n", []),
        ("full CTO 160MK\nhalf CTO 80MK\nfull CTB -131MK\nhalf CTB -68MK\n", []),
    ],
)
def test_bare_numbers_near_the_usual_shift_are_no_sheets(text, asked):
    draft = drafted(text)
    found = [(g.name, g.mired, g.stock) for g in draft.gels]
    assert found == [(n, m, None) for n, m in zip(NAMES, (160, 80, -131, -68), strict=True)]
    assert [q.key for q in draft.asked] == asked


def test_small_numbers_behind_names_stay_sheets():
    assert [g.stock for g in drafted("full CTO 4\nhalf CTO 6\n1/8 CTO 20\n").gels] == [4, 6, 20]
    draft = drafted("full CTO 160\nhalf CTO 80\n")
    assert [(g.mired, g.stock) for g in draft.gels] == [(160, None), (80, None)]
    assert [q.key for q in draft.asked] == ["column 2"]
