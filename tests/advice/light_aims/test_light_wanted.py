"""How much light is asked of each source: by hand, from ISO 2720:1974 and from sums of illuminances.

ISO 2720:1974, incident light: N² / t = E · S / C. Here S = 800, t = 1/48 s (24 frames a second, 180°) and
C = 340 lx·s, the constant of a dome (the standard allows 320 to 540). f/2.8 stands for √8 (ISO 517, from
memory).
"""

import pytest

from advisor.advice.light_aims.wanted import (
    LightAims,
    fill_wanted,
    key_wanted,
    most_beside,
    shared,
)
from advisor.advice.overview.f_number import as_marked, f_stop, lux_for
from advisor.model import Exposure, Role
from tests.advice.rows import source

CAMERA = Exposure(iso=800, frame_rate=24, constant=340)


class TestKey:
    @pytest.mark.parametrize(
        ("number", "camera", "lux"),
        [
            # 8 × 340 × 48 / 800
            (2.8, CAMERA, 163.2),
            # 4 × 340 × 48 / 800
            (2.0, CAMERA, 81.6),
            # 32 × 250 × 50 / 400: f/5.6 is √32, a flat receptor, 1/50 s
            (5.6, Exposure(iso=400, frame_rate=25, shutter_time=0.02, constant=250), 1000.0),
            # 8 × 340 × 96 / 800: a shutter of 90°
            (2.8, Exposure(iso=800, frame_rate=24, shutter_angle=90, constant=340), 326.4),
        ],
    )
    def test_what_an_f_number_asks_for(self, number, camera, lux):
        assert key_wanted(LightAims(camera, f_number=number)) == pytest.approx(lux)

    def test_nothing_is_wanted_where_no_f_number_is_asked(self):
        assert key_wanted(LightAims(CAMERA)) is None

    def test_a_meter_there_reads_that_f_number(self):
        assert f_stop(lux_for(as_marked(2.8), CAMERA), CAMERA).words == "f/2.8"

    @pytest.mark.parametrize(
        ("mark", "squared"),
        # a whole stop doubles the square, a third is the cube root of 2
        [(1.4, 2.0), (2.8, 8.0), (5.6, 32.0), (11, 128.0), (22, 512.0), (3.2, 2.0 ** (10 / 3)), (2.9, 8.41)],
    )
    def test_a_mark_on_a_lens_is_a_power_of_two_and_what_is_no_mark_stays(self, mark, squared):
        assert as_marked(mark) ** 2 == pytest.approx(squared)


class TestBesideTheKey:
    @pytest.mark.parametrize(
        ("ratio", "fill"),
        # (key + fill) : fill = R, with a key of 300 lx
        [(4.0, 100.0), (2.0, 300.0), (1.5, 600.0), (16.0, 20.0)],
    )
    def test_a_ratio_is_the_lit_side_to_the_fill_side(self, ratio, fill):
        found = fill_wanted(LightAims(CAMERA, key_to_fill=ratio), 300.0)
        assert found == pytest.approx(fill)
        assert (300.0 + found) / found == pytest.approx(ratio)

    @pytest.mark.parametrize(("stops", "lux"), [(2.0, 1200.0), (0.0, 300.0), (-1.0, 150.0)])
    def test_a_limit_is_in_stops_over_the_key(self, stops, lux):
        window = source(over_key=stops)
        assert most_beside(LightAims(CAMERA), 0, window, 300.0) == pytest.approx(lux)

    def test_what_is_asked_goes_before_the_sources_own_limit(self):
        assert most_beside(LightAims(CAMERA, over_key={0: 1.0}), 0, source(over_key=5.0), 300.0) == 600.0

    def test_a_key_keeps_no_limit(self):
        assert most_beside(LightAims(CAMERA), 0, source(role=Role.KEY, over_key=1.0), 300.0) is None

    def test_several_share_what_they_are_to_give_as_they_share_it_now(self):
        assert shared(90.0, [100.0, 200.0]) == pytest.approx([30.0, 60.0])
