"""How much gel openings take: by hand, against a packing piece by piece, and what must hold for any list."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.advice.pull_list.cutting import GelAmount, cut, panels
from advisor.model import Opening
from advisor.model.gels.formats import CUT_FROM, EXAMPLE_SIZES, ComesAs, Format
from tests.strategies import STEADY
from tests.thorough import cases

SHEET = Format(name="Sheet", form=ComesAs.SHEET, width=0.5, length=0.6)
ROLL = Format(name="Roll", form=ComesAs.ROLL, width=1.2, length=8)
MANY = settings(STEADY, max_examples=cases(300))
ABOUT = 1e-6


def of(*openings, size=SHEET, layers=1, whole=0):
    return cut([(Opening(width=w, height=h, count=n), layers) for w, h, n in openings], size, whole=whole)


class TestByHand:
    @pytest.mark.parametrize(
        ("openings", "sheets"),
        [
            ([(0.5, 0.6, 1)], 1),
            ([(0.6, 0.5, 1)], 1),  # turned
            ([(0.5, 0.6, 3)], 3),
            ([(0.25, 0.6, 5)], 3),  # two beside each other
            ([(0.25, 0.3, 9)], 3),  # four a sheet
            ([(0.6, 0.05, 10)], 1),  # ten strips
            ([(0.5, 0.4, 1), (0.2, 0.5, 1)], 1),  # what one leaves, the other takes
            ([(0.5, 0.4, 1), (0.3, 0.5, 1)], 2),
            ([], 0),
        ],
    )
    def test_sheets(self, openings, sheets):
        assert of(*openings).units == sheets

    @pytest.mark.parametrize(
        ("openings", "length", "rolls"),
        [
            ([(1.2, 2.0, 1)], 2.0, 1),
            ([(0.4, 1.0, 1)], 0.4, 1),  # its long side across
            ([(0.6, 1.0, 2)], 1.0, 1),  # beside each other
            ([(0.4, 1.1, 3)], 1.1, 1),  # three along beat three across, 1.2 m
            ([(1.2, 6.0, 2)], 14.0, 2),  # 2 m of the first roll are too short for the second cut
            ([], 0.0, 0),
        ],
    )
    def test_roll(self, openings, length, rolls):
        amount = of(*openings, size=ROLL)
        assert (amount.length, amount.units) == (pytest.approx(length), rolls)

    def test_layers_are_cut_one_by_one(self):
        assert of((0.5, 0.6, 2), layers=3).units == 6

    def test_a_size_that_nobody_gave_is_a_sheet_of_its_own(self):
        assert of((0.25, 0.6, 1), whole=2).units == 3
        assert of(whole=2, size=ROLL).length == pytest.approx(2.4)

    def test_inches_fit_the_sheet_that_is_made_of_inches(self):
        half = Format(name="Sheet", form=ComesAs.SHEET, width=0.5334, length=0.6096)
        assert of((24 * 0.0254, 21 * 0.0254, 1), size=half).units == 1

    def test_five_hundred_of_the_largest_are_counted_too(self):
        amount = of(*[(50, 50, 500)] * 20, size=Format(name="A", form=ComesAs.SHEET, width=0.1, length=0.1))
        assert amount.area >= 20 * 500 * 2500


class TestPanels:
    def test_what_fits_is_one_piece(self):
        assert panels(Opening(width=0.6, height=0.5), SHEET).count == 1
        assert panels(Opening(width=3, height=1.2), ROLL).seams == 0

    def test_a_window_wider_than_the_roll_is_strips_with_the_fewest_seams(self):
        divided = panels(Opening(width=3.0, height=2.3), ROLL)
        # Along the three metres two strips do; upright it would be three.
        assert divided.columns == (3.0,)
        assert divided.rows == pytest.approx((1.2, 1.12))
        assert (divided.count, divided.seams) == (2, 1)

    def test_as_many_either_way_take_the_shorter_seam(self):
        assert panels(Opening(width=2.0, height=2.2), ROLL).columns == (2.0,)
        assert panels(Opening(width=2.2, height=2.0), ROLL).rows == (2.0,)

    def test_the_overlap_counts(self):
        assert panels(Opening(width=2.38, height=3), ROLL).count == 2
        assert panels(Opening(width=2.4, height=3), ROLL).count == 3

    def test_a_window_of_sheets_is_a_grid(self):
        divided = panels(Opening(width=0.9, height=1.1), SHEET)
        assert (len(divided.columns), len(divided.rows), divided.seams) == (2, 2, 2)


class TestArea:
    def test_of_sheets_whole_ones_are_pulled_and_of_roll_the_length(self):
        assert GelAmount(SHEET, 3, 0.0).area == pytest.approx(0.9)  # three of 0.5 m × 0.6 m
        assert GelAmount(ROLL, 1, 2.0).area == pytest.approx(2.4)  # two metres of 1.2 m


class TestSpare:
    @pytest.mark.parametrize(
        ("sheets", "percent", "total"),
        [(1, 0, 1), (1, 10, 2), (10, 10, 11), (11, 10, 13), (0, 50, 0), (3, 100, 6)],
    )
    def test_sheets_are_rounded_up(self, sheets, percent, total):
        assert GelAmount(SHEET, sheets, 0.0).spared(percent).units == total

    @pytest.mark.parametrize(
        ("length", "percent", "total", "rolls"),
        [(2.0, 10, 2.2, 1), (2.01, 0, 2.1, 1), (3.0, 10, 3.3, 1), (7.9, 10, 8.7, 2), (0.0, 10, 0.0, 0)],
    )
    def test_roll_is_rounded_up_to_a_tenth_of_a_metre(self, length, percent, total, rolls):
        spared = GelAmount(ROLL, math.ceil(length / 8), length).spared(percent)
        assert (spared.length, spared.units) == (pytest.approx(total), rolls)


# What must hold for any list.

sides = st.floats(0.01, 3) | st.sampled_from([0.25, 0.3, 0.5, 0.6, 1.2])
openings = st.builds(Opening, width=sides, height=sides, count=st.integers(1, 5))
lists = st.lists(st.tuples(openings, st.integers(1, 3)), max_size=6)
formats = st.builds(
    Format,
    name=st.just("A"),
    form=st.sampled_from(CUT_FROM),
    width=st.floats(0.1, 2),
    length=st.floats(0.1, 9),
) | st.sampled_from([SHEET, ROLL, *EXAMPLE_SIZES.rows])
spares = st.floats(0, 100)


@MANY
@given(lists, formats, spares)
def test_never_less_gel_than_the_openings(wanted, size, spare):
    area = sum(o.width * o.height * o.count * layers for o, layers in wanted)
    amount = cut(wanted, size)
    assert amount.area >= area * (1 - ABOUT) - ABOUT
    assert amount.spared(spare).area >= area * (1 + spare / 100) * (1 - ABOUT) - ABOUT


@MANY
@given(lists, st.data(), formats, spares, st.integers(0, 3))
def test_more_to_cut_never_needs_less(wanted, data, size, spare, whole):
    fewer = [entry for entry in wanted if data.draw(st.booleans())]
    some, all_ = cut(fewer, size), cut(wanted, size, whole=whole)
    assert some.units <= all_.units
    assert some.length <= all_.length
    assert some.spared(spare).area <= all_.spared(spare).area


@MANY
@given(lists, formats)
def test_twice_the_openings_never_need_less(wanted, size):
    once, twice = cut(wanted, size), cut(wanted * 2, size)
    doubled = [(o.model_copy(update={"count": 2 * o.count}), layers) for o, layers in wanted]
    assert twice == cut(doubled, size)
    assert once.units <= twice.units
    assert once.length <= twice.length


@MANY
@given(lists, st.randoms(), formats)
def test_the_order_of_the_openings_does_not_matter(wanted, random, size):
    mixed = list(wanted)
    random.shuffle(mixed)
    assert cut(mixed, size) == cut(wanted, size)


@MANY
@given(lists, formats, spares, spares)
def test_more_spare_is_never_less(wanted, size, one, other):
    low, high = sorted((one, other))
    amount = cut(wanted, size)
    less, more = amount.spared(low), amount.spared(high)
    assert amount.units <= less.units <= more.units
    assert amount.length <= less.length + ABOUT
    assert less.length <= more.length


@MANY
@given(lists, formats, spares)
def test_roll_comes_in_tenths_and_its_rolls_hold_it(wanted, size, spare):
    amount = cut(wanted, size).spared(spare)
    if size.form is ComesAs.SHEET:
        assert amount.length == 0
    else:
        assert amount.length / 0.1 == pytest.approx(round(amount.length / 0.1), abs=1e-6)
        assert amount.length <= amount.units * size.length + ABOUT


@MANY
@given(openings, formats)
def test_panels_cover_the_opening_and_fit_the_gel(opening, size):
    divided = panels(opening, size)
    for parts, side in ((divided.columns, opening.width), (divided.rows, opening.height)):
        assert sum(parts) - 0.02 * (len(parts) - 1) >= side - ABOUT
        assert all(part > 0.02 for part in parts[1:])
    across, along = max(divided.columns), max(divided.rows)
    fits = (across <= size.width + ABOUT and along <= size.length + ABOUT) or (
        across <= size.length + ABOUT and along <= size.width + ABOUT
    )
    assert fits


# The counting against laying down piece by piece.


def laid(wanted, size):
    """Lay every piece in shelves, one by one, each way that is allowed; the least sheets, or end of roll."""
    unit = 1e-4

    def up(x):
        return math.ceil(x / unit - 1e-6)

    pieces = [
        (up(column), up(row))
        for opening, layers in wanted
        for _ in range(opening.count * layers)
        for column in panels(opening, size).columns
        for row in panels(opening, size).rows
    ]
    width, length = (math.floor(x / unit + 1e-6) for x in (size.width, size.length))
    ways = [(width, length)] if size.form is ComesAs.ROLL else [(width, length), (length, width)]
    rules = [lambda p, w: (p[1] / (w // p[0]), p), lambda p, w: -p[0], lambda p, w: p[0]]
    best = math.inf
    for across, along in ways:
        for rule in rules:
            turned = [
                min(
                    (q for q in (p, p[::-1]) if q[0] <= across and q[1] <= along),
                    key=lambda q: rule(q, across),
                )
                for p in pieces
            ]
            x, shelf_end, shelf_start, sheet, placed = across, 0, 0, 0, []
            for a, b in sorted(turned, key=lambda p: (-p[1], -p[0])):
                if x + a > across:
                    x, shelf_start = 0, shelf_end
                    if shelf_start + b > along * (sheet + 1):
                        sheet += 1
                        shelf_start = along * sheet
                    shelf_end = shelf_start + b
                placed.append((x, shelf_start, x + a, shelf_start + b))
                x += a
            check(placed, across, along)
            end = shelf_end if size.form is ComesAs.ROLL else sheet + bool(placed)
            best = min(best, end)
    return best * unit if size.form is ComesAs.ROLL else best


def check(placed, across, along):
    """No two pieces overlap, none sticks out, none lies over the end of a sheet."""
    for i, (x0, y0, x1, y1) in enumerate(placed):
        assert 0 <= x0 < x1 <= across
        assert y0 // along == (y1 - 1) // along
        for u0, v0, u1, v1 in placed[:i]:
            assert x1 <= u0 or u1 <= x0 or y1 <= v0 or v1 <= y0


small = st.builds(Opening, width=st.floats(0.05, 1.3), height=st.floats(0.05, 1.3), count=st.integers(1, 3))


@settings(STEADY, max_examples=cases(200))
@given(
    st.lists(st.tuples(small, st.integers(1, 2)), max_size=4),
    st.builds(
        Format,
        name=st.just("A"),
        form=st.sampled_from(CUT_FROM),
        width=st.floats(0.3, 1.5),
        length=st.floats(0.5, 3),
    ),
)
def test_what_is_counted_can_be_laid_down(wanted, size):
    amount = cut(wanted, size)
    assert (amount.length if size.form is ComesAs.ROLL else amount.units) == pytest.approx(laid(wanted, size))
