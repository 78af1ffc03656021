"""How to set the dials of an adjustable head, alone or with gel where its reach ends.

Candidates are pairs of a stack and a setting, in one ranking: the same cost, the same front, the same ties as
for stacks alone, and turning a dial costs no layer. The setting that was read is as certain as the reading;
any other is as certain as the mapping from dial to light (`dial_fit`), and what that leaves open counts in
the expected miss: it is the mean over the spectra that the head may have and over where the dial may lead.

Every figure shown is predicted exactly; only which pairs are finalists (`dial_pairs`) rests on interpolated
surfaces. The benchmark prints how much better going through all pairs would do.
"""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np

from ..colour.data import Array
from ..colour.predict import stops
from ..colour.sources import Unbendable
from ..model import Accuracy, Limits, Reach, Refused, Setting, SourceAdvice, StackAdvice
from ..model.phrases import dial_said
from ..model.quantities import tidy
from .candidates import choice_of
from .certainty import Certainty
from .dial_fit import Mapped, fit_dial
from .dial_pairs import DialledHead, Pair
from .dial_stand import stand_at
from .fronts import rank
from .prediction import Bare, Outcomes
from .rack import Rack
from .ranking import cost, spent
from .report import source_report
from .stacks import Indices

MOST_SHOWN = 40
"""At most so many entries, those of the least cost."""


def dialled(bare: Bare, limits: Limits, rack: Rack) -> SourceAdvice | None:
    """Rank stacks with settings for an adjustable head; None where no reading says how its dials stood.

    The entry for the head as it is, dial left and nothing added, is always among them. Each entry's `dial`
    is on the head's steps and within its reach, or where the reading found it (None where that was not
    noted). `stops` is the light lost against the reading, below zero where the dial gives more. A source's
    own tolerance goes before that of `limits`. Raises Refused as `advise_on` does.
    """
    return _dialled(_Question(bare, limits, rack))


@dataclass(frozen=True, eq=False)
class _Question:
    """What is asked, equal to another where all that the answer rests on is equal."""

    bare: Bare
    limits: Limits
    rack: Rack

    @cached_property
    def _all(self) -> tuple[object, ...]:
        bare = self.bare
        arrays = (bare.white.uv, bare.wanted.uv, bare.ensemble.spectra, bare.ensemble.weights)
        return (
            bare.source.model_dump_json(),
            self.limits.model_dump_json(),
            self.rack,
            *(array.tobytes() for array in arrays),
            *(bare.keep, bare.doubt, bare.least_stops),
        )

    def __hash__(self) -> int:
        return hash(self._all)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Question) and self._all == other._all


@lru_cache(maxsize=128)
def _dialled(asked: _Question) -> SourceAdvice | None:
    bare, rack = asked.bare, asked.rack
    fit = fit_dial(bare.source)
    if fit is None:
        return None
    limits = asked.limits.for_source(bare.source)
    choice = choice_of(bare, limits, rack)
    found = predicted(bare, rack, DialledHead(bare, fit, limits, rack, choice).pairs())
    order = rank(found.outcomes, np.array([pair.stack for pair in found.pairs]), limits, bare.least_stops)
    shown = _with_first(order[:MOST_SHOWN], found, limits, bare.least_stops)
    return _answer(bare, rack, found.at(shown), limits.accuracy)


class PairOutcomes(NamedTuple):
    """Pairs (n) with their outcomes; `members` (n, k) are the misses under each of the reading's spectra."""

    pairs: list[Pair]
    outcomes: Outcomes
    members: Array

    def at(self, places: Indices) -> "PairOutcomes":
        """Return some of the pairs, in the order of their places."""
        return PairOutcomes([self.pairs[k] for k in places], self.outcomes.at(places), self.members[places])


def predicted(bare: Bare, rack: Rack, pairs: list[Pair]) -> PairOutcomes:
    """Predict pairs exactly, those of one setting together.

    Members are matched by name: a lamp that cannot have the light of a setting counts as the mean of those
    that can.
    """
    uv, steps, passed = np.empty((len(pairs), 2)), np.empty(len(pairs)), np.empty(len(pairs))
    names = bare.ensemble.names
    members = np.empty((len(pairs), len(names)))
    for places in _by_stand(pairs):
        stand = pairs[places[0]].stand
        outcomes, by_member = stand.outcomes(rack, np.array([pairs[k].stack for k in places]))
        uv[places], steps[places], passed[places] = outcomes.uv, outcomes.steps, outcomes.passed
        own = {name: k for k, name in enumerate(stand.bare.ensemble.names)}
        for k, name in enumerate(names):
            members[places, k] = by_member[:, own[name]] if name in own else outcomes.steps
    return PairOutcomes(pairs, Outcomes(uv, steps, passed), members)


def _by_stand(pairs: list[Pair]) -> list[list[int]]:
    """Return the places of pairs, those of one setting together."""
    groups: defaultdict[int, list[int]] = defaultdict(list)
    for k, pair in enumerate(pairs):
        groups[id(pair.stand)].append(k)
    return list(groups.values())


def _with_first(order: Indices, found: PairOutcomes, limits: Limits, least_stops: float) -> Indices:
    """Return ranked places with that of the head as it is, 0, among them by its cost."""
    if 0 in order:
        return order
    layers = np.array([(pair.stack >= 0).sum() for pair in found.pairs])
    lost = spent(stops(found.outcomes.passed), least_stops)
    price = cost(found.outcomes.steps, lost, layers, limits.tolerance_steps)
    at = int(np.searchsorted(price[order], price[0], side="right"))
    return np.insert(order, at, 0)[:MOST_SHOWN] if at < MOST_SHOWN else np.append(order[:-1], 0)


def _answer(bare: Bare, rack: Rack, found: PairOutcomes, accuracy: Accuracy) -> SourceAdvice:
    """Report ranked pairs, those that cannot be told apart with the lighter first."""
    entries: dict[int, StackAdvice] = {}
    for places in _by_stand(found.pairs):
        stacks = np.array([found.pairs[k].stack for k in places])
        outcomes = found.outcomes.at(np.array(places))
        made = found.pairs[places[0]].stand.reports(rack, stacks, outcomes, accuracy)
        entries.update(zip(places, made, strict=True))
    reports = [entries[k] for k in range(len(found.pairs))]
    sure = Certainty(np.array([entry.uncertainty_steps for entry in reports]), found.members)
    return source_report(bare, reports, sure)


def predict_dialled(
    bare: Bare, accuracy: Accuracy, rack: Rack, stack: Indices, setting: Setting
) -> StackAdvice:
    """Predict one stack, (1, w) indices into the rack, at one setting of a head's dials.

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
            "dial", f"{says}, which is no light of its kind", "a setting nearer to those that were read"
        ) from None
    outcomes, _ = stand.outcomes(rack, stack)
    return stand.reports(rack, stack, outcomes, accuracy)[0]


def standing(bare: Bare, setting: Setting | None) -> Bare:
    """Return a head with its dials at a setting; as it was read where there is none, or where it is the same.

    Raises Unbendable where no light of its kind is what the mapping says.
    """
    fit = fit_dial(bare.source) if setting else None
    return stand_at(bare, fit, setting).bare if fit and setting else bare


def _white(mapped: Mapped) -> str:
    return f"at {tidy(float(mapped.mired), 0)} mired, Duv {tidy(float(mapped.duv), 4)}"


def _unknown(bare: Bare, setting: Setting) -> tuple[str, str]:
    said = f"what {tidy(setting.cct)} K on its dial gives is not known"
    if bare.source.reach is None:
        return f"{bare.source.name} has no dials: {said}", "give the reach of its dials first"
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
