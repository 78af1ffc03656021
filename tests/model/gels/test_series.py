"""The two series of CTO: figures of common practice, no source, from memory."""

import pytest

from advisor.model import Gel, Known
from advisor.model.gels.series import Series, as_series, in_series, series_of, series_unsaid

LIGHTER = {"1/8": 20, "1/4": 40, "1/2": 80, "3/4": 107, "full": 134}
STRONGER = {"1/8": 25, "1/4": 65, "1/2": 110, "3/4": 135, "full": 160}


def row(fraction="1/2", **changed):
    note = "5600 K becomes 3870 K. Few trucks have it"
    figures = {"mired": 80, "known": Known.GENERIC, "note": note}
    return Gel(**{"family": "CTO", "fraction": fraction, **figures, **changed})


@pytest.mark.parametrize(("series", "shifts"), [(Series.LIGHTER, LIGHTER), (Series.STRONGER, STRONGER)])
def test_a_row_takes_the_figures_of_its_series_and_ten_per_cent(series, shifts):
    rows = [as_series(row(fraction), series) for fraction in shifts]
    assert [gel.mired for gel in rows] == list(shifts.values())
    assert {gel.off_percent for gel in rows} == {10}
    assert {gel.known for gel in rows} == {Known.GENERIC}
    assert series_of(rows) is series


def test_not_knowing_keeps_the_lighter_ones_with_the_doubt_that_this_leaves():
    rows = [as_series(as_series(row(fraction), Series.STRONGER), None) for fraction in LIGHTER]
    assert [gel.mired for gel in rows] == list(LIGHTER.values())
    assert {gel.off_percent for gel in rows} == {25}
    assert series_of(rows) is None
    assert all(series_unsaid(gel) for gel in rows)


@pytest.mark.parametrize(
    ("fraction", "kelvin"), [("1/8", 4910), ("1/4", 4110), ("1/2", 3470), ("3/4", 3190), ("full", 2950)]
)
def test_the_note_says_what_daylight_becomes(fraction, kelvin):
    """10⁶ / (10⁶ / 5 600 + mired), to 10 K."""
    note = as_series(row(fraction), Series.STRONGER).note
    assert note == f"5600 K becomes {kelvin} K. Few trucks have it"
    assert as_series(row(fraction, note="shelf 3"), Series.STRONGER).note == "shelf 3"


@pytest.mark.parametrize(
    "other",
    [
        {"known": Known.SWATCH},
        {"known": Known.TAUGHT},
        {"known": Known.MEASURED},
        {"known": None},
        {"family": "CTB", "mired": -70},
        {"fraction": "1/16"},
    ],
)
def test_what_is_known_better_or_is_something_else_is_in_no_series(other):
    assert in_series(row())
    assert not in_series(row(**other))
    assert not series_unsaid(row(**other))


def test_rows_of_either_series_or_of_none_say_nothing_of_it():
    said = as_series(row("1/4"), Series.LIGHTER)
    assert series_of([]) is None
    assert series_of([said, as_series(row("1/2"), Series.STRONGER)]) is None
    assert series_of([said, row()]) is None
    assert series_of([row(mired=85, percent=10)]) is None
    assert series_of([said, row(known=Known.TAUGHT, mired=85)]) is Series.LIGHTER
