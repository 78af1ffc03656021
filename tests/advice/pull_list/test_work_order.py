"""The work order of random sets: it says to the cut what the pull list does, and hangs what is down."""

import random
from collections import Counter

import pytest

from advisor.advice.after_hanging.next_move import Swap
from advisor.advice.plan.head import PlannedSource
from advisor.advice.plan.needs import Needs
from advisor.advice.plan.plan import Plan
from advisor.advice.pull_list.at_hand import Rehung, cuts_at_hand
from advisor.advice.pull_list.build import pull_list
from advisor.advice.pull_list.work_order import work_order
from advisor.model import UNREAD, Opening, Source, StackAdvice, Stage, Work
from advisor.model.gels.formats import EXAMPLE_SIZES

GELS = ("CTO 1/4", "CTO 1/2", "CTB 1/2", "Plus green 1/8")
SIZES = ((0.3, 0.4), (0.4, 0.3), (0.5, 0.6), (1.2, 2.0))


def stack(gels):
    return StackAdvice.model_construct(gels=list(gels), dial=None, read=None)


def head(name, hung, wanted, openings):
    """Return a head on which `hung` hangs, nothing if None, and `wanted` is to hang."""
    if hung is None:
        work = Work(stage=Stage.PLANNED, gels=wanted)
        return PlannedSource(
            Source(name=name, reading=UNREAD, openings=openings, work=work), chosen=stack(wanted)
        )
    work = Work(stage=Stage.HUNG, gels=hung)
    off, on = Counter(hung) - Counter(wanted), Counter(wanted) - Counter(hung)
    change = Swap(tuple(off.elements()), tuple(on.elements()), stack(wanted))
    source = Source(name=name, reading=UNREAD, openings=openings, work=work)
    return PlannedSource(source, chosen=stack(hung), instead=change if change.some else None)


def random_set(seed):
    """Return what hangs on some heads, what is to hang, their openings, and a walk."""
    draw = random.Random(seed)
    heads = []
    for number in range(draw.randint(1, 7)):
        hung = None if draw.random() < 0.3 else draw.choices(GELS, k=draw.randint(0, 2))
        wanted = draw.choices(GELS, k=draw.randint(1 if hung is None else 0, 2))
        sized = draw.random() < 0.8
        count = draw.choice((1, 1, 2))
        openings = [Opening(width=w, height=h, count=count) for w, h in [draw.choice(SIZES)] if sized]
        heads.append((f"Head {number}", hung, wanted, openings))
    walk = list(range(len(heads)))
    draw.shuffle(walk)
    return heads, walk


def cuts_of(gels, openings):
    each = sum(one.count for one in openings) or 1
    return Counter({gel: n * each for gel, n in Counter(gels).items()})


def to_cut(pulls):
    """Count the new cuts of each gel; it may have two lines, from a roll and from sheets."""
    counted = Counter()
    for line in pulls.gels:
        counted[line.name] += line.to_cut
    return +counted


def made(heads, walk, at_hand=()):
    plan = Plan(tuple(head(*one) for one in heads))
    pulls = pull_list([plan], [], EXAMPLE_SIZES.rows, at_hand=at_hand, walks=[walk])
    return pulls, work_order(plan, pulls, walk)


@pytest.mark.parametrize("seed", range(60))
def test_a_walk_hangs_what_is_wanted_from_what_is_pulled_and_what_came_down(seed):
    heads, walk = random_set(seed)
    pulls, order = made(heads, walk)
    new, down, hangs = Counter(), Counter(), Counter()
    for name, hung, _, openings in heads:
        hangs += Counter({(name, gel): n for gel, n in cuts_of(hung or (), openings).items()})
    at_first = Counter()
    for (_, gel), n in hangs.items():
        at_first[gel] += n
    for task in order.tasks:
        name, _, _, openings = heads[task.head]
        for gel, n in cuts_of(task.off, openings).items():
            hangs[name, gel] -= n
            down[gel] += n
        for one in task.hang:
            hangs[name, one.gel] += one.cuts
            (down if one.reused else new).subtract({one.gel: one.cuts if one.reused else -one.cuts})
        assert min(down.values(), default=0) >= 0, "nothing goes up that is not down"
    wanted = Counter()
    for name, _, gels, openings in heads:
        wanted += Counter({(name, gel): n for gel, n in cuts_of(gels, openings).items()})
    assert +hangs == wanted
    assert +new == to_cut(pulls)
    assert +down == Counter(cut.gel for cut in order.back)
    up_again = Counter()
    for gel in pulls.gels:
        up_again[gel.name] += gel.cuts
    assert at_first + new - down == +up_again, "what is pulled and what comes back make up what hangs"


@pytest.mark.parametrize("seed", [*range(60, 90), 1431, 1565])
def test_stop_by_stop_the_list_stays_true(seed):
    """After each task the rest is counted anew, from what hangs then: nothing is pulled twice."""
    heads, walk = random_set(seed)
    pulls, order = made(heads, walk)
    promised = to_cut(pulls)
    changes, cut = [], Counter()
    while order.tasks:
        task = next(one for one in order.tasks if not one.waits_for)
        name, hung, wanted, openings = heads[task.head]
        cut += Counter({one.gel: one.cuts for one in task.hang if not one.reused})
        again = tuple(one.gel for one in task.hang if one.reused)
        changes.append(Rehung(name, tuple(openings), tuple(hung or ()), tuple(wanted), again))
        heads[task.head] = (name, wanted, wanted, openings)
        pulls, order = made(heads, walk, cuts_at_hand(changes))
        order = without_meter(order)
    assert +cut == promised
    assert pulls.still == ()


def without_meter(order):
    """Return a work order without the tasks at which nothing is left but to meter."""
    return type(order)(tuple(task for task in order.tasks if task.moves), order.back)


@pytest.mark.parametrize("seed", range(40))
def test_the_walk_is_the_crews_but_for_heads_that_wait(seed):
    heads, walk = random_set(seed)
    _, order = made(heads, walk)
    places = [task.head for task in order.tasks]
    for k, task in enumerate(order.tasks):
        assert set(task.waits_for) <= set(places[:k]), "what it waits for is down by then"
    free = [task.head for task in order.tasks if not task.waits_for]
    assert free == [place for place in walk if place in free]


def test_who_asks_for_the_next_head_gets_none_that_another_has_or_that_waits():
    large, small = [Opening(width=1, height=1)], [Opening(width=0.3, height=0.3)]
    heads = [
        ("Taker", [], ["CTO 1/2"], small),
        ("Giver", ["CTO 1/2"], [], large),
        ("Third", None, ["CTB 1/2"], small),
    ]
    _, order = made(heads, [0, 1, 2])
    assert [task.head for task in order.tasks] == [1, 0, 2]
    assert order.ready_after(None).head == 1
    assert order.ready_after(1).head == 2, "the taker's cut is still up"
    assert order.ready_after(2).head == 1, "around the end"
    assert order.ready_after(1, but=[2]) is None


def test_a_head_that_asks_something_first_is_a_stop_nobody_is_sent_to():
    asking = PlannedSource(Source(name="Neon", reading=UNREAD))
    plan = Plan((asking, head("Lamp", None, ["CTO 1/2"], [])))
    order = work_order(plan, pull_list([plan], [], EXAMPLE_SIZES.rows), [0, 1])
    assert [(task.need, task.ready) for task in order.tasks] == [(Needs.HANDS, False), (Needs.HANG, True)]
    assert order.ready_after(None).head == 1
