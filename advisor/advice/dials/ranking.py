"""How to set the dials of an adjustable head, alone or with gel where its reach ends.

Candidates are pairs of a stack and a setting, all in one ranking. Cost, front and ties are as for stacks
alone, and turning a dial costs no layer. The setting that was read is as certain as the reading. Any other is
as certain as the mapping from dial to light (`calibration`). The expected miss is the mean over the spectra
that the head may have, and over the light that the setting may really give.

Every figure shown is predicted exactly. Interpolated surfaces decide only which pairs are finalists
(`candidates`). The benchmark prints how much better going through all pairs would do.
"""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np

from ...colour.observer.data import Array
from ...colour.spectra.sources import Unbendable
from ...model import Limits, Reach, Refused, Setting, SourceAdvice, StackAdvice
from ...model.basis.quantities import tidy
from ...model.sets.phrases import dial_said
from ..cost.judge import Judge, sure_of
from ..ranking.candidates import choice_for
from ..ranking.pareto import Ranked, ordered
from ..ranking.report import source_report, stack_reports
from ..stacks.enumerate import Indices
from ..stacks.gel_arrays import GelArrays
from ..stacks.prediction import Outcomes, PreparedSource
from ..stacks.uncertainty import Certainty, looks_same
from .at_setting import judged_at, moved, stand_at
from .calibration import Mapped, fit_dial
from .candidates import DialledHead, StackAtSetting

MOST_SHOWN = 40
"""The most entries shown: those of the least cost."""


def dialled(bare: PreparedSource, limits: Limits, gel_arrays: GelArrays) -> SourceAdvice | None:
    """Rank stacks with settings for an adjustable head; None where no reading says how its dials stood.

    The entry for the head as it is, dials left alone and nothing added, is always there. Each entry's `dial`
    is on the head's steps and within its reach, or is the setting that was read (None where nobody noted it).
    `stops` is the light lost against the reading; it is negative where the dial gives more. A source's own
    tolerance replaces that of `limits`. Raises Refused as `advise_on` does.
    """
    return _dialled(_Question(bare, limits, gel_arrays))


@dataclass(frozen=True, eq=False)
class _Question:
    """What is asked. Two questions are equal if everything that decides the answer is equal."""

    bare: PreparedSource
    limits: Limits
    gel_arrays: GelArrays

    @cached_property
    def _all(self) -> tuple[object, ...]:
        bare = self.bare
        arrays = (bare.white.uv, bare.wanted.uv, bare.ensemble.spectra, bare.ensemble.weights)
        return (
            bare.source.model_dump_json(),
            self.limits.model_dump_json(),
            self.limits.accuracy.unsaid_percent,  # a request's own figure is not in the dump
            self.gel_arrays,
            *(array.tobytes() for array in arrays),
            *(bare.keep, bare.doubt, bare.least_stops, bare.over if bare.exact else None, bare.exact),
        )

    def __hash__(self) -> int:
        return hash(self._all)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and self._all == other._all


@lru_cache(maxsize=128)
def _dialled(asked: _Question) -> SourceAdvice | None:
    bare, gel_arrays = asked.bare, asked.gel_arrays
    fit = fit_dial(bare.source)
    if fit is None:
        return None
    limits = asked.limits.for_source(bare.source)
    judge = Judge(bare, gel_arrays, limits)
    found = predicted(judge, DialledHead(judge, fit, choice_for(judge)).pairs())
    order = ordered(judge, found.stacks, judge.counted(found.outcomes.passed), found.risk)
    return _answer(judge, found, _with_first(order[:MOST_SHOWN], judge, found))


class PairOutcomes(NamedTuple):
    """Pairs (n) with their outcomes, their risk (n,) [step] and how certain they are.

    The offsets of `sure`, (n, k, 2), are in the order of the spectra of the reading.
    """

    pairs: list[StackAtSetting]
    outcomes: Outcomes
    risk: Array
    sure: Certainty

    @property
    def stacks(self) -> Indices:
        """The stacks (n, w)."""
        return np.array([pair.stack for pair in self.pairs])


def predicted(judge: Judge, pairs: list[StackAtSetting]) -> PairOutcomes:
    """Predict pairs exactly, those of one setting together.

    Members are matched by name. A member that cannot give the light of a setting gets the mean of those that
    can.
    """
    n, names = len(pairs), judge.bare.ensemble.names
    uv, steps, passed, risk = np.empty((n, 2)), np.empty(n), np.empty(n), np.empty(n)
    sure = Certainty(np.empty((n, len(names), 2)), np.empty((n, 2, 2)), np.empty(n))
    groups = _by_stand(pairs)
    stands = [pairs[indices[0]].stand for indices in groups]
    stacks = [np.array([pairs[k].stack for k in indices]) for indices in groups]
    each = zip(groups, stands, judged_at(stands, judge, stacks), strict=True)
    for indices, stand, (outcomes, known, risks) in each:
        uv[indices], steps[indices], passed[indices] = outcomes.uv, outcomes.steps, outcomes.passed
        risk[indices], sure.covariance[indices], sure.steps[indices] = risks, known.covariance, known.steps
        own = {name: k for k, name in enumerate(stand.bare.ensemble.names)}
        mean = np.einsum("mkc,k->mc", known.offsets, stand.bare.ensemble.weights)
        for k, name in enumerate(names):
            sure.offsets[indices, k] = known.offsets[:, own[name]] if name in own else mean
    return PairOutcomes(pairs, Outcomes(uv, steps, passed), risk, sure)


def _by_stand(pairs: list[StackAtSetting]) -> list[list[int]]:
    """Return the indices of pairs, those of one setting together."""
    groups: defaultdict[int, list[int]] = defaultdict(list)
    for k, pair in enumerate(pairs):
        groups[id(pair.stand)].append(k)
    return list(groups.values())


def _with_first(order: Indices, judge: Judge, found: PairOutcomes) -> Indices:
    """Return ranked rows, with row 0, the head as it is, put in where its cost belongs."""
    if 0 in order:
        return order
    price = judge.cost(found.stacks, found.risk, found.outcomes.passed)
    at = int(np.searchsorted(price[order], price[0], side="right"))
    return np.insert(order, at, 0)[:MOST_SHOWN] if at < MOST_SHOWN else np.append(order[:-1], 0)


def _answer(judge: Judge, found: PairOutcomes, shown: Indices) -> SourceAdvice:
    """Report pairs in ranked order, `shown` by their indices."""
    pairs, all_stacks = [found.pairs[k] for k in shown], found.stacks[shown]
    outcomes, groups = found.outcomes.at(shown), _by_stand(pairs)
    stands = [pairs[own[0]].stand for own in groups]
    judges = [moved(judge, stand) for stand in stands]
    stacks = [all_stacks[own] for own in groups]
    there = [outcomes.at(np.array(own)) for own in groups]
    risks = [found.risk[shown[own]] for own in groups]
    ranked = map(Ranked, judges, stacks, there, sure_of(judges, stacks), risks)
    entries: dict[int, StackAdvice] = {}
    for own, stand, made in zip(groups, stands, stack_reports(list(ranked)), strict=True):
        entries.update(zip(own, (_dialled_at(stand.setting, entry) for entry in made), strict=True))
    same = looks_same(found.sure.at(shown), judge.bare.ensemble.weights)
    return source_report(judge, [entries[k] for k in range(len(pairs))], same)


def _dialled_at(setting: Setting | None, entry: StackAdvice) -> StackAdvice:
    return entry.model_copy(update={"dial": setting})


def landing_dialled(
    bare: PreparedSource, limits: Limits, gel_arrays: GelArrays, stack: Indices, setting: Setting
) -> Ranked:
    """Return where the light lands behind one stack, (1, w), at one setting of a head's dials.

    The setting need not be on the dials' steps. Raises Refused, with the place ``dial``, where it is beyond
    the reach, where nothing is known of the dials, or where the head would give no light of its kind.
    """
    fit = fit_dial(bare.source)
    if fit is None:
        raise Refused.one("dial", *_unknown(bare, setting))
    if setting != fit.current:
        _within(fit.reach, setting)
    try:
        stand = stand_at(bare, fit, setting)
    except Unbendable:
        mapped = fit.of(setting)
        says = f"at {dial_said(setting)} the head would be {_white(mapped)}"
        raise Refused.one(
            "dial", f"{says}, and no light of its kind is", "a setting nearer to those that were read"
        ) from None
    judge = stand.judge(gel_arrays, limits.for_source(bare.source))
    return Ranked(judge, stack, *stand.outcomes(judge, stack))


def standing(bare: PreparedSource, setting: Setting | None) -> PreparedSource:
    """Return a head with its dials at a setting; as it was read where there is none, or where it is the same.

    Raises Unbendable where no light of its kind has the chromaticity that the mapping predicts.
    """
    fit = fit_dial(bare.source) if setting else None
    return stand_at(bare, fit, setting).bare if fit and setting else bare


def _white(mapped: Mapped) -> str:
    return f"at {tidy(float(mapped.mired), 0)} mired, Duv {tidy(float(mapped.duv), 4)}"


def _unknown(bare: PreparedSource, setting: Setting) -> tuple[str, str]:
    said = f"what {tidy(setting.cct)} K on its dial gives is not known"
    if bare.source.reach is None:
        return f"{bare.source.name} has no dials: {said}", "give the dial range first"
    return f"no reading notes how the dials stood: {said}", "read it once with its dial noted"


def _within(reach: Reach, setting: Setting) -> None:
    """Raise Refused where a setting is beyond the dials."""
    for name, unit, value, low, high in (
        ("cct", " K", setting.cct, reach.cct_from, reach.cct_to),
        ("green", "", setting.green, reach.green_from, reach.green_to),
    ):
        if not low <= value <= high:
            says = f"{tidy(value)}{unit} is beyond the dial"
            raise Refused.one(f"dial.{name}", says, f"{tidy(low)} to {tidy(high)}{unit}")
