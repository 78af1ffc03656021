"""The gel table as the ranking sees it: arrays in an order that does not depend on the rows' order."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from ...colour.observer import grid
from ...colour.observer.data import Array
from ...colour.spectra import gels
from ...model import Accuracy, Gel, Known, Refused, Transmittance
from ...model.basis.base import name_keys
from ...model.gels.gel import GelFacts, facts_of
from ..readings.chromaticity import samples
from ..wording.ladder import Ladder, ladder_of

CC_PER_MIRED = 0.3
"""One mired moves a light about as far as this many CC: a mired is 0.4 step, a CC 1.3."""
_OWN = 0.3
"""What part of the variance of its strength a sheet has to itself, where its series is known as the trade
reckons. The rest it shares with its series. Set between invented gels that are off one by one and
such as are off together (`tests.accuracy.families`). With more, the stated doubt is truer where they are off
one by one, and a lamp that drifted is taken for a sheet off its label, so that a swap goes wrong."""
_ONE_BY_ONE = 12.0
"""How far one sheet of a series may be off beside the others. What a row says beyond that is which series
hangs, lighter or stronger: that is the same for all of it. [% of the shift] From memory."""


@dataclass(frozen=True, eq=False)
class GelArrays:
    """Gels sorted by family, the strongest first, with their transmittances (n, 81).

    `stock` counts sheets that may be taken, with a large number for plenty. `on_truck` says of which gels
    there are any, whoever has them. Every gel of the table is here, so that a stack built by hand can use
    gels that are switched off. `ranked` says which take part in the ranking, `dimming` which take part only
    if light has to be lost. Of these, `scrims` slide in before a lens. `by_label` says which are known by
    their label only. `mired` and `cc` are the shifts on the `reference` [K].
    `stops` is what labels say, NaN where they do not. `percent` is how far each shift may be off, for nine
    sheets in ten, NaN where the row does not say. Gels of one `series` are partly off together (`alike`).
    `ladder` has the sizes of the fractions that words use.
    """

    names: tuple[str, ...]
    families: tuple[str, ...]
    mired: Array
    cc: Array
    stops: Array
    reference: Array
    transmittances: Array
    stock: NDArray[np.intp]
    on_truck: NDArray[np.bool_]
    ranked: NDArray[np.bool_]
    dimming: NDArray[np.bool_]
    scrims: NDArray[np.bool_]
    by_label: NDArray[np.bool_]
    percent: Array
    series: NDArray[np.intp]
    ladder: Ladder

    @cached_property
    def number(self) -> bytes:
        """What tells it from all others: the SHA-256 of its fields.

        What follows from it is kept by this, so that what another process made is found.
        """
        number = hashlib.sha256()
        for part in fields(self):
            value = getattr(self, part.name)
            number.update(value.tobytes() if isinstance(value, np.ndarray) else repr(value).encode())
        return number.digest()

    @cached_property
    def other_dyes(self) -> Array:
        """Four other transmittances that gels may have under the same labels, (4, n, 81).

        A measured gel has its own in all four.
        """
        able = np.flatnonzero(self.by_label)
        label = self.mired[able], self.cc[able], self.stops[able], self.reference[able]
        variants = np.stack([self.transmittances] * 4)
        variants[:, able] = gels.alternatives(*label, self.transmittances[able])
        return variants

    @cached_property
    def pushes(self) -> NDArray[np.intp]:
        """Say which way gels are hung to move the light: −1, 0 or 1 along mired and along green, (n, 2).

        Only a gel's main axis counts. The rest is a side effect, like the touch of green in many CTO. Another
        gel may well be hung to correct that.
        """
        along = CC_PER_MIRED * np.abs(self.mired) > np.abs(self.cc)
        main = np.stack([along, ~along], axis=1)
        return np.where(main, np.sign([self.mired, self.cc]).T, 0.0).astype(np.intp)

    @cached_property
    def strengths(self) -> Array:
        """How the strength of each gel follows from independent unknowns, in standard deviations, (n + 1, s).

        What a gel has to itself comes first, then what each series shares; the last row is NONE. A gel that
        is alone in its series has but that one.
        """
        count = np.bincount(self.series, minlength=1)
        percent = np.where(np.isnan(self.percent), _ONE_BY_ONE, self.percent)
        several = (count[self.series] > 1) & (percent > 0.0)
        own = np.where(several, _OWN * np.minimum(_ONE_BY_ONE / np.maximum(percent, 1e-9), 1.0) ** 2, 0.0)
        alone, shared = np.diag(np.sqrt(own))[:, several], np.eye(len(count))[self.series]
        factors = np.concatenate([alone, np.sqrt(1.0 - own)[:, None] * shared], axis=1)
        return np.concatenate([factors, np.zeros((1, factors.shape[1]))])

    @cached_property
    def alike(self) -> Array:
        """How far the strengths of two gels are off their labels together, (n + 1, n + 1): correlations."""
        return np.asarray(self.strengths @ self.strengths.T)

    def off_percent(self, accuracy: Accuracy) -> Array:
        """Return how far the shift of each gel may be off, nine sheets in ten, (n,) [%]."""
        return np.where(np.isnan(self.percent), accuracy.unsaid_percent, self.percent)

    def find(self, names: Sequence[str], where: str = "") -> list[int]:
        """Return the indices of gels by name, letter case aside.

        Raises Refused, pointing at each name that is not in the table; `where` the names stand.
        """
        if not names:
            return []
        if all(name in self._index_by_name for name in names):
            return [self._index_by_name[name] for name in names]
        found = [self._index_by_key.get(key) for key in name_keys([" ".join(name.split()) for name in names])]
        unknown = [
            Refused.one(
                f"{where}[{k}]", f"no gel is called {name[:60]!r}", f"a gel of the table: {self._some()}"
            ).problems[0]
            for k, (name, i) in enumerate(zip(names, found, strict=True))
            if i is None
        ]
        if unknown:
            raise Refused(unknown)
        return [i for i in found if i is not None]

    def find_each(self, stacks: Sequence[Sequence[str]]) -> list[list[int]]:
        """Return the indices of the gels of each stack, as `find` does."""
        return [self.find(names) for names in stacks]

    @cached_property
    def _index_by_name(self) -> dict[str, int]:
        return {name: i for i, name in enumerate(self.names)}

    @cached_property
    def _index_by_key(self) -> dict[str, int]:
        return {key: i for i, key in enumerate(name_keys(self.names))}

    @cached_property
    def family_keys(self) -> NDArray[np.str_]:
        """The families' names as keys, (n,): equal for names that a person would take for the same."""
        return np.array(name_keys(self.families), dtype=np.str_)

    def product(self, indices: Sequence[int]) -> Array:
        """Return the transmittance (81,) of gels, by their indices, one behind the other."""
        return np.asarray(self.transmittances[list(indices)].prod(axis=0))

    def products(self, stacks: Sequence[Sequence[str]]) -> Array:
        """Return the transmittances (n, 81) of stacks of gels by name; raises Refused as `find` does."""
        return np.stack([self.product(self.find(names)) for names in stacks])

    def _some(self) -> str:
        shown = ", ".join(self.names[:6])
        return shown + (", …" if len(self.names) > 6 else "")


PLENTY = 10**6
"""Stands for stock that nobody counts: more sheets than a table can have. [sheets]"""


def _in_order(rows: Sequence[Gel], names: Sequence[str]) -> list[int]:
    """Order gels as a crew names them in a stack: a family together, the strongest sheet first."""
    families, keys = name_keys([gel.family for gel in rows]), name_keys(names)
    shifts = [(-abs(gel.mired), -abs(gel.cc)) for gel in rows]
    return sorted(range(len(rows)), key=lambda i: (families[i], shifts[i], keys[i]))


@lru_cache(maxsize=32)
def gel_arrays_of(rows: tuple[Gel, ...]) -> GelArrays:
    """Solve the dyes of a table's gels.

    Raises Refused, pointing at the row, where no gel can do what a row says.
    """
    facts = facts_of(rows)
    order = _in_order(rows, [fact.name for fact in facts])
    ranked, facts = [rows[i] for i in order], [facts[i] for i in order]
    names = tuple(fact.name for fact in facts)
    mired, cc = (np.array([getattr(g, axis) for g in ranked], dtype=float) for axis in ("mired", "cc"))
    stops = np.array([np.nan if g.stops is None else g.stops for g in ranked], dtype=float)
    said = np.array([np.nan if g.reference is None else g.reference for g in ranked], dtype=float)
    reference = gels.reference_of(mired, cc, said)
    try:
        transmittances = _solved(ranked, mired, cc, stops, reference)
    except gels.Impossible as no:
        says = f"{names[no.index]}: {no.reason}"
        allowed = "other mired and cc, or stops left empty"
        raise Refused.one(f"[{order[no.index]}]", says, allowed) from None
    on = np.array([gel.on for gel in ranked], dtype=np.bool_)
    lit = transmittances.any(axis=1)  # a measured sheet may pass nothing that the eye sees
    return GelArrays(
        names=names,
        families=tuple(g.family for g in ranked),
        mired=mired,
        cc=cc,
        stops=stops,
        reference=reference,
        transmittances=transmittances,
        stock=np.array([PLENTY if g.stock is None else g.stock for g in ranked], dtype=np.intp),
        on_truck=np.array([g.stock != 0 for g in ranked], dtype=np.bool_),
        ranked=on & np.array([not fact.neutral for fact in facts], dtype=np.bool_) & lit,
        dimming=on & np.array([fact.dims for fact in facts], dtype=np.bool_) & lit,
        scrims=np.array([fact.scrim for fact in facts], dtype=np.bool_),
        by_label=np.array([g.transmittance is None for g in ranked], dtype=np.bool_),
        percent=np.array([np.nan if f.off_percent is None else f.off_percent for f in facts], dtype=float),
        series=_series(ranked, facts),
        ladder=ladder_of(rows),
    )


def _series(rows: Sequence[Gel], facts: Sequence[GelFacts]) -> NDArray[np.intp]:
    """Return a number for each gel, (n,), the same for those that are off their labels together.

    If only the trade's usual figures are known of a family, all its gels on a truck come from one series, and
    are partly off together. Gels that were looked up or measured one by one are off one by one.
    """
    keys = name_keys([*(gel.family for gel in rows), *(fact.name for fact in facts)])
    families, alone = keys[: len(rows)], keys[len(rows) :]
    series = [
        family if fact.knowledge is Known.GENERIC else f"{own} alone"
        for fact, family, own in zip(facts, families, alone, strict=True)
    ]
    return np.array([series.index(one) for one in series], dtype=np.intp)


def _solved(rows: Sequence[Gel], mired: Array, cc: Array, stops: Array, reference: Array) -> Array:
    """Return the transmittances (n, 81) of gels: measured where they were, else solved from their labels."""
    result = np.empty((len(rows), len(grid.WAVELENGTHS)))
    by_label = np.array([i for i, gel in enumerate(rows) if gel.transmittance is None], dtype=np.intp)
    try:
        result[by_label] = gels.transmittances(
            mired[by_label], cc[by_label], stops[by_label], reference[by_label]
        )
    except gels.Impossible as no:
        raise gels.Impossible(int(by_label[no.index]), no.reason) from None
    for i, gel in enumerate(rows):
        if gel.transmittance is not None:
            result[i] = on_grid(gel.transmittance)
    return result


def on_grid(curve: Transmittance) -> Array:
    """Return a measured transmittance on the grid, (81,)."""
    return np.clip(grid.to_grid(*samples(curve)), 0.0, 1.0)


def revision_of(rows: Sequence[Gel]) -> str:
    """Return a name for a table: the same for the same rows in any order, else another."""
    text = "\n".join(sorted(gel.model_dump_json() for gel in rows))
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def nominal_stops(gel_arrays: GelArrays) -> dict[str, float]:
    """Return the light that each gel costs on its reference, by name. [stop]"""
    lost = gels.loss_on_reference(gel_arrays.reference, gel_arrays.transmittances)
    return dict(zip(gel_arrays.names, (float(v) for v in lost), strict=True))
