"""A head that was dimmed once its gels hung, where nobody had said at which level it was read bare."""

import pytest

from tests.advice.lamps import hung, lamp, off_target, plan, planckian, read

GELS = ["CTB full"]
HALF = 50.0


@pytest.fixture
def dimmed():
    """Return the head with what was read behind its gels at half, and what was read bare there, if it was."""
    source = hung(lamp(planckian(3200), lux=1500.0), GELS)

    def at_half(found, *bare):
        work = source.work.model_copy(update={"read_bare": source.reading, "read_behind": found})
        readings = [source.reading, *bare]
        told = {"level": HALF, "work": work, "reading": readings[-1], "readings": readings[:-1]}
        return plan(source.model_copy(update=told)).alone

    return at_half


def behind(kelvin):
    return read(planckian(kelvin), GELS, lux=1500.0, brightness=0.5).model_copy(update={"level": HALF})


def test_what_was_read_behind_the_gels_at_the_level_in_use_judges_them(dimmed):
    head = dimmed(behind(3200))
    assert head.problems == ()
    assert head.check.left == pytest.approx(off_target(planckian(3200), GELS), abs=0.1)
    assert head.check.stops is None, "its light bare at that level is not known"
    assert "Nobody read it bare at 50 %: its light there is a guess." in head.notes


def test_a_bare_reading_there_says_how_bright_it_should_be(dimmed):
    bare = read(planckian(3200), lux=750.0).model_copy(update={"level": HALF})
    assert dimmed(behind(3200), bare).check.stops == pytest.approx(0.0, abs=0.1)


def test_without_any_reading_at_that_level_one_is_asked_for(dimmed):
    head = dimmed(None)
    assert head.check is None
    assert "a bare reading at 50 %" in head.problems[0].allowed
    elsewhere = behind(3200).model_copy(update={"level": None})
    assert dimmed(elsewhere).check is None, "that may have been read before it was dimmed"
