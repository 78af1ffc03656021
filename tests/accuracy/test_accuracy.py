"""The goals of the accuracy check, on the odd rows; and the check itself on lamps of our own."""

import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.loci import planckian
from advisor.model import Kind
from tests.accuracy.filters import DYE_SETS, LABELS, filters
from tests.accuracy.lamps import INFO, SPECTRA, WAVELENGTHS, NoData, lamps, read, uv_at_1_nm
from tests.accuracy.picture import GREY, Curve, draw, within
from tests.accuracy.summary import (
    INSIDE,
    MEDIAN,
    NINETIETH,
    NINETIETH_WITH_FIGURES,
    REGRET_MEDIAN,
    REGRET_NINETIETH,
    Table,
    inside,
    measure,
    measure_regret,
    median,
    ninetieth,
    spread,
)
from tests.accuracy.trials import Knows, by_arithmetic, is_itself, trial
from tests.thorough import THOROUGH

REGRET_DYES = (DYE_SETS[0], DYE_SETS[4])[: 1 + THOROUGH]
"""The whole check uses all sets; with two the regret is within 0.0002 of that, with one within 0.0003."""
LABEL_ERROR = {"cct": 0.5, "duv": 2e-6}
"""How exactly a label holds, for the eye's share beyond 380 to 780 nm. [K] and Duv"""


@pytest.fixture(scope="module")
def told(odd):
    return measure(odd, DYE_SETS, Knows.READING)


@pytest.fixture(scope="module")
def told_figures(odd):
    return measure(odd, DYE_SETS, Knows.FIGURES)


@pytest.fixture(scope="module")
def regrets(odd):
    return {layers: measure_regret(odd, REGRET_DYES, layers, Knows.READING) for layers in (2, 3)}


def at_most(goal, values, figure, what):
    found = spread(values, figure)
    message = (
        f"{what}: {found.mean:.6f} (by dyes {found.least:.6f} to {found.most:.6f}), the goal is {goal:.4f}"
    )
    assert found.mean <= goal, message


def test_the_check_is_about_as_many_lamps_as_it_says(odd):
    assert len(odd) == 142
    assert {lamp.kind for lamp in odd} == set(Kind)


def test_median_error(told):
    at_most(MEDIAN, told.error, median, "median error")


def test_ninetieth_percentile(told):
    at_most(NINETIETH, told.error, ninetieth, "90th percentile")


def test_ninetieth_percentile_with_ra_and_r9(told_figures):
    at_most(NINETIETH_WITH_FIGURES, told_figures.error, ninetieth, "90th percentile with Ra and R9")


def test_share_inside_the_stated_interval(told, told_figures):
    everyone = np.ones(told.error.shape[1], dtype=bool)
    for tried, what in ((told, "CCT, Duv and kind"), (told_figures, "with Ra and R9")):
        share = inside(tried, everyone)
        assert INSIDE[0] <= share.mean <= INSIDE[1], f"{what}: {share.mean:.3f} inside the stated 90 %"


def test_discharge_lamps_hold_what_is_stated(odd, told):
    """Few lamps, and of kinds that differ: mercury, and iodides of several metals."""
    chosen = np.array([lamp.kind is Kind.DISCHARGE for lamp in odd])
    assert chosen.sum() >= 6
    assert inside(told, chosen).mean >= 0.85


def test_plain_arithmetic_is_as_far_off_as_the_goals_suppose(told):
    assert 0.003 < spread(told.plain, median).mean < 0.005
    assert 0.015 < spread(told.plain, ninetieth).mean < 0.025


def test_regret_median(regrets):
    for layers, found in regrets.items():
        at_most(REGRET_MEDIAN, found.first - found.least, median, f"{layers} layers, median regret")


def test_regret_ninetieth_of_two_layers(regrets):
    at_most(REGRET_NINETIETH, regrets[2].first - regrets[2].least, ninetieth, "2 layers, 90 % regret")


@pytest.mark.xfail(strict=True, reason="missed: the prediction's own error, after three gels, is as large")
def test_regret_ninetieth_of_three_layers(regrets):
    at_most(REGRET_NINETIETH, regrets[3].first - regrets[3].least, ninetieth, "3 layers, 90 % regret")


def test_nothing_beats_the_least_miss(regrets):
    for found in regrets.values():
        for chosen in (found.first, found.nearest, found.plain, found.knowing):
            assert (chosen >= found.least).all()


# What follows needs no data: lamps made of formulas, in files of the same form.


def test_models_and_colours_far_from_white_are_left_out(folder):
    assert [(lamp.number, lamp.kind, lamp.odd) for lamp in lamps(folder)] == [
        (1, Kind.TUNGSTEN, True),
        (4, Kind.SODIUM, False),
        (6, Kind.DAYLIGHT, False),
        (7, Kind.FLUORESCENT, True),
    ]


def test_a_meter_prints_whole_figures(folder):
    lamp = lamps(folder)[0]
    assert (lamp.ra, lamp.r9) == (100, 100)
    assert lamp.cct == pytest.approx(3000.0, abs=1.0) and isinstance(lamp.ra, int)


def test_a_folder_without_the_files_is_named(tmp_path):
    with pytest.raises(NoData, match=f"{tmp_path.name} holds no {SPECTRA} and no {INFO}"):
        lamps(tmp_path)


def test_files_that_do_not_belong_together_are_named(folder):
    (folder / INFO).write_text("nr,name,type,category,\n1,One,Other,Commercial,\n", encoding="latin-1")
    with pytest.raises(NoData, match=INFO):
        read(folder)


def test_the_lamp_that_is_an_archetype_is_left_out_of_its_own_check(folder):
    *_, lamp = lamps(folder)
    assert is_itself(lamp, "FL2") and not is_itself(lamp, "FL3") and not is_itself(lamp, "white-led 3")
    with_itself = trial(lamp, DYE_SETS[0], Knows.READING, leave_out=False)
    without = trial(lamp, DYE_SETS[0], Knows.READING)
    assert np.median(with_itself.error) < np.median(without.error)


def test_a_planckian_lamp_is_foreseen_but_for_the_dyes(folder):
    lamp = lamps(folder)[0]
    told, whole = (trial(lamp, DYE_SETS[0], knows) for knows in (Knows.READING, Knows.SPECTRUM))
    assert told.error.max() < 0.004 and whole.error.max() < 0.004
    assert (whole.stated < told.stated).all()


@pytest.mark.parametrize("dyes", DYE_SETS, ids=lambda dyes: dyes.name)
def test_the_labels_hold_on_their_reference_at_1_nm(dyes):
    made = filters(dyes)
    assert made.transmittances.min() > 0.0 and made.transmittances.max() <= 1.0
    for label, passed, row in zip(LABELS, made.transmittances, made.rows, strict=True):
        reference = 3200.0 if label.mired < 0 else 5600.0
        cct, duv = cct_duv_of_uv(uv_at_1_nm(planckian(reference, WAVELENGTHS) * passed))
        assert cct == pytest.approx(1e6 / (1e6 / reference + label.mired), abs=LABEL_ERROR["cct"]), label
        assert duv == pytest.approx(label.cc / 1000.0, abs=LABEL_ERROR["duv"]), label
        assert row.stops > 0.1


@pytest.mark.parametrize("dyes", DYE_SETS, ids=lambda dyes: dyes.name)
def test_the_checks_gels_are_not_the_products(dyes):
    made = filters(dyes)
    gel_arrays = gel_arrays_of(made.rows)
    ours = gel_arrays.transmittances[gel_arrays.find([gel.name for gel in made.rows])]
    strongest = [3, 7, 11, 15]
    assert (np.abs(ours - made.transmittances[:, ::5]).max(axis=1)[strongest] > 0.02).all()


def test_arithmetic_adds_labels_and_gives_up_beyond_white(folder):
    lamp = lamps(folder)[0]
    found = by_arithmetic(lamp, np.array([100.0, -330.0, 0.0]), np.array([0.0, 0.0, 60.0]))
    cct, duv = cct_duv_of_uv(found[0])
    assert (float(cct), float(duv)) == pytest.approx((1e6 / (1e6 / lamp.cct + 100.0), lamp.duv), abs=1e-4)
    assert np.isnan(found[1:]).all()


def test_a_share_counts_what_has_no_answer_as_outside():
    errors = np.array([0.5, 1.0, 2.0, np.nan])
    assert within(errors, np.array([0.0, 1.0, 5.0])).tolist() == [0.0, 0.5, 0.75]


def test_the_picture_is_sound_and_grey():
    errors = np.random.default_rng(1).rayleigh(2.0, 500)
    svg = draw(
        [Curve("a < b", errors, 2.0, "4 2", (1.0, 0.5)), Curve("c", errors * 2, 1.0, "", (2.0, 0.5))],
        "T",
        "D & d",
    )
    root = ET.fromstring(svg)
    space = "{http://www.w3.org/2000/svg}"
    assert [e.tag.removeprefix(space) for e in root[:2]] == ["title", "desc"]
    lines = root.findall(f"{space}polyline")
    assert len(lines) == 2 and len({line.get("stroke-dasharray") for line in lines}) == 2
    assert {e.get(key) for e in root.iter() for key in ("fill", "stroke")} == {GREY, "none", None}
    for line in lines:
        heights = [float(point.split(",")[1]) for point in line.get("points").split()]
        assert heights == sorted(heights, reverse=True)
    assert "a < b" in [e.text for e in root.findall(f"{space}text")]


def test_a_table_is_written_both_ways():
    table = Table("Title", ("figure", "one"), [("first", "0.1"), ("the second", "22")])
    assert table.markdown().splitlines()[2:] == [
        "| figure | one |", "| --- | ---: |", "| first | 0.1 |", "| the second | 22 |",
    ]  # fmt: skip
    assert table.text().splitlines()[2:] == ["figure      one", "first       0.1", "the second   22"]


def test_a_figure_is_the_mean_over_the_dyes():
    found = spread(np.array([[1.0, 3.0], [5.0, np.nan]]), median)
    assert found == (3.5, 2.0, 5.0)


def test_the_picture_of_the_last_run_is_beside_the_check():
    ET.parse(Path(__file__).with_name("validation.svg"))
