"""One stock for all sources, as the API answers: what everybody gets can be hung, and the words are true."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from large import mixed_table, some_source
from rows import asking, neutral, nominal, source

from advisor.advice.advise import advise, predict
from advisor.model import PredictionRequest, Target

WARM = {"CTO 1/4": 1, "CTO 1/8": 0, "CTO 1/2": 0, "CTO 3/4": 0, "CTO full": 0}


def stocked(stock, rest=None):
    return [row.model_copy(update={"stock": stock.get(row.name, rest)}) for row in (*nominal(), *neutral())]


def windows(*ccts):
    return [source(f"Window {i}", cct=cct) for i, cct in enumerate(ccts, 1)]


def answers(sources, rows, **limits):
    return advise(asking(*sources, share_stock=True, **limits), rows).sources


def test_nothing_changes_unless_it_is_asked_for():
    for answer in advise(asking(*windows(6800, 7000)), stocked(WARM)).sources:
        assert answer.allocated is None


def test_where_there_is_enough_everybody_gets_the_first_choice():
    for answer in answers(windows(6800, 7000), stocked({"CTO 1/4": 2})):
        assert answer.allocated.stack == answer.stacks[0]
        assert answer.allocated.words == "Its first choice: there is enough for every source."


def test_the_last_sheet_goes_to_the_source_that_needs_it_most():
    near, far = answers(windows(6400, 6900), stocked(WARM, rest=0), tolerance_steps=1)
    assert near.stacks[0].gels == far.stacks[0].gels == ["CTO 1/4"]
    assert far.allocated.stack.gels == ["CTO 1/4"] and near.allocated.stack.gels == []
    assert near.allocated.words.startswith("The last CTO 1/4 went to Window 2, which needs it most: ")
    assert far.allocated.words.startswith("Gets the last CTO 1/4: ")
    there, here = (f"{a.stacks[-1].miss.expected_steps:.1f}" for a in (far, near))
    assert f"{there} steps off without there, {here} here." in near.allocated.words
    assert f"{there} steps off without, Window 1 {here}." in far.allocated.words


def test_what_hangs_already_keeps_its_sheets():
    hung = source("Hung", cct=5600.0, keep=["CTO 1/4"])
    _, other = answers([hung, *windows(6800)], stocked(WARM, rest=0))
    assert other.allocated.stack.gels == [] and other.allocated.words == "No CTO 1/4 is left."


@pytest.mark.parametrize(("tolerance", "served"), [(1, "Green"), (15, "Cool")])
def test_misses_within_the_tolerance_count_as_equal(tolerance, served):
    """One sheet that would match the cool window, and bring the green one, further off, a little nearer.

    Held to 1 step the worst miss decides, and that is the green window's. Where 15 steps are near enough,
    both are matched either way, so the sheet goes where it saves the most.
    """
    rows = stocked({"CTO 1/8": 1, "CTO 1/4": 0, "CTO 1/2": 0, "CTO 3/4": 0, "CTO full": 0}, rest=0)
    heads = [source("Green", cct=6300.0, duv=0.012), source("Cool", cct=6050.0, duv=0.0035)]
    found = answers(heads, rows, tolerance_steps=tolerance)
    bare = [next(s for s in a.stacks if not s.gels).miss.expected_steps for a in found]
    assert 5 < bare[1] < bare[0] - 2 < 12
    assert [a.name for a in found if a.allocated.stack.gels] == [served]
    # Its own tolerance goes before the set's.
    own = [head.model_copy(update={"tolerance_steps": float(tolerance)}) for head in heads]
    found = answers(own, rows, tolerance_steps=16 - tolerance)
    assert [a.name for a in found if a.allocated.stack.gels] == [served]


def test_an_allocated_entry_is_the_prediction_of_that_stack():
    heads, rows = windows(6400, 6900), stocked(WARM, rest=0)
    for head, answer in zip(heads, answers(heads, rows), strict=True):
        request = PredictionRequest(
            source=head,
            target=Target(cct=5600),
            stack=answer.allocated.stack.gels,
            accuracy=asking(head).accuracy,
        )
        assert predict(request, rows) == answer.allocated.stack


def used(found):
    return sum((Counter(a.allocated.stack.gels) for a in found), Counter())


@st.composite
def several(draw):
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    heads = [
        some_source(rng).model_copy(update={"name": f"Head {i}"}) for i in range(draw(st.integers(2, 6)))
    ]
    rows = [r.model_copy(update={"stock": draw(st.sampled_from([None, 0, 1, 2]))}) for r in nominal()]
    return heads, rows


@given(several(), st.sampled_from([None, 0.8]))
@settings(deadline=None, max_examples=20)
def test_nobody_gets_more_than_there_is(case, most):
    heads, rows = case
    found = answers(heads, rows, max_stops=most)
    total = used(found)
    for row in rows:
        assert row.stock is None or total[row.name] <= row.stock
    for answer in found:
        assert most is None or answer.allocated.stack.stops <= most + 1e-4 or not answer.allocated.stack.gels
        assert answer.allocated.words


@given(several())
@settings(deadline=None, max_examples=15)
def test_twice_the_stock_never_makes_the_worst_miss_worse(case):
    heads, rows = case
    double = [r.model_copy(update={"stock": None if r.stock is None else 2 * r.stock}) for r in rows]

    def worst(found):
        return max(max(a.allocated.stack.miss.expected_steps, 3.0) for a in found)

    # Where everybody's first choice can be hung, the order of the ranking counts, not the miss alone.
    scarce = answers(heads, rows)
    plenty = answers(heads, double)
    if not any("first choice: there" in a.allocated.words for a in plenty):
        assert worst(plenty) <= worst(scarce) + 1e-3


@pytest.mark.parametrize("seed", [1, 2])
def test_large_tables_share_too(seed):
    """Where not all stacks are predicted, each source's front is searched within what is left."""
    rng = np.random.default_rng([11, seed])
    rows = [r.model_copy(update={"stock": 1}) for r in mixed_table(rng, 60) if not r.transmittance]
    heads = windows(6700, 6700.5, 6701)
    found = answers(heads, rows)
    assert max(used(found).values()) == 1
    assert any(a.allocated.stack.gels != a.stacks[0].gels for a in found)
    words = {a.allocated.words for a in found} - {"Its first choice."}
    assert words and all("Gets" in w or "went to" in w or "too few" in w for w in words)
