"""The stacks that may be on the front, found without predicting all of them.

The result is exact: the same front as from predicting every stack. Branch and bound rules out whole families
of stacks at once:

1. Each layer chooses a gel from a tree of clusters (`clusters`). A node has one cluster for every layer. It
   stands for all stacks with one gel from each of its clusters. On the next level every cluster splits in
   two, and the node splits into all combinations of the halves. The nodes of a level hold every stack once
   (layers are kept in order). On the last level a node is one stack.
2. `bounds` gives the least risk, and the least loss of light, that any stack of a node can have. It proves
   them for any transmittances and spectra, since the loss is convex.
3. The frontier is the least risk known for each loss of light that counts, in tenths of a stop. Which loss
   counts is said by `counted_on`. Only stacks that were judged themselves are on the frontier, and only
   such as can be hung and keep within the limit of light. A node is dropped if a stack on the frontier, with
   no more layers, has less risk than the node's least, and no more counted loss than the node's least. By the
   definition of the front, that stack beats every stack of the node. The comparison allows for MARGIN, a
   hundred times the difference that the front ignores, so rounding never decides.
4. Each stack that is left on the last level is judged like any other. No estimate is ever returned.

So a poor frontier or a loose bound costs time, but never a stack. The frontier starts from bare and single
gels. It is lowered by the stacks in the middle of the most promising nodes.

All layers draw from one tree, which has ND where a source has to stay below the key. Dials are not searched
here, because they change the light itself and how certain it is (`dials.candidates`).

References
----------
Land, A. H. and Doig, A. G. (1960), Econometrica 28(3): branch and bound (from memory). Clusters, bounds and
frontier are our own; `bounds` holds the proof.
"""

import itertools
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...colour.observer.chromaticity import STEP_DELTA_UV, stops, through
from ...colour.observer.data import Array
from ...model import Refused
from ..cost.counted import MARGIN, Frontier, counted_on, tenths
from ..cost.judge import Judge
from ..stacks.enumerate import NONE, Choice, Indices, hangs
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource, predict_stacks
from ..stacks.watch import go_on
from .bounds import Bounds, bounds_of, grouped
from .clusters import Level, Tree, tree_of

MOST_NODES = 300_000
"""The most nodes that one level may have: some 0.7 s and 20 MB. With more, the search refuses."""
_FIRST_LEVEL = 4
"""The level to begin with: above it, clusters are too wide to rule anything out."""
_CHUNK = 1024
"""Nodes bounded at a time: their bands stay within the processor's cache."""
_BEAM = 200
"""Stacks judged on each level to lower the frontier: this many of least risk, and this many that lower it
most."""
_GROUPS, _MORE_GROUPS = 4, 12
"""Groups of the ensemble, for clusters and for the last sieve of single stacks."""


class SearchTask(NamedTuple):
    """What the search works on: the judge of one source, and the gels and layers to choose from."""

    judge: Judge
    choice: Choice

    @property
    def bare(self) -> PreparedSource:
        """The source."""
        return self.judge.bare

    @property
    def gel_arrays(self) -> GelArrays:
        """The gels."""
        return self.judge.gel_arrays

    def affordable(self, lost: Array) -> NDArray[np.bool_]:
        """Return which stacks keep within the limit of light, (m,), by what they lose, `lost` (m,) [stop]."""
        most = self.judge.limits.max_stops
        return np.asarray(lost - self.bare.least_stops <= (np.inf if most is None else most) + MARGIN)

    def learn(self, known: Frontier, risk: Array, lost: Array) -> None:
        """Add stacks that were judged to the frontier, except those beyond the limit of light."""
        here = self.affordable(lost)
        known.add(risk[here], self.counted(lost[here]))

    def counted(self, lost: Array) -> Array:
        """Return the loss of light that counts, (m,) [stop], for stacks that lose `lost` (m,) [stop]."""
        return tenths(counted_on(lost, self.bare))

    def rows(self, added: Indices) -> Indices:
        """Return whole stacks, padded with NONE: the fixed gels and `added` (m, w)."""
        keep = self.choice.keep
        rows = np.full((len(added), len(keep) + self.choice.free), NONE, dtype=np.intp)
        rows[:, : len(keep)] = keep
        rows[:, len(keep) : len(keep) + added.shape[1]] = added
        return rows

    def judged(self, added: Indices, known: Frontier) -> tuple[Array, Array]:
        """Return the risk [step] and the loss of light [stop], (m,) each, of stacks that add gels (m, w).

        Where the frontier beats a lower bound of the risk, that bound is returned in place of the risk.
        """
        if not len(added):
            return np.zeros(0), np.zeros(0)
        rows = self.rows(added)
        [outcomes] = predict_stacks([self.bare], self.gel_arrays, rows)
        lost = stops(outcomes.passed)
        risk, counted = self.judge.at_least(outcomes, rows), self.counted(lost)
        for closer in (self.judge.closer, self._risk):
            left = np.flatnonzero(~known.beats(risk, counted))
            risk[left] = closer(rows[left], outcomes.at(left))
        return risk, lost

    def _risk(self, rows: Indices, outcomes: Outcomes) -> Array:
        return self.judge.risk(rows, self.judge.certainty(rows))

    def bounds(self, added: Indices, groups: int) -> Bounds:
        """Prepare bounds, with members that land near each other behind `added` (w,) in one group."""
        spectra, weights = self.bare.ensemble.spectra, self.bare.ensemble.weights
        kept = self.gel_arrays.transmittances[list(self.choice.keep)].prod(axis=0)
        near = kept * self.gel_arrays.transmittances[added].prod(axis=0)
        places = np.nan_to_num(through(spectra, near[None, :]).uv[0] * (1.0, 1.5) / STEP_DELTA_UV)
        members = grouped(places, weights, groups)
        return bounds_of(spectra, weights, kept, self.bare.wanted.uv, members, *self.judge.floor)


def pareto_candidates(judge: Judge, choice: Choice) -> Indices:
    """Return stacks (m, w) of a choice, the whole front among them, in the order of `stacks_on`.

    The first is `keep` alone, whatever it costs. Raises Refused where too many stacks are too nearly alike.
    """
    asked = SearchTask(judge, choice)
    best = np.zeros((1, 0), dtype=np.intp)
    found = [asked.rows(best)]
    known = Frontier()
    risk, lost = asked.judged(best, known)
    known.add(risk, asked.counted(lost))  # it takes part whatever it costs
    for layers in range(1, choice.free + 1 if choice.gels else 1):
        added, risk = _search(asked, tree_of(judge.gel_arrays, choice.gels), layers, known, best[0])
        found.append(asked.rows(added))
        if len(added) and risk.min() <= known.best:
            best = added[[np.argmin(risk)]]
    return np.concatenate(found)


def _search(
    asked: SearchTask, tree: Tree, layers: int, known: Frontier, best: Indices
) -> tuple[Indices, Array]:
    """Search all stacks of so many layers: return those the frontier does not beat, sorted, and their risks.

    `best` (w,) are the gels of a stack near the target.
    """
    number = min(_FIRST_LEVEL, tree.depth)
    bounds = asked.bounds(best, _GROUPS)
    clusters = _first(tree.levels[number], layers)
    while number < tree.depth:
        level = tree.levels[number]
        nodes = _left(asked, clusters, level, _bands(bounds, level), known)
        _probe(asked, nodes, tree.middle(number), known)
        clusters = _halved(nodes.clusters)
        number += 1
        if len(clusters) > MOST_NODES:
            raise _too_many(asked.choice)
    leaf = tree.levels[number]
    nodes = _left(asked, clusters, leaf, _stacks(bounds, leaf), known)
    if len(asked.bare.ensemble.weights) > _GROUPS:
        finer = asked.bounds(best, _MORE_GROUPS)
        nodes = _left(asked, nodes.clusters, leaf, _stacks(finer, leaf), known)
    gels = tree.order[leaf.starts[nodes.clusters]]
    return _exactly(asked, nodes, np.sort(gels, axis=1), known)


class _Nodes(NamedTuple):
    """Nodes of one level: `clusters` (m, w), the number of a cluster for each layer, and two bounds (m,).

    No stack of a node has less risk than `least` [step], nor less counted loss of light than `spent` [stop].
    """

    clusters: Indices
    least: Array
    spent: Array


def _first(level: Level, layers: int) -> Indices:
    """Return all nodes of a level, (m, w)."""
    filled = np.flatnonzero(level.filled)
    return np.array(list(itertools.combinations_with_replacement(filled, layers)), dtype=np.intp)


def _halved(clusters: Indices) -> Indices:
    """Split nodes (m, w) into those of the next level, (n, w), each once."""
    layers = clusters.shape[1]
    halves = np.array(list(itertools.product((0, 1), repeat=layers)))
    nodes: Indices = (2 * clusters[:, None, :] + halves).reshape(-1, layers)
    for k in range(layers - 1):  # the order of two layers makes no difference
        nodes = nodes[nodes[:, k] <= nodes[:, k + 1]]
    return nodes


_Sieve = Callable[[Indices], tuple[Array, Array, Array]]
"""A function from nodes to their least risk, and to the most and the least light that their scaled curves
pass."""


def _bands(bounds: Bounds, level: Level) -> _Sieve:
    """Return the function that bounds nodes of clusters."""

    def bound(numbers: Indices) -> tuple[Array, Array, Array]:
        low = _product(level.low, numbers)
        return *bounds.of_bands(low, _product(level.high, numbers)), bounds.passed(low)

    return bound


def _stacks(bounds: Bounds, leaf: Level) -> _Sieve:
    """Return the function that bounds nodes of single gels."""

    def bound(numbers: Indices) -> tuple[Array, Array, Array]:
        least, passed = bounds.of_stacks(_product(leaf.high, numbers))
        return least, passed, passed

    return bound


def _product(curves: Array, numbers: Indices) -> Array:
    """Multiply each node's curves, (m, 81)."""
    product = curves[numbers[:, 0]]
    for k in range(1, numbers.shape[1]):
        product *= curves[numbers[:, k]]
    return product


def _left(asked: SearchTask, clusters: Indices, level: Level, bound: _Sieve, known: Frontier) -> _Nodes:
    """Bound nodes (m, w) of a level, and return those that may hold a stack of the front."""
    filled = np.ones(len(clusters), dtype=np.bool_)
    signs = np.zeros((len(clusters), 4), dtype=np.bool_)
    for numbers in clusters.T:
        filled &= level.filled[numbers]
        signs |= level.signs[numbers]
    opposed = (signs[:, 0] & signs[:, 2]) | (signs[:, 1] & signs[:, 3])
    clusters = clusters[filled & ~opposed]
    least, most_passed, least_passed = (np.empty(len(clusters)) for _ in range(3))
    for start in range(0, len(clusters), _CHUNK):
        go_on()
        here = slice(start, start + _CHUNK)
        least[here], most_passed[here], least_passed[here] = bound(clusters[here])
    for numbers in clusters.T:
        most_passed *= level.scale[numbers]
        least_passed *= level.least_scale[numbers]
    least_lost, most_lost = (-np.log2(np.clip(p, 1e-300, 1.0)) for p in (most_passed, least_passed))
    # The counted loss is 0 where a stack loses just what it has to, and rises on either side.
    counted = asked.counted(np.clip(asked.bare.due_stops, least_lost, most_lost))
    stay = np.flatnonzero(~known.beats(least, counted) & asked.affordable(least_lost))
    return _Nodes(clusters[stay], least[stay], counted[stay])


def _probe(asked: SearchTask, nodes: _Nodes, middle: Indices, known: Frontier) -> None:
    """Predict the stacks in the middle of the most promising nodes, to lower the frontier.

    `middle` (c,) is a gel for each cluster of their level.
    """
    by_miss = np.argsort(nodes.least, kind="stable")[:_BEAM]
    by_gain = np.argsort(nodes.least - known.least(nodes.spent), kind="stable")[:_BEAM]
    some = nodes.clusters[np.union1d(by_miss, by_gain)]
    gels = np.sort(middle[some], axis=1)
    risk, lost = asked.judged(gels[hangs(asked.gel_arrays, asked.choice, gels)], known)
    asked.learn(known, risk, lost)


def _exactly(asked: SearchTask, nodes: _Nodes, added: Indices, known: Frontier) -> tuple[Indices, Array]:
    """Judge the stacks that are left, the most promising first: each may lower the frontier for the next."""
    order = np.argsort(nodes.least - known.least(nodes.spent), kind="stable")
    order = order[hangs(asked.gel_arrays, asked.choice, added[order])]
    risk, lost = np.full(len(added), np.nan), np.full(len(added), np.nan)
    for start in range(0, len(order), _CHUNK):
        here = order[start : start + _CHUNK]
        here = here[~known.beats(nodes.least[here], nodes.spent[here])]
        risk[here], lost[here] = asked.judged(added[here], known)
        asked.learn(known, risk[here], lost[here])
    stay = np.flatnonzero(~known.beats(risk, asked.counted(lost)) & asked.affordable(lost))
    stay = stay[np.lexsort(added[stay].T[::-1])]
    return added[stay], risk[stay]


def _too_many(choice: Choice) -> Refused:
    return Refused.one(
        "gels",
        f"{len(choice.gels)} gels in up to {choice.free} layers make too many stacks that are nearly alike",
        "fewer layers, a limit to the light lost, or gels switched off that are not on the truck",
    )
