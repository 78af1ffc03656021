"""Rows in which one number makes another unlikely are asked about. Common practice, no source."""

import pytest

from advisor.imports import read_readings

CROSSED = "Source\tCCT (K)\tDuv\tE (lx)\nKey\t5480\t0.0042\t1240\nFill\t{}\t0.0031\t{}\n"


def _only(paste, key):
    return next((question for question in paste.asked if question.key == key), None)


@pytest.mark.parametrize(("cct", "lux"), [("1240", "5480"), ("1 360 K", "3 200"), ("18400", "5600 lx")])
def test_a_cct_and_a_light_that_may_be_swapped_wait_for_an_answer(cct, lux):
    text = CROSSED.format(cct, lux)
    paste = read_readings(text)
    question = _only(paste, "crossed")
    assert question is not None and question.lines == [3]
    assert [row.source is None for row in paste.rows] == [False, True]
    swapped, left = (read_readings(text, {"crossed": answer}).rows[1] for answer in ("yes", "no"))
    read = [
        (row.source.reading.cct, row.source.reading.lux) for row in (swapped, left) if row.source is not None
    ]
    assert read[0] == read[1][::-1]
    assert 2000 <= read[0][0] <= 6000


@pytest.mark.parametrize(
    ("cct", "lux"), [("1900", "5480"), ("2050", "3100"), ("5480", "1240"), ("12000", "6400"), ("1240", "18")]
)
def test_candles_sodium_and_skies_are_not(cct, lux):
    assert _only(read_readings(CROSSED.format(cct, lux)), "crossed") is None


@pytest.mark.parametrize(
    "text",
    [
        # u′, v′ of 5 580 K and of 2 760 K near the locus, CIE 1976; worked out from CIE 15:2018.
        "Light\tCCT (K)\tu′\tv′\nPanel\t5580\t0.2048\t0.4783\nBulb\t5490\t0.2601\t0.5249\n",
        "Light\tCCT (K)\tDuv\tu′\tv′\nPanel\t5580\t0.002\t0.2048\t0.4783\nBulb\t5490\t0\t0.2601\t0.5249\n",
        "Light\tCCT (K)\tCC\tx\ty\nPanel\t5480\t4\t0.333\t0.350\nBulb\t3190\t-1\t0.333\t0.350\n",
    ],
)
def test_chromaticities_of_another_light_than_the_cct_are_asked_about(text):
    paste = read_readings(text)
    question = _only(paste, "quarrel")
    assert question is not None
    assert [row.source is None for row in paste.rows] == [False, True]
    said = read_readings(text, {"quarrel": "xy"}).rows[1].source
    assert said is not None and said.reading.xy is not None


def test_chromaticities_that_are_swapped_are_so_in_one_tap():
    text = "Light\tCCT (K)\tu′\tv′\nPanel\t5580\t0.4783\t0.2048\nBulb\t2760\t0.5249\t0.2601\n"
    question = _only(read_readings(text), "quarrel")
    assert question is not None and question.likely == "swap"
    first = read_readings(text, {"quarrel": "swap"}).rows[0].source
    assert first is not None and first.reading.xy == pytest.approx((0.3306, 0.3431), abs=0.0001)


class TestChromaticitiesAlone:
    SWAPPED = "Light;x;y\nPanel;0.343;0.331\nBulb;0.407;0.454\n"

    def test_that_are_white_only_once_they_are_swapped_are_asked_about(self):
        question = _only(read_readings(self.SWAPPED), "quarrel")
        assert question is not None and question.likely == "swap"
        first = read_readings(self.SWAPPED, {"quarrel": "swap"}).rows[0].source
        assert first is not None and first.reading.xy == (0.331, 0.343)
        kept = read_readings(self.SWAPPED, {"quarrel": "xy"}).rows[0].source
        assert kept is not None and kept.reading.xy == (0.343, 0.331)

    @pytest.mark.parametrize("second", ["Green sign;0.30;0.55", "Bulb;0.454;0.407"])
    def test_others_are_read(self, second):
        paste = read_readings(f"Light;x;y\nPanel;0.331;0.343\n{second}\n")
        assert paste.asked == [] and all(row.source for row in paste.rows)
