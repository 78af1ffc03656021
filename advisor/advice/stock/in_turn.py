"""Scarce sheets shared out in turn: a good allocation where looking for the best one would take too long.

Who would miss by most without any sheet chooses first, then the next. Who then misses by most chooses again,
with the sheets of one other who can spare them, as long as the worst miss falls. At last each looks for a
stack that is cheaper and misses by no more than the worst does, of what it has and what is left. Nothing gets
worse by a look, so the turns end; no source could do better then with what is left.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from .offers import SAME, Offer, Wish

MOST_TURNS = 6
"""Most looks of each source at what is left."""
QUICK = 10
"""The dearest question with which every pair of sources is tried, in looks at a known answer."""


def in_turn(wishes: Sequence[Wish], stock: Mapping[int, int]) -> list[Offer]:
    """Return what each source gets, in their order, of the sheets of `stock`, by gel."""
    left = Counter({gel: n for gel, n in stock.items() if n > 0})
    nothing = dict.fromkeys(stock, 0)
    has = [wish.nearest(nothing) for wish in wishes]
    order = sorted(range(len(wishes)), key=lambda i: -has[i].miss)

    def reach(i: int) -> dict[int, int]:
        return {gel: left[gel] + has[i].uses.get(gel, 0) for gel in stock}

    def swap(i: int, offer: Offer) -> None:
        left.update(has[i].uses)
        left.subtract(offer.uses)
        has[i] = offer

    for i in order:
        swap(i, wishes[i].nearest(reach(i)))

    def relieve() -> bool:
        """Let the neediest choose with the sheets of one other; say whether the worst miss fell."""
        i = max(order, key=lambda k: has[k].miss)
        worst = has[i].miss
        for j in sorted(order, key=lambda k: has[k].miss):
            if j == i or not has[j].uses:
                continue
            both = Counter(reach(i))
            both.update(has[j].uses)
            one = wishes[i].nearest(dict(both))
            both.subtract(one.uses)
            if one.miss < worst - SAME:
                other = wishes[j].nearest(dict(both))
                if other.miss < worst - SAME:
                    swap(j, wishes[j].nearest(nothing))
                    swap(i, one)
                    swap(j, other)
                    return True
        return False

    quick = all(wish.price <= QUICK for wish in wishes)
    for _ in range(2 * len(wishes) if quick else 0):
        if not relieve():
            break
    for _ in range(MOST_TURNS):
        before = list(has)
        for i in order:
            worst = max(offer.miss for offer in has)
            if has[i].miss >= worst - SAME:
                nearer = wishes[i].nearest(reach(i))
                if nearer.miss < has[i].miss - SAME:
                    swap(i, nearer)
                    continue
            cheaper = wishes[i].cheapest(reach(i), worst + SAME)
            if cheaper is not None and cheaper.cost < has[i].cost - SAME:
                swap(i, cheaper)
        if has == before:
            break
    return has
