"""The shift plane as it is laid out: nothing on top of anything else, nothing outside."""

from collections import Counter
from itertools import combinations, pairwise
from math import dist

import pytest

from advisor.advice.plan.make import make_plan
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Limits, Reading, Source, Target
from advisor.web.pictures.chromaticity_diagram import diagram
from advisor.web.pictures.shift_plane import apart, picture

SIZE = 358
"""How wide the plane is drawn. [px]"""
TOUCH = 27
"""Half of what a thumb needs. [px]"""

GELS = shipped_gels().rows


def plan_of(readings, target=None):
    sources = [Source(name=f"Head {i}", reading=Reading(cct=c, duv=d)) for i, (c, d) in enumerate(readings)]
    return make_plan(sources, target or Target(cct=5600), Limits(max_layers=1), GELS)


def draw(readings, **target):
    plan = plan_of(readings, **target)
    return picture(plan, [h.source.name for h in plan.heads], 3.0)


@pytest.mark.parametrize("count", [2, 12, 40])
@pytest.mark.parametrize("gap", [20.0, 63.0])
def test_points_in_one_place_are_moved_apart(count, gap):
    placed = apart([(100.0, 100.0)] * count, gap=gap, low=27.0, high=331.0)
    assert min(dist(a, b) for a, b in combinations(placed, 2)) >= gap - 0.5
    assert all(27.0 <= x <= 331.0 for x, _ in placed)


def test_points_that_are_apart_stay():
    points = [(50.0, 50.0), (150.0, 50.0), (100.0, 150.0)]
    assert apart(points, gap=63.0, low=27.0, high=331.0) == points


def test_warm_is_to_the_right_and_green_is_up():
    warm, cool, green, magenta = draw([(4500, 0.0033), (7500, 0.0033), (5600, 0.013), (5600, -0.007)]).labels
    assert warm.start[0] > SIZE / 2 > cool.start[0]
    assert green.start[1] < SIZE / 2 < magenta.start[1]


def test_everything_lies_within_the_picture():
    plane = draw([(2700, 0.02), (9000, -0.02), (5600, 0.0033), (5610, 0.0033), (5590, 0.0033), (3200, 0)])
    for label in plane.labels:
        assert TOUCH <= label.x <= SIZE - TOUCH
        assert plane.top + TOUCH <= label.y <= plane.bottom - TOUCH
        for pair in label.points.split():
            x, y = map(float, pair.split(","))
            assert 0 <= x <= SIZE
            assert plane.top < y < plane.bottom
    for mark in plane.marks:
        assert plane.top < mark.at[1] < plane.bottom
        assert all(dist(mark.at, (label.x, label.y)) >= 20 for label in plane.labels)


def along(points, every=1.0):
    """Points along a line, one a pixel."""
    for (ax, ay), (bx, by) in pairwise(points):
        for k in range(int(dist((ax, ay), (bx, by)) / every) + 1):
            share = k * every / max(dist((ax, ay), (bx, by)), every)
            yield ax + share * (bx - ax), ay + share * (by - ay)


def holds(word, point):
    return all(abs(point[k] - word.at[k]) < word.half[k] for k in (0, 1))


def read(points):
    return [tuple(map(float, pair.split(","))) for pair in points.split()]


SCATTERED = [
    [(3200, 0.0), (6500, 0.003), (5600, 0.012), (4300, -0.002)],
    [(2700, 0.02), (9000, -0.02), (5600, 0.0033), (5610, 0.0033), (5590, 0.0033), (3200, 0)],
    [(4000 + 350 * k, 0.0033 - 0.0004 * k) for k in range(10)],
    [(5600, 0.0033 + 0.002 * k) for k in range(-3, 6)],
]


@pytest.mark.parametrize("readings", SCATTERED)
def test_marks_stand_clear_of_trails_numbers_and_each_other_and_come_in_pairs(readings):
    plane = draw(readings)
    for word in plane.marks:
        for label in plane.labels:
            assert not any(holds(word, at) for at in along(read(label.points)))
            assert not holds(word, label.end)
            if label.moved:
                assert not any(holds(word, at) for at in along([label.start, (label.x, label.y)]))
            assert not any(dist(at, (label.x, label.y)) < 12 for at in corners(word))
    for one, other in combinations(plane.marks, 2):
        assert not any(holds(one, at) for at in corners(other))
    centre = SIZE / 2
    across = [w for w in plane.marks if abs(w.at[1] - centre) < 25 and abs(w.at[0] - centre) > 17]
    for axis in (across, [word for word in plane.marks if word not in across]):
        assert Counter(word.text for word in axis) == Counter({word.text: 2 for word in axis})


def corners(word):
    (x, y), (wide, high) = word.at, word.half
    return [(x + i * wide, y + k * high) for i in (-1, 0, 1) for k in (-1, 0, 1)]


def test_marks_are_there_where_there_is_room():
    assert len(draw([(3200, 0.0), (6500, 0.006)]).marks) >= 8


@pytest.mark.parametrize("readings", SCATTERED)
def test_the_diagrams_kelvins_stand_clear_of_the_loci_and_of_numbers(readings):
    drawn = diagram(plan_of(readings))
    words = [word for _, word in drawn.kelvins if word]
    assert len(words) >= 3
    for word in words:
        for locus in (drawn.planckian, drawn.daylight):
            assert not any(holds(word, at) for at in along(read(locus)))
        for _, number, point in drawn.sources:
            assert not holds(word, point)
            assert not any(dist(at, number) < drawn.number for at in corners(word))
    for one, other in combinations(words, 2):
        assert not any(holds(one, at) for at in corners(other))


def test_a_number_that_was_moved_is_led_back_to_its_place():
    labels = draw([(5600, 0.0033)] * 4).labels
    assert len({label.start for label in labels}) == 1
    assert any(label.moved for label in labels)
    assert all(label.moved == (dist(label.start, (label.x, label.y)) > 12) for label in labels)


def test_nothing_is_drawn_where_there_is_nothing():
    assert draw([]) is None
    assert diagram(plan_of([])) is None
    lost = plan_of([(5600, 0.003)], target=Target(source="Nobody"))
    assert picture(lost, ["Head 0"], 3.0) is None
    assert diagram(lost).target is None


def test_the_diagrams_numbers_stand_apart_from_each_other_and_within_reach_of_their_points():
    drawn = diagram(plan_of([(5600, 0.0033)] * 6 + [(3200, 0)]))
    places = [at for _, at, _ in drawn.sources]
    assert min(dist(a, b) for a, b in combinations(places, 2)) >= 19.5
    assert len({point for _, _, point in drawn.sources}) == 2
    assert max(dist(at, point) for _, at, point in drawn.sources) < 70


def gathered(readings):
    plan = plan_of(readings)
    return picture(plan, [h.source.name for h in plan.heads], 3.0, gather=True)


FOUR_APART = [(3200, 0.0), (4300, -0.002), (6500, 0.003), (5600, 0.012)]


def test_of_more_than_six_sources_those_that_lie_together_get_one_mark():
    plane = gathered([*FOUR_APART, (3200, 0.0), (3210, 0.0), (3190, 0.0001)])
    assert [label.text for label in plane.labels] == ["4×", "2", "3", "4"]
    first = plane.labels[0].spot
    assert [head.number for head in first.heads] == [1, 5, 6, 7]
    assert first.words == "4 together: 1 Head 0, 5 Head 4, 6 Head 5, 7 Head 6"
    assert plane.labels[1].spot.words == "2, Head 1"
    assert len(plane.trails) == 7
    places = [(label.x, label.y) for label in plane.labels]
    assert min(dist(a, b) for a, b in combinations(places, 2)) > 2 * TOUCH


def test_up_to_six_sources_and_on_paper_each_has_its_number():
    assert [label.text for label in gathered([(3200, 0.0)] * 6).labels] == list("123456")
    assert [label.text for label in draw([(3200, 0.0)] * 7).labels] == list("1234567")
    assert not draw([(3200, 0.0)] * 7).gathered


def test_gathered_ways_go_straight_to_where_they_land():
    """Gel by gel, the ways of many cross so often that nobody follows one."""
    plan = plan_of([(3200, 0.0)] * 7)
    names, bent = [h.source.name for h in plan.heads], [[(-30.0, 6.0), (8.0, 6.0), (8.0, 1.0)]] * 7
    for gather, corners in ((False, 3), (True, 2)):
        ways = picture(plan, names, 3.0, trails=bent, gather=gather).trails
        assert [len(points.split()) for points, _ in ways] == [corners] * 7
        assert read(ways[0][0])[0][0] < SIZE / 2 < ways[0][1][0]


def test_gathered_ways_begin_at_their_marks():
    plane = gathered([*FOUR_APART, (3200, 0.0), (3210, 0.0), (3190, 0.0001)])
    begin = Counter(tuple(read(points)[0]) for points, _ in plane.trails)
    marks = {(round(label.x, 1), round(label.y, 1)): len(label.spot.heads) for label in plane.labels}
    assert begin == marks == {at: many for at, many in marks.items() if many in (1, 4)}
    assert not any(label.moved for label in plane.labels)


def test_no_source_is_gathered_that_lies_farther_than_a_marks_width():
    readings = [(2700 + 400 * k, 0.0033) for k in range(12)]
    plane, alone = gathered(readings), {label.index: label.start for label in draw(readings).labels}
    for label in plane.labels:
        assert all(dist(alone[head.index], label.start) < 45 for head in label.spot.heads)
    assert sum(len(label.spot.heads) for label in plane.labels) == 12


@pytest.mark.parametrize(("more", "duv"), [(0, 0.003), (200, -0.001), (200, 0.0), (300, 0.0)])
def test_no_fraction_stands_under_the_mark_of_many(more, duv):
    ccts = (6469, 5669, 5269, 4169, 3069, 4569)
    plane = gathered([(cct + more + 7 * k, duv) for k in range(5) for cct in ccts])
    assert plane.marks and "10×" in [label.text for label in plane.labels]
    for word in plane.marks:
        wide, high = word.half
        for label in plane.labels:
            across, along = abs(label.x - word.at[0]) - wide, abs(label.y - word.at[1]) - high
            assert dist((max(across, 0.0), max(along, 0.0)), (0.0, 0.0)) >= label.radius + 2
