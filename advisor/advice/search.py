"""The stacks that may be on the front, found without predicting all of them.

What is sought is exact: the same front that predicting every stack gives. Whole families of stacks are
ruled out at once, by branch and bound:

1. Each layer chooses from a tree of clusters (`tree`). A node is a cluster for every layer and stands for
   all stacks with one gel from each; on the next level it falls into the products of the clusters' halves.
   The nodes of a level hold every stack once (layers of one tree are kept in order), and in the last
   level a node is a stack.
2. For a node, `bounds` gives the least expected miss and the least loss that any of its stacks can have.
   That is proven there, for any transmittances and spectra.
3. The staircase is the least miss, at each loss that counts (`ranking.spent`: where light has to be lost,
   what is lost beyond that, and ten times what is lost too little), of stacks that were really predicted,
   that hang and keep within the limit. A node goes only where a stack of the staircase, of no more layers,
   misses by less than the node's least and loses no more that counts than the node's least. Then each stack
   of the node is beaten by that one, by the front's own definition, and is not on it. MARGIN is kept clear,
   a hundred times the step to which the front's figures are rounded, so neither the rounding there nor that
   of the sums matters.
4. Whatever is left in the last level is predicted as any stack is. Nothing that was estimated is answered.

So a poor staircase or a loose bound costs time and never a stack. The staircase starts from bare and
single gels and grows by the stacks in the middle of the most promising nodes.

A `Draw` is a tree of choices and how many layers draw from it; a node holds the product of the chosen bands,
whatever draws they come from. ND for a level limit is among the gels of the one draw. A head's dial is no
draw: it changes the light itself, and how sure it is (`dial_pairs`).
"""

import itertools
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ..colour.chromaticity import STEP
from ..colour.data import Array
from ..colour.predict import stops, through
from ..model import Refused
from .bounds import Bounds, bounds_of, grouped
from .prediction import Bare, predict_stacks
from .rack import Rack
from .ranking import spent
from .stacks import NONE, Choice, Indices, hangs
from .staircase import MARGIN, Staircase
from .tree import Level, Tree, tree_of

MOST_NODES = 3_000_000
"""More nodes than this in one level are not gone through: about 10 s and 300 MB."""
_FIRST_LEVEL = 4
"""The level to begin with: above it, clusters are too wide to rule anything out."""
_CHUNK = 1024
"""Nodes bounded at a time: their bands stay within the processor's cache."""
_BEAM = 200
"""Stacks predicted in each level to lower the staircase, and again as many for the loss that they have."""
_GROUPS, _MORE_GROUPS = 4, 12
"""Groups of the ensemble, for clusters and for the last sieve of single stacks."""


class Draw(NamedTuple):
    """An axis of the search: `times` layers that each take one choice from `tree`, in any order."""

    tree: Tree
    times: int


class Head(NamedTuple):
    """One source and what is asked of it, as the search needs it."""

    bare: Bare
    rack: Rack
    choice: Choice
    max_stops: float

    def affordable(self, lost: Array) -> NDArray[np.bool_]:
        """Return which stacks, that lose `lost` (m,), keep within the limit."""
        return np.asarray(lost - self.bare.least_stops <= self.max_stops + MARGIN)

    def learn(self, known: Staircase, steps: Array, lost: Array) -> None:
        """Take stacks that were predicted into the staircase; what is beyond the limit rules out nothing."""
        here = self.affordable(lost)
        known.add(steps[here], self.counted(lost[here]))

    def counted(self, lost: Array) -> Array:
        """Return the stops that count, (m,), of stacks that lose `lost` (m,)."""
        return spent(lost, self.bare.least_stops)

    def rows(self, added: Indices) -> Indices:
        """Return whole stacks, padded, of added gels (m, w)."""
        keep = self.choice.keep
        rows = np.full((len(added), len(keep) + self.choice.free), NONE, dtype=np.intp)
        rows[:, : len(keep)] = keep
        rows[:, len(keep) : len(keep) + added.shape[1]] = added
        return rows

    def predicted(self, added: Indices) -> tuple[Array, Array]:
        """Return the expected miss and the stops, (m,) each, of stacks of added gels (m, w)."""
        if not len(added):
            return np.zeros(0), np.zeros(0)
        with np.errstate(invalid="ignore", divide="ignore"):  # gels that pass no light together
            [outcomes] = predict_stacks([self.bare], self.rack, self.rows(added))
            return outcomes.steps, stops(outcomes.passed)

    def bounds(self, added: Indices, groups: int) -> Bounds:
        """Prepare bounds, the ensemble grouped by where members land behind a stack (w,) of added gels."""
        spectra, weights = self.bare.ensemble.spectra, self.bare.ensemble.weights
        kept = self.rack.transmittances[list(self.choice.keep)].prod(axis=0)
        near = kept * self.rack.transmittances[added].prod(axis=0)
        with np.errstate(invalid="ignore", divide="ignore"):
            places = np.nan_to_num(through(spectra, near[None, :]).uv[0] * (1.0, 1.5) / STEP)
        return bounds_of(spectra, weights, kept, self.bare.wanted.uv, grouped(places, weights, groups))


def contenders(bare: Bare, rack: Rack, choice: Choice, max_stops: float | None = None) -> Indices:
    """Return, of all stacks of a choice, some that hold the whole front, in the order of `stacks_on`, (m, w).

    The first is `keep` alone, whatever it costs. Raises Refused where too many stacks are too nearly alike.
    """
    head = Head(bare, rack, choice, np.inf if max_stops is None else max_stops)
    best = np.zeros((1, 0), dtype=np.intp)
    found = [head.rows(best)]
    known = Staircase()
    steps, lost = head.predicted(best)
    known.add(steps, head.counted(lost))  # it takes part whatever it costs
    for layers in range(1, choice.free + 1 if choice.gels else 1):
        added, steps = _search(head, [Draw(tree_of(rack, choice.gels), layers)], known, best[0])
        found.append(head.rows(added))
        if len(added) and steps.min() <= known.best:
            best = added[[np.argmin(steps)]]
    return np.concatenate(found)


def _search(head: Head, draws: Sequence[Draw], known: Staircase, best: Indices) -> tuple[Indices, Array]:
    """Search all stacks of some draws: those not beaten by what is known, sorted, and their misses.

    `best` (w,) are the gels of a stack near the target.
    """
    trees = [draw.tree for draw in draws for _ in range(draw.times)]
    depth = max(tree.depth for tree in trees)
    number = min(_FIRST_LEVEL, depth)
    bounds = head.bounds(best, _GROUPS)
    clusters = _first(draws, number)
    while number < depth:
        levels = [tree.level(number) for tree in trees]
        nodes = _left(head, clusters, levels, _bands(bounds, levels), known)
        _probe(head, nodes, trees, number, known)
        clusters = _halved(nodes.clusters, trees, number)
        number += 1
        if len(clusters) > MOST_NODES:
            raise _too_many(head.choice)
    leaves = [tree.level(depth) for tree in trees]
    nodes = _left(head, clusters, leaves, _stacks(bounds, leaves), known)
    if len(head.bare.ensemble.weights) > _GROUPS:
        finer = head.bounds(best, _MORE_GROUPS)
        nodes = _left(head, nodes.clusters, leaves, _stacks(finer, leaves), known)
    places = zip(trees, leaves, nodes.clusters.T, strict=True)
    gels = [tree.order[leaf.starts[numbers]] for tree, leaf, numbers in places]
    return _exactly(head, nodes, np.sort(np.stack(gels, axis=1), axis=1), known)


class _Nodes(NamedTuple):
    """Nodes of one level: `clusters` (m, w), a number for each layer, with their bounds (m,)."""

    clusters: Indices
    least: Array
    spent: Array


def _first(draws: Sequence[Draw], number: int) -> Indices:
    """Return all nodes of a level, (m, w)."""
    each = [
        list(itertools.combinations_with_replacement(np.flatnonzero(d.tree.level(number).filled), d.times))
        for d in draws
    ]
    rows = [list(itertools.chain(*parts)) for parts in itertools.product(*each)]
    return np.array(rows, dtype=np.intp)


def _halved(clusters: Indices, trees: Sequence[Tree], number: int) -> Indices:
    """Return the nodes (n, w) of the next level that nodes (m, w) fall into, each once."""
    splits = np.array([tree.depth > number for tree in trees])
    halves = np.array(list(itertools.product(*((0, 1) if split else (0,) for split in splits))))
    finer = clusters * np.where(splits, 2, 1)
    nodes: Indices = (finer[:, None, :] + halves).reshape(-1, len(trees))
    for k, (tree, following) in enumerate(itertools.pairwise(trees)):
        if tree is following:  # the order of two layers of one tree makes no difference
            nodes = nodes[nodes[:, k] <= nodes[:, k + 1]]
    return nodes


_Sieve = Callable[[Indices], tuple[Array, Array, Array]]
"""From nodes to the least miss, and to the most and the least light that their scaled curves pass."""


def _bands(bounds: Bounds, levels: Sequence[Level]) -> _Sieve:
    """Return what bounds nodes of clusters."""
    lows, highs = [level.low for level in levels], [level.high for level in levels]

    def bound(numbers: Indices) -> tuple[Array, Array, Array]:
        low = _product(lows, numbers)
        return *bounds.of_bands(low, _product(highs, numbers)), bounds.passed(low)

    return bound


def _stacks(bounds: Bounds, leaves: Sequence[Level]) -> _Sieve:
    """Return what bounds nodes of single gels."""
    curves = [leaf.high for leaf in leaves]

    def bound(numbers: Indices) -> tuple[Array, Array, Array]:
        least, passed = bounds.of_stacks(_product(curves, numbers))
        return least, passed, passed

    return bound


def _product(curves: Sequence[Array], numbers: Indices) -> Array:
    """Multiply each node's curves, (m, 81)."""
    product = curves[0][numbers[:, 0]]
    for k in range(1, len(curves)):
        product *= curves[k][numbers[:, k]]
    return product


def _left(head: Head, clusters: Indices, levels: Sequence[Level], bound: _Sieve, known: Staircase) -> _Nodes:
    """Bound nodes (m, w) of a level, and return those that may hold a stack of the front."""
    filled = np.ones(len(clusters), dtype=np.bool_)
    signs = np.zeros((len(clusters), 4), dtype=np.bool_)
    for level, numbers in zip(levels, clusters.T, strict=True):
        filled &= level.filled[numbers]
        signs |= level.signs[numbers]
    opposed = (signs[:, 0] & signs[:, 1]) | (signs[:, 2] & signs[:, 3])
    clusters = clusters[filled & ~opposed]
    least, most_passed, least_passed = (np.empty(len(clusters)) for _ in range(3))
    for start in range(0, len(clusters), _CHUNK):
        here = slice(start, start + _CHUNK)
        least[here], most_passed[here], least_passed[here] = bound(clusters[here])
    for level, numbers in zip(levels, clusters.T, strict=True):
        most_passed *= level.scale[numbers]
        least_passed *= level.least_scale[numbers]
    least_lost, most_lost = (-np.log2(np.clip(p, 1e-300, 1.0)) for p in (most_passed, least_passed))
    # What counts falls to nothing at what has to be lost, and rises on either side of it.
    counted = head.counted(np.clip(head.bare.least_stops, least_lost, most_lost))
    stay = np.flatnonzero(~known.beats(least, counted) & head.affordable(least_lost))
    return _Nodes(clusters[stay], least[stay], counted[stay])


def _probe(head: Head, nodes: _Nodes, trees: Sequence[Tree], number: int, known: Staircase) -> None:
    """Predict the stacks in the middle of the most promising nodes, to lower the staircase."""
    by_miss = np.argsort(nodes.least, kind="stable")[:_BEAM]
    by_gain = np.argsort(nodes.least - known.least(nodes.spent), kind="stable")[:_BEAM]
    some = nodes.clusters[np.union1d(by_miss, by_gain)]
    gels = np.stack([tree.middle(number)[some[:, k]] for k, tree in enumerate(trees)], axis=1)
    gels = np.sort(gels, axis=1)
    steps, lost = head.predicted(gels[hangs(head.rack, head.choice, gels)])
    head.learn(known, steps, lost)


def _exactly(head: Head, nodes: _Nodes, added: Indices, known: Staircase) -> tuple[Indices, Array]:
    """Predict what is left, the most promising first, while the staircase goes on falling."""
    order = np.argsort(nodes.least - known.least(nodes.spent), kind="stable")
    order = order[hangs(head.rack, head.choice, added[order])]
    steps, lost = np.full(len(added), np.nan), np.full(len(added), np.nan)
    for start in range(0, len(order), _CHUNK):
        here = order[start : start + _CHUNK]
        here = here[~known.beats(nodes.least[here], nodes.spent[here])]
        steps[here], lost[here] = head.predicted(added[here])
        head.learn(known, steps[here], lost[here])
    stay = np.flatnonzero(~known.beats(steps, head.counted(lost)) & head.affordable(lost))
    stay = stay[np.lexsort(added[stay].T[::-1])]
    return added[stay], steps[stay]


def _too_many(choice: Choice) -> Refused:
    return Refused.one(
        "gels",
        f"{len(choice.gels)} gels in up to {choice.free} layers make too many stacks that are nearly alike",
        "fewer layers, a limit to the light lost, or gels switched off that are not on the truck",
    )
