"""Gels learnt from a measured transmittance, and rows held against their curves."""

import numpy as np
import pytest

from advisor.advice.stacks.gel_arrays import gel_arrays_of, nominal_stops
from advisor.advice.teaching.possible_rows import checked, is_taught
from advisor.advice.teaching.teach import from_transmittance
from advisor.colour.observer.grid import WAVELENGTHS
from advisor.colour.spectra import gels
from advisor.model import Gel, Refused, Transmittance
from tests.advice.taught import CC_BACK, MIRED_BACK, ROW, STOPS_BACK, TABLE, flat


def curve_of(gel):
    [sheet] = gel_arrays_of((gel,)).transmittances
    return Transmittance(start=float(WAVELENGTHS[0]), step=5, values=sheet.tolist())


class TestTransmittance:
    @pytest.mark.parametrize("name", list(ROW))
    def test_the_curve_of_a_row_gives_its_figures_back(self, name):
        row = ROW[name]
        lesson = from_transmittance(row, curve_of(row))
        assert lesson.new.mired == pytest.approx(row.mired, abs=MIRED_BACK)
        assert lesson.new.cc == pytest.approx(row.cc, abs=CC_BACK)
        assert lesson.new.stops == pytest.approx(nominal_stops(gel_arrays_of((row,)))[name], abs=STOPS_BACK)
        assert lesson.off_steps < 0.01

    def test_a_flat_half_is_a_stop_and_no_colour(self):
        new = from_transmittance(ROW["CTO 1/2"], flat(0.5)).new
        assert (new.mired, new.cc, new.stops) == (pytest.approx(0, abs=0.02), pytest.approx(0, abs=0.02), 1.0)

    def test_a_cooling_curve_on_a_warming_row_is_described_on_its_own_reference(self):
        new = from_transmittance(ROW["CTO 1/4"], curve_of(ROW["CTB 1/2"])).new
        assert new.mired == pytest.approx(ROW["CTB 1/2"].mired, abs=MIRED_BACK)
        assert new.cc == pytest.approx(0, abs=CC_BACK)

    def test_a_curve_is_described_on_the_reference_of_what_it_does(self):
        tint = gels.transmittances(np.array([-4.0]), np.array([0.0]), np.array([np.nan]))[0]
        [green] = gel_arrays_of((ROW["Minus green 1/4"],)).transmittances
        curve = Transmittance(start=380, step=5, values=(green * tint).tolist())
        new = from_transmittance(ROW["Minus green 1/4"], curve).new
        assert (new.mired, new.cc, new.reference) == (
            pytest.approx(-4.5, abs=0.1),
            pytest.approx(-7.5, abs=0.1),
            None,
        )

    def test_what_is_no_longer_a_white_is_refused(self):
        red = Transmittance(start=380, step=5, values=[0.9 if nm > 620 else 0.0 for nm in range(380, 785, 5)])
        with pytest.raises(Refused, match="no longer a white"):
            from_transmittance(ROW["CTO full"], red)

    def test_a_curve_too_dark_for_a_row_is_refused_with_words(self):
        with pytest.raises(Refused, match=r"Light lost 11.* is out of range"):
            from_transmittance(ROW["ND 0.3"], Transmittance(start=380, step=5, values=[0.0004] * 80 + [0.01]))

    def test_it_was_measured_and_not_taught_by_a_pair(self):
        taught = ROW["CTO 1/2"].model_copy(update={"note": "taught by a pair of readings; mine"})
        new = from_transmittance(taught, flat(0.5)).new
        assert (new.note, is_taught(new)) == ("mine", False)


class TestChecked:
    @pytest.mark.parametrize("row", TABLE, ids=lambda g: g.name)
    def test_a_row_that_can_be_is_left_as_it_is(self, row):
        assert checked(row) is row

    @pytest.mark.parametrize(
        ("figures", "column", "says"),
        [
            ({"mired": 500, "cc": 100}, "cc", "more than 50 CC"),
            ({"mired": -400}, "mired", "out of 1 000 to 25 000 K"),
            ({"cc": 60}, "cc", "more than 50 CC"),
            ({"mired": 134, "stops": 0.1}, "stops", "0.1 stops is too little"),
        ],
    )
    def test_what_no_gel_can_do_is_told_with_its_column(self, figures, column, says):
        with pytest.raises(Refused) as no:
            checked(Gel(family="Made", fraction="full", **figures))
        (problem,) = no.value.problems
        assert problem.where == column
        assert says in problem.says
        assert problem.says.startswith("Made full: ")

    def test_a_measured_row_without_figures_gets_those_of_its_curve(self):
        bare = Gel(family="Made", fraction="full", stops=0, transmittance=curve_of(ROW["CTO 1/2"]))
        row = checked(bare)
        assert row.mired == pytest.approx(ROW["CTO 1/2"].mired, abs=MIRED_BACK)
        assert checked(row) is row

    def test_a_measured_row_keeps_the_figures_that_it_has(self):
        row = Gel(family="Made", fraction="full", mired=500, cc=100, transmittance=flat(0.5))
        assert checked(row) is row
