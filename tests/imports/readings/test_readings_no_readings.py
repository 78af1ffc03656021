"""What stands in a table beside readings, and tables that say little of themselves. All of it is invented."""

import pytest

from advisor.imports import read_anything
from advisor.imports.readings.result import Sure


def understood(text):
    paste = read_anything(text)
    assert not [row for row in paste.rows if row.source is None]
    return {row.source.name: row.source.reading for row in paste.rows}, paste


@pytest.mark.parametrize("word", ["Ø", "Σ", "Standardabweichung", "Durchschnitt:", "Stdabw."])
def test_figures_about_other_rows_are_left_out(word):
    text = f"Leuchte;CCT;Duv\nTresen;2950;-0,0004\nFoyer;4120;0,0061\n{word};3535;0,0029"
    found, paste = understood(text)
    assert list(found) == ["Tresen", "Foyer"]
    assert [(line.line, line.why) for line in paste.left_out] == [(4, "left out, it is a summary")]


def test_a_column_of_units_and_one_of_means_are_no_readings():
    text = "What,Unit,Stove,Hatch,Mean\nCCT,K,4015,6120,5068\nDuv,,0.0066,0.0038,0.0052\nEv,lx,310,900,605"
    found, paste = understood(text)
    assert {name: (r.cct, r.duv, r.lux) for name, r in found.items()} == {
        "Stove": (4015, 0.0066, 310),
        "Hatch": (6120, 0.0038, 900),
    }
    assert [line.text for line in paste.left_out] == ["Mean"]


@pytest.mark.parametrize("scale", ["(1e-4)", "[1E-04]", "×10⁻⁴"])
def test_a_power_of_ten_in_a_heading_is_the_scale(scale):
    found, _ = understood(f"Name\tCCT\tDuv {scale}\nShop\t3925\t71\nStair\t2820\t-12")
    assert [r.duv for r in found.values()] == pytest.approx([0.0071, -0.0012])


def test_cells_without_headings_are_proposed_by_what_is_in_them():
    text = "Coal cellar\t4210\t138\t0.0095\nHatch\t6815\t1460\t0.0047\nLamp\t2840\t22\t-0.0014"
    found, paste = understood(text)
    assert {name: (r.cct, r.duv, r.lux) for name, r in found.items()} == {
        "Coal cellar": (4210, 0.0095, None),
        "Hatch": (6815, 0.0047, None),
        "Lamp": (2840, -0.0014, None),
    }
    assert {column.sure for column in paste.columns} == {Sure.LIKELY}
    assert [column.heading for column in paste.unused] == ["column 3"]


def test_rows_of_dots_lead_to_a_value():
    text = "Source ...... Reception\nCCT ......... 3895 K\nDuv ......... +0.0069\nIlluminance . 480"
    [reading] = understood(text)[0].values()
    assert (reading.cct, reading.duv) == (3895, 0.0069)


def test_green_and_magenta_are_said_behind_their_size():
    found, _ = understood("Head\tCCT\tCC\nLeft tube\t4220\t9G\nSpot\t3075\t2.5 M\nFollow spot\t5960\t0")
    assert [r.duv for r in found.values()] == pytest.approx([0.009, -0.0025, 0.0])


def test_a_side_that_contradicts_its_sign_is_refused():
    [row] = read_anything("Head\tCCT\tCC\nLeft tube\t4220\t-9G").rows
    assert row.source is None
