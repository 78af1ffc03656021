"""Why one stack stands above another: every sentence with the figures that are really there."""

import itertools
import re

import numpy as np
import pytest

from advisor.advice.answer.advise import advise, predict
from advisor.advice.cost.counted import cost, counted_loss
from advisor.advice.ranking import explain as reasons
from advisor.advice.ranking.explain import rank_of, why
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.wording import words
from advisor.model import EXACT, Kind, Limits, PredictionRequest, SourceAdvice, StackAdvice, Target
from tests.advice.rows import asking, neutral, nominal, source
from tests.web.page import plain

TABLE = nominal() + neutral()
LIMITS = Limits(accuracy=EXACT)


def entry(gels, steps, stops, risk=None, within=0.5, same_as=None):
    """Make a stack as the API says it; `risk` is the expected loss that is in its cost."""
    miss = {"mired": 0, "duv": 0, "du_v": 0, "delta_uv_prime": 0, "words": ""}
    miss |= {"steps": steps, "expected_steps": steps}
    weighed = cost(np.array(steps if risk is None else risk), np.array(stops), np.array(len(gels)))
    return StackAdvice(
        gels=gels,
        layers=len(gels),
        stops=stops,
        after={"cct": 5600, "duv": 0, "x": 0.33, "y": 0.34, "lux": None},
        miss=miss | {"seen": words.seen(steps, 3.0)},
        cost=float(weighed),
        within=within,
        same_as=same_as,
        uncertainty_steps=0,
        nominal={"cct": None, "duv": None},
    )


def answer(*stacks, least=0.0):
    needed = {"mired": 0, "duv": 0, "cc": 0, "words": ""}
    return SourceAdvice(name="Head", needed=needed, stacks=list(stacks), least_stops=least)


A, B = ["CTO 1/4"], ["CTO 1/8", "CTO 1/8"]


@pytest.mark.parametrize(
    ("upper", "lower", "says"),
    [
        (
            entry(A, 1.0, 0.3),
            entry(["CTO 1/2"], 0.5, 0.6),
            "The first loses 0.3 stop less. But this one is a little nearer.",
        ),
        (
            entry(A, 1.0, 0.3),
            entry(B, 0.2, 0.3),
            "The first needs one layer less. But this one is a little nearer.",
        ),
        (entry(B, 1.1, 0.5), entry(A, 2.2, 0.3), "The first is nearer, but loses 0.2 stop more."),
        (
            entry(B, 0.9, 0.5),
            entry(A, 2.2, 0.3),
            "The first matches, this one is close. But the first loses 0.2 stop more.",
        ),
        (
            entry(A, 2.0, 1.3),
            entry([], 7.5, 0.0),
            "The first is close, this one is obvious. But the first loses 1.3 stops more.",
        ),
        (
            entry(A, 2.0, 0.3, within=0.8),
            entry(B, 2.0, 0.2, risk=4.0, within=0.57),
            "The first lands close 8 in 10, this one 6 in 10. But the first loses 0.1 stop more.",
        ),
        (entry(A, 1.0, 0.3), entry(B, 1.0, 0.4), "The first loses 0.1 stop less and needs one layer less."),
        (entry(A, 1.0, 0.3), entry(["CTO 0.25"], 1.01, 0.301), "The two do much the same."),
        # Light counts in tenths of a stop, as it is shown: 0.3 and 0.3, then 0.2 and 0.3.
        (entry(A, 1.0, 0.31), entry(["CTO 0.25"], 1.0, 0.33), "The two do much the same."),
        (entry(A, 1.0, 0.24), entry(["CTO 0.25"], 1.0, 0.26), "The first loses 0.1 stop less."),
        # A head whose dials give more light than it was read at loses less than nothing.
        (
            entry([], 1.0, -0.2),
            entry(A, 0.5, 0.1),
            "The first loses 0.3 stop less. But this one is a little nearer.",
        ),
    ],
)
def test_one_sentence_for_two_stacks(upper, lower, says):
    assert plain(why(answer(upper, lower), 0, 1, LIMITS)) == says
    assert plain(why(answer(upper, lower), 1, 0, LIMITS)) == says


def test_what_is_nearer_only_on_average_says_so():
    """The ranking goes by the expected loss, the pages show where the likeliest lamp lands."""
    upper, lower = entry(B, 1.9, 0.5, risk=3.0), entry(A, 1.7, 0.3, risk=3.8)
    assert plain(why(answer(upper, lower), 0, 1, LIMITS)) == (
        "The first is a little nearer on average, but loses 0.2 stop more."
    )


def test_what_a_limit_over_the_key_asks_is_weighed_against_it():
    found = answer(entry(["ND 0.3"], 1.0, 1.0), entry([], 1.0, 0.0, risk=17.0), least=0.8)
    found = answer(*(weighed(stack, 1.0, 0.8) for stack in found.stacks), least=0.8)
    said = plain(why(found, 0, 1, LIMITS))
    assert said == "This one stays 0.8 stop further over its limit. But the first loses 0.2 stop more."
    found = answer(weighed(entry([], 1.0, 0.5), 1.0, 0.8), weighed(entry(A, 6.0, 0.8), 6.0, 0.8), least=0.8)
    assert plain(why(found, 0, 1, LIMITS)) == (
        "The first matches, this one is a bit off. But the first stays 0.3 stop further over its limit."
    )


def weighed(stack, risk, least):
    """Return a stack with the cost that it has where light has to be lost."""
    lost = counted_loss(np.array(stack.stops), least)
    return stack.model_copy(update={"cost": float(cost(np.array(risk), lost, np.array(stack.layers)))})


def test_stacks_that_look_the_same_say_which_is_lighter():
    same = answer(entry(A, 1.2, 0.3), entry(B, 0.9, 0.4, same_as=0))
    assert plain(why(same, 0, 1, LIMITS)) == (
        "Looks the same as the first. The first loses 0.1 stop less and needs one layer less."
    )


def test_no_reason_counts_in_steps():
    """A stop is light; nothing that sounds like it stands on the same line."""
    [found] = advise(asking(source(cct=4600.0, duv=0.009)), TABLE).sources
    said = [why(found, 0, k, LIMITS) for k in range(1, len(found.stacks))]
    assert len(said) > 3 and any("stop" in words for words in said)
    assert not [words for words in said if "step" in words]


def test_a_place_that_is_not_there():
    with pytest.raises(IndexError):
        why(answer(entry(A, 1, 1)), 0, 1, LIMITS)


@pytest.mark.parametrize("kind", Kind)
def test_every_two_ranked_stacks_have_a_true_sentence(kind):
    [found] = advise(asking(source(kind=kind, cct=4600.0, duv=0.009)), TABLE).sources
    for i, k in itertools.combinations(range(len(found.stacks)), 2):
        said, a, b = why(found, i, k, LIMITS), found.stacks[i], found.stacks[k]
        assert said.endswith(".") and said.count(".") <= 2 + len(re.findall(r"\d\.\d", said))
        said = plain(said)
        if match := re.search(r"[Ll]oses .* stops? (less|more)", said):
            assert (a.stops < b.stops) == (match[1] == "less")
        if match := re.search(r"(first|This one|this one) is (a little )?nearer(?! on)", said):
            assert (a.miss.steps < b.miss.steps) == (match[1] == "first")
        if match := re.search(r"(first|This one|this one) lands close", said):
            assert (a.within > b.within) == (match[1] == "first")
        if match := re.search(r"needs (?:one layer|\d layers) (less|more)", said):
            assert (a.layers < b.layers) == (match[1] == "less")


def by_hand(found, of, gels, limits=LIMITS):
    request = PredictionRequest(source=of, target=Target(cct=5600), stack=gels)
    return rank_of(found, predict(request, TABLE), limits, say=lambda name: name.upper())


def test_a_stack_by_hand_has_its_place_and_what_beats_it():
    head = source()
    [found] = advise(asking(head), TABLE).sources
    best = by_hand(found, head, ["CTO 1/4"])
    assert best == (1, len(found.stacks), True, f"First of {len(found.stacks)}: nothing beats it.")
    beaten = by_hand(found, head, ["ND 0.3", "CTO 1/4"])
    assert not beaten.ranked and beaten.of == len(found.stacks) + 1 and beaten.rank > 1
    why_not = "CTO 1/4 alone beats it: that one loses 1 stop less and needs one layer less."
    assert plain(beaten.words) == f"2nd of {beaten.of}: {why_not}"


def test_every_ranked_stack_is_at_its_own_place():
    head = source(kind="led-white", cct=4600.0, duv=0.009)
    [found] = advise(asking(head), TABLE).sources
    for k, stack in enumerate(found.stacks):
        at = by_hand(found, head, stack.gels[::-1])
        assert (at.rank, at.of, at.ranked) == (k + 1, len(found.stacks), True)
        if k:
            assert "Ahead of it is" in at.words


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        ({"max_layers": 0}, "no gel is to hang on it"),
        ({"max_stops": 0.1}, "it loses 0.3 stop, and the limit is 0.1"),
        ({"exclude_families": ["cto"]}, "CTO 1/4 is not to be used"),
        ({"only_gels": ["CTB 1/4"]}, "CTO 1/4 is not to be used"),
    ],
)
def test_what_the_limits_keep_out_says_which(limits, says):
    head = source()
    [found] = advise(asking(head, **limits), TABLE).sources
    at = by_hand(found, head, ["CTO 1/4"], Limits(**limits))
    assert at.rank == 1 and not at.ranked
    assert f"First of {at.of} by what it does. Not ranked: " in at.words and says in plain(at.words)


@pytest.mark.parametrize(
    ("number", "said"), [(1, "First"), (2, "2nd"), (3, "3rd"), (11, "11th"), (21, "21st")]
)
def test_ordinals(number, said):
    assert reasons._ordinal(number) == said


@pytest.mark.parametrize(
    ("gels", "changed", "says"),
    [
        (["CTO 1/4", "CTB 1/8"], {}, "two of its gels are opposites"),
        (["CTO 1/4"], {"on": False}, "CTO 1/4 is not in use, or moves no colour"),
        (["CTO 1/4", "CTO 1/4"], {"stock": 1}, "there are not as many CTO 1/4"),
        (["CTO 1/4"], {}, "what is listed was read"),
    ],
)
def test_of_what_keeps_a_stack_out_only_that_is_told_which_does(gels, changed, says):
    head = source()
    [found] = advise(asking(head), TABLE).sources
    entry = predict(PredictionRequest(source=head, target=Target(cct=5600), stack=gels), TABLE)
    nothing = found.model_copy(update={"stacks": []})
    rows = [row.model_copy(update=changed) if row.name == "CTO 1/4" else row for row in TABLE]
    assert says in rank_of(nothing, entry, LIMITS, gel_arrays=gel_arrays_of(tuple(rows))).words
