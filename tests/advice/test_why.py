"""Why one stack stands above another: every sentence with the figures that are really there."""

import itertools
import re

import pytest
from rows import asking, neutral, nominal, source

from advisor.advice import why as reasons
from advisor.advice.advise import advise, predict
from advisor.advice.why import place, why
from advisor.model import EXACT, Kind, Limits, PredictionRequest, SourceAdvice, StackAdvice, Target
from tests.web.page import plain

TABLE = nominal() + neutral()
LIMITS = Limits(accuracy=EXACT)


def entry(gels, steps, stops, layers=None, expected=None):
    miss = {"mired": 0, "duv": 0, "du_v": 0, "steps": steps, "expected_steps": expected or steps, "words": ""}
    return StackAdvice(
        gels=gels,
        layers=len(gels) if layers is None else layers,
        stops=stops,
        after={"cct": 5600, "duv": 0, "x": 0.3302, "y": 0.3411, "lux": None},
        miss=miss,
        uncertainty_steps=0,
        nominal={"cct": None, "duv": None},
    )


def answer(*stacks, ties=None, least=0.0):
    return SourceAdvice(
        name="Head",
        needed={"mired": 0, "duv": 0, "cc": 0, "words": ""},
        stacks=list(stacks),
        ties=ties or [1] * len(stacks),
        least_stops=least,
    )


A, B = ["CTO 1/4"], ["CTO 1/8", "CTO 1/8"]


@pytest.mark.parametrize(
    ("upper", "lower", "says"),
    [
        (
            entry(A, 1.0, 0.3),
            entry(["CTO 1/2"], 0.5, 0.6),
            "The first costs 0.3 stop less; this one is half a step nearer.",
        ),
        (
            entry(A, 1.0, 0.3),
            entry(B, 0.2, 0.3),
            "The first needs one layer less; this one is 0.8 step nearer.",
        ),
        (entry(B, 1.0, 0.5), entry(A, 2.2, 0.3), "The first is 1.2 steps nearer, but costs 0.2 stop more."),
        (entry(A, 1.0, 0.3), entry(B, 1.0, 0.4), "The first costs 0.1 stop less and needs one layer less."),
        (
            entry(A, 2.0, 1.3),
            entry([], 7.5, 0.0),
            "The first ends within 3 steps, this one 4.5 beyond; the first costs 1.3 stops more.",
        ),
        (entry(A, 1.0, 0.3), entry(["CTO 0.25"], 1.01, 0.301), "The two do much the same."),
        (entry(A, 1.0, 0.31), entry(["CTO 0.25"], 1.0, 0.33), "The first costs 0.02 stop less."),
        # A head whose dials give more light than it was read at loses less than nothing.
        (
            entry([], 1.0, -0.2),
            entry(A, 0.5, 0.1),
            "The first costs 0.3 stop less; this one is half a step nearer.",
        ),
    ],
)
def test_one_sentence_for_two_stacks(upper, lower, says):
    assert plain(why(answer(upper, lower), 0, 1, LIMITS)) == says
    assert plain(why(answer(upper, lower), 1, 0, LIMITS)) == says


def test_the_figures_are_those_that_are_shown():
    """The ranking goes by the mean over the ensemble, the pages show the miss of the mean light."""
    upper, lower = entry(B, 1.9, 0.5, expected=3.0), entry(A, 5.4, 0.3, expected=6.2)
    assert plain(why(answer(upper, lower), 0, 1, LIMITS)) == (
        "The first ends within 3 steps, this one 2.4 beyond; the first costs 0.2 stop more."
    )
    lower = entry(A, 1.7, 0.3, expected=3.8)
    assert plain(why(answer(upper, lower), 0, 1, LIMITS)) == (
        "The first is 0.8 step nearer on average, but costs 0.2 stop more."
    )


def test_what_a_limit_over_the_key_asks_is_weighed_against_it():
    found = answer(entry(["ND 0.3"], 1.0, 1.0), entry([], 1.0, 0.0), least=0.8)
    said = plain(why(found, 0, 1, LIMITS))
    assert said == "This one stays 0.8 stop further over its limit; the first costs 0.2 stop more."
    found = answer(entry([], 1.0, 0.5), entry(["CTO 1/4"], 6.0, 0.8), least=0.8)
    assert plain(why(found, 0, 1, LIMITS)) == (
        "The first ends within 3 steps, this one 3 beyond; the first stays 0.3 stop further over its limit."
    )


def test_stacks_that_cannot_be_told_apart_say_which_is_lighter():
    tied = answer(entry(A, 1.2, 0.3), entry(B, 0.9, 0.4), ties=[2])
    assert plain(why(tied, 0, 1, LIMITS)) == (
        "This one cannot be told apart from the first; "
        "the first costs 0.1 stop less and needs one layer less."
    )


def test_a_stack_that_stands_high_by_a_tie_says_so():
    found = answer(entry(A, 1.0, 0.3), entry(["CTB 1/4"], 4.0, 1.0), entry([], 2.5, 0.0), ties=[2, 1])
    assert why(found, 1, 2, LIMITS, say=str.lower).endswith(
        "; the first cannot be told apart from cto 1/4 alone, which stands above."
    )


def test_a_place_that_is_not_there():
    with pytest.raises(IndexError):
        why(answer(entry(A, 1, 1)), 0, 1, LIMITS)


@pytest.mark.parametrize("kind", Kind)
def test_every_two_ranked_stacks_have_a_true_sentence(kind):
    [found] = advise(asking(source(kind=kind, cct=4600.0, duv=0.009)), TABLE).sources
    for i, k in itertools.combinations(range(len(found.stacks)), 2):
        said, a, b = why(found, i, k, LIMITS), found.stacks[i], found.stacks[k]
        assert said.endswith(".") and said.count(".") == 1 + len(re.findall(r"\d\.\d", said))
        said = plain(said)
        if match := re.search(r"[Cc]osts .* stops? (less|more)", said):
            assert (a.stops < b.stops) == (match[1] == "less")
        if match := re.search(r"(first|This one|this one) is [^;]* nearer", said):
            assert (a.miss.expected_steps < b.miss.expected_steps) == (match[1] == "first")
        if "ends within" in said:
            assert a.miss.expected_steps < b.miss.expected_steps
        if match := re.search(r"needs (?:one layer|\d layers) (less|more)", said):
            assert (a.layers < b.layers) == (match[1] == "less")


def by_hand(found, of, gels, limits=LIMITS):
    request = PredictionRequest(source=of, target=Target(cct=5600), stack=gels)
    return place(found, predict(request, TABLE), limits, say=lambda name: name.upper())


def test_a_stack_by_hand_has_its_place_and_what_beats_it():
    head = source()
    [found] = advise(asking(head), TABLE).sources
    best = by_hand(found, head, ["CTO 1/4"])
    assert best == (1, len(found.stacks), True, f"First of {len(found.stacks)}: nothing beats it.")
    beaten = by_hand(found, head, ["ND 0.3", "CTO 1/4"])
    assert not beaten.ranked and beaten.of == len(found.stacks) + 1 and beaten.rank > 1
    why_not = "CTO 1/4 alone beats it: that one costs 1 stop less and needs one layer less."
    assert plain(beaten.words) == f"2nd of {beaten.of}; {why_not}"


def test_every_ranked_stack_is_at_its_own_place():
    head = source(kind="led-white", cct=4600.0, duv=0.009)
    [found] = advise(asking(head), TABLE).sources
    for k, stack in enumerate(found.stacks):
        at = by_hand(found, head, stack.gels[::-1])
        assert (at.rank, at.of, at.ranked) == (k + 1, len(found.stacks), True)
        if k:
            assert "above it stands" in at.words


@pytest.mark.parametrize(
    ("limits", "says"),
    [
        ({"max_layers": 0}, "no gel is to hang on it"),
        ({"max_stops": 0.1}, "it costs 0.3 stop, and the limit is 0.1"),
        ({"exclude_families": ["cto"]}, "CTO 1/4 is not to be used"),
        ({"only_gels": ["CTB 1/4"]}, "CTO 1/4 is not to be used"),
    ],
)
def test_what_the_limits_keep_out_says_which(limits, says):
    head = source()
    [found] = advise(asking(head, **limits), TABLE).sources
    at = by_hand(found, head, ["CTO 1/4"], Limits(**limits))
    assert at.rank == 1 and not at.ranked
    assert f"First of {at.of} by what it does; not ranked: " in at.words and says in plain(at.words)


@pytest.mark.parametrize(
    ("number", "said"), [(1, "First"), (2, "2nd"), (3, "3rd"), (11, "11th"), (21, "21st")]
)
def test_ordinals(number, said):
    assert reasons._ordinal(number) == said
