"""Heads beside each other: matching, the odd one, the worst two; all heads are invented."""

import colour
import numpy as np

from advisor.advice.known_heads.beside import Unit, beside_said, compare, pairs_said
from advisor.advice.known_heads.to_hang import to_match
from advisor.advice.readings.chromaticity import measure
from advisor.advice.wording.ladder import TRADE
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Kind, KnownHead, Reach, Reading, Seen, Setting
from tests.heads import PANEL, read

SIX = [(5810, -0.0014), (5812, -0.0013), (5800, 0.0024), (5790, -0.0001), (5811, -0.0013), (5640, -0.0012)]


def units(*whites):
    named = enumerate(whites, 1)
    return [Unit(f"Panel {k}", measure(read(100, cct=cct, duv=duv))) for k, (cct, duv) in named]


def said(some, group="Panels"):
    return beside_said(some, compare([unit.white for unit in some]), TRADE, group)


def shipped_rows():
    return shipped_gels().rows


def test_the_odd_one_is_an_eighth_green_of_the_rest():
    some = units((5810, -0.0014), (5812, -0.0013), (5800, 0.0024), (5811, -0.0013))
    assert said(some)[:2] == [
        "Panels 1, 2 and 4 match.",
        "Panel 3 is about an eighth greener than the rest.",
    ]


def test_how_far_heads_are_apart_is_as_another_library_has_it():
    # colour-science 0.4: Ohno 2013, then CIE 1976 (u', v') of CIE 1960 (u, v); 1 step is 0.0011 Δu'v'.
    uv = np.array([colour.CCT_to_uv(pair, "Ohno 2013") for pair in SIX]) * [1.0, 1.5]
    expected = np.linalg.norm(uv[:, None] - uv[None, :], axis=-1) / 0.0011
    apart = compare([unit.white for unit in units(*SIX)])
    np.testing.assert_allclose(apart.steps, expected, atol=0.02)
    assert apart.worst == (0, 2)


def test_pairs_are_the_nearest_two_and_no_head_is_in_two_of_them():
    some = units(*SIX)
    apart = compare([unit.white for unit in some])
    heads = [k for pair in apart.pairs for k in pair]
    assert len(heads) == len(set(heads))
    assert apart.steps[apart.pairs[0]] == min(apart.steps[i, j] for i in range(6) for j in range(i))
    assert pairs_said(some, apart).startswith("Best pairs: Panel 2 with Panel 5, ")


def test_heads_that_all_match_are_said_to():
    assert said(units((5810, -0.0014), (5812, -0.0013), (5811, -0.0013))) == ["All 3\xa0heads match."]


def test_two_are_held_against_each_other():
    assert said(units((5800, 0.0), (5800, 0.0036))) == ["Panel 2 is about an eighth greener than Panel 1."]


def test_of_scattered_heads_none_is_the_odd_one():
    apart = compare([unit.white for unit in units((5000, 0.0), (5600, 0.0), (6300, 0.0))])
    assert (apart.odd, apart.matching, apart.pairs) == (None, (), ())
    assert apart.middle == 1


def test_groups_that_match_never_hold_two_that_do_not():
    apart = compare([unit.white for unit in units(*((5600 + 12 * k, 0.0) for k in range(8)))])
    for group in apart.matching:
        assert max(apart.steps[i, j] for i in group for j in group) <= 1.0


def test_without_a_group_each_is_called_by_its_name():
    some = units((5810, -0.0014), (5812, -0.0013), (5800, 0.0024))
    assert said(some, "")[0] == "Panel 1 and Panel 2 match."


def test_a_green_head_is_brought_to_another_by_gel():
    white = measure(read(100, cct=5810, duv=-0.0014))
    found = to_match(PANEL, [Reading(cct=5800, duv=0.0024)], white, shipped_rows())
    assert found.gels == ("Minus green 1/8",)
    assert found.dial is None


def test_a_head_with_dials_is_brought_by_its_dials_within_their_range():
    reach = Reach(cct_from=2700, cct_to=6500, cct_step=50, green_from=-10, green_to=10)
    head = KnownHead(name="Tube", kind=Kind.LED_MIX, reach=reach)
    readings = [
        Reading(cct=4400, duv=0.0, dial=Setting(cct=4500)),
        Reading(cct=5380, duv=0.0, dial=Setting(cct=5600)),
    ]
    found = to_match(head, readings, measure(read(100, cct=5590, duv=0.0)), shipped_rows())
    assert found.gels == ()
    assert 5700 <= found.dial.cct <= 5950
    assert found.seen in (Seen.MATCHES, Seen.CLOSE)
    narrow = head.model_copy(update={"reach": reach.model_copy(update={"cct_to": 5650.0})})
    assert to_match(narrow, readings, measure(read(100, cct=5590, duv=0.0)), shipped_rows()).dial in (
        None,
        Setting(cct=5650),
    )


def test_all_are_brought_to_one_that_is_not_the_odd_one():
    some = units((5640, 0.0050), (5810, -0.0014), (5600, 0.0))
    apart = compare([unit.white for unit in some])
    assert apart.matching == ()
    assert compare([unit.white for unit in units((5800, 0.0040), (5800, 0.0))]).middle == 1
    apart = compare([unit.white for unit in units((3200, 0.0030), (5600, 0.0), (5650, 0.0020))])
    assert apart.odd == 0
    assert apart.middle != 0


def test_the_odd_one_is_said_once_and_not_the_other_way_beside_one_of_the_rest():
    some = units((5600, -0.0026), (5610, 0.0008), (3200, -0.0018))
    lines = said(some, "")
    assert "than the rest." in lines[-2]
    assert lines[-1].startswith("Farthest apart: ")
    assert "greener" not in lines[-1] and "magenta" not in lines[-1]
