"""How good an answer will be, as pages say it: in words and a chance, with nothing that sounds like stops."""

import html
import re
from dataclasses import replace

import pytest

from advisor.advice.plan.make import make_plan
from advisor.advice.wording import words
from advisor.advice.wording.outlook import outlook
from advisor.model import Kind, Limits, Reading, Seen, Source, Target
from advisor.web.wording.stacks import closest
from advisor.web.wording.values import gauge, lost
from tests.advice.lamps import SHIPPED
from tests.web.page import plain

PAGES = [
    "/?cct=6800&duv=0.004",
    *(f"/sets/1{page}" for page in ("", "/compare", "/sheet", "/tags", "/pulls")),
]
HEADS = [f"/sources/{n}" for n in range(1, 7)]


def planned(kind=Kind.UNKNOWN, cct=4300, duv=0.009, **limits):
    reading = Source(name="Head", kind=kind, reading=Reading(cct=cct, duv=duv))
    return make_plan([reading], Target(cct=5600), Limits(**limits), SHIPPED)


def head(*said, **limits):
    return planned(*said, **limits).alone


def told(steps, within):
    """Say how good a stack is that lands so far off, with such a chance."""
    stack = head().best
    miss = stack.miss.model_copy(update={"steps": steps, "seen": words.seen(steps, 3.0)})
    return plain(outlook(stack.model_copy(update={"miss": miss, "within": within})))


@pytest.mark.parametrize(
    ("steps", "within", "says"),
    [
        (0.4, 0.83, "matches, 8 in 10"),
        (2.0, 0.99, "close, over 9 in 10"),
        # What shows is no promise of so many in ten: the chance is of being close all the same.
        (4.0, 0.28, "a bit off, 3 in 10 it’s close"),
        (4.0, 0.01, "a bit off"),
        (9.0, 0.0, "obvious"),
    ],
)
def test_a_word_and_a_chance(steps, within, says):
    assert told(steps, within) == says


@pytest.mark.parametrize(
    ("stops", "says"),
    [(0.31, "−0.3 stop"), (1.26, "−1.3 stops"), (0.05, "−0.1 stop"), (0.049, "no loss"), (-0.4, "no loss")],
)
def test_light_is_lost_or_not(stops, says):
    assert plain(lost(stops)) == says


def test_the_mark_fills_as_the_word_grows():
    assert [gauge(seen) for seen in Seen] == ["○", "◔", "◑", "●"]


def test_where_no_stack_is_near_enough_it_is_said():
    assert closest(head(Kind.TUNGSTEN, 3200, 0.0)) == ""
    far = head(Kind.TUNGSTEN, 5600, 0.0085, max_layers=0)
    assert far.best.miss.steps > 3 and not far.out
    assert closest(far) == "Closest there is."


def test_it_is_no_closest_beside_a_likelier_one():
    """A stack of more layers that is likelier to come close stands in the list beside it."""
    far = head(Kind.TUNGSTEN, 5600, 0.0085, max_layers=0)
    [only] = far.advice.stacks
    other = only.model_copy(update={"within": 0.4, "gels": ["Minus green 1/4"], "layers": 1})
    answer = far.advice.model_copy(update={"stacks": [only, other]})
    assert closest(replace(far, advice=answer)) == "Another stack is likelier to come close."
    same = only.model_copy(update={"within": 0.4})
    answer = far.advice.model_copy(update={"stacks": [same]})
    assert "Another stack" not in closest(replace(far, chosen=only, advice=answer)), "it is no other stack"


@pytest.mark.parametrize("cct", [2700, 3200, 4300, 5600, 6500])
@pytest.mark.parametrize("kind", [Kind.TUNGSTEN, Kind.UNKNOWN, Kind.LED_MIX, Kind.DISCHARGE])
def test_the_word_and_the_chance_agree(kind, cct):
    """Near is what is near five times in ten or more, and what matches is so nine times."""
    for stack in head(kind, cct, 0.004).advice.stacks:
        near = stack.miss.seen in (Seen.MATCHES, Seen.CLOSE)
        assert near is (stack.within >= 0.45) or abs(stack.within - 0.45) < 0.001
        assert stack.miss.words.startswith(stack.miss.seen)
        if stack.miss.seen is Seen.MATCHES:
            assert stack.miss.expected_steps <= 1.0 and stack.within >= 0.8499


def lines(page):
    """Return the lines of a page as an eye takes them: what stands in one paragraph, cell or item."""
    parts = re.split(r"<(?:p|li|td|th|h\d|br|summary|div|option|label|tr|details|text)\b[^>]*>", page.html)
    return [" ".join(html.unescape(re.sub("<[^>]*>", "", part)).split()) for part in parts]


@pytest.mark.parametrize("path", [*PAGES, *HEADS])
def test_no_line_counts_in_steps_and_in_stops(sample, get, path):
    said = lines(get(path))
    assert len(said) > 20
    assert not [line for line in said if re.search(r"\d steps?\b", line) and re.search(r"\bstops?\b", line)]
    assert not [line for line in said if re.search("± .* left|told apart|costs .* stop", line)]


@pytest.mark.parametrize("path", ["/?cct=6800&duv=0.004", "/sets/1/sheet", "/sets/1/tags", *HEADS])
def test_light_is_told(sample, get, path):
    assert re.search(r"−\d\.\d stop|no loss", get(path).text)


@pytest.mark.parametrize("path", ["/?cct=6800&duv=0.004", *HEADS])
def test_the_figures_stand_behind_a_tap(sample, get, path):
    before, after = get(path).html.split("<summary>Numbers</summary>")
    assert not re.search(r"\d steps?\b", re.sub("<[^>]*>", "", before))
    assert re.search(r"<td>\d+\.\d</td>\s*<td>\d+\.\d</td>\s*<td>\d+\.\d</td>", after)
