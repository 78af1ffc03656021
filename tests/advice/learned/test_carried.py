"""What a weak sheet says of the other fractions of its family: it is carried over, and doubted."""

import pytest

from advisor.advice.plan.questions import by_hand
from tests.advice.learned.test_sheet_strength import FULL, head, seen, told

HALF = "CTB 1/2"
WEAK = 0.77
SERIES = {HALF: WEAK, "CTB 1/4": WEAK, "CTB 1/8": WEAK, FULL: WEAK}


def full_after(true, *read_behind):
    """What is said of the full sheet on a lamp that was read behind others, beside what it truly gives."""
    plan = told(head(2950, *(seen(2950, gels, true) for gels in read_behind)))
    return by_hand(plan, 0, [FULL]), seen(2950, [FULL], true)


@pytest.mark.parametrize(
    "true",
    [{HALF: WEAK, FULL: 0.98}, {HALF: WEAK, FULL: 0.9}, SERIES, {}],
    ids=["one faded", "each by itself", "all weak", "as labelled"],
)
def test_the_full_sheet_is_within_what_is_said_of_it(true):
    told_of, read = full_after(true, [HALF])
    # A mired is 0.4 step near here.
    assert abs(1e6 / told_of.after.cct - 1e6 / read.cct) * 0.4 <= told_of.uncertainty_steps


def test_a_sheet_at_its_label_leaves_the_others_as_sure_and_a_weak_one_does_not():
    sure, _ = full_after({}, [HALF])
    weak, _ = full_after({HALF: WEAK}, [HALF])
    unread, _ = full_after({})
    assert sure.uncertainty_steps < unread.uncertainty_steps < weak.uncertainty_steps


def test_once_the_full_sheet_was_read_it_is_as_sure_as_ever():
    """Whatever the half one was: nothing is carried over to what was read."""
    both, read = full_after({HALF: WEAK, FULL: 0.98}, [HALF], [FULL, "Plus green 1/8"])
    assert both.uncertainty_steps < 4
    assert abs(1e6 / both.after.cct - 1e6 / read.cct) < 5
