"""What stacks on one source risk, worked out anew by the documented definitions.

Of the code that is tested only data are taken: the gels' transmittances (also under other dyes), the
ensemble, the observer, and the points and shares of the rule for expected losses, which has tests of its own.
"""

import numpy as np

from advisor.advice.cost.loss import POINTS, SHARES
from advisor.colour.observer.data import observer
from advisor.colour.observer.grid import weights
from advisor.model import Known

STEP = 0.0011
"""Δu′v′ of a step: CIE TN 001:2014 (from memory)."""
NINE_IN_TEN = 1.645
"""Standard deviations on either side of the mean that hold nine tenths of a normal scatter along a line."""


def loss(steps, tolerance):
    """The documented loss: each step beyond the tolerance counts four times."""
    return steps + 3.0 * np.maximum(steps - tolerance, 0.0)


def place_of(X, Y, Z):
    """(u′, v′) in steps, of CIE 15."""
    return np.stack([4 * X / (X + 15 * Y + 3 * Z), 9 * Y / (X + 15 * Y + 3 * Z)], axis=-1) / STEP


def steps_of_uv(uv):
    """CIE 1960 (u, v) as (u′, v′) in steps."""
    return np.array([uv[0], 1.5 * uv[1]]) / STEP


def white_at(mired, duv):
    """(u′, v′) in steps of a white: Planck's law (c2 = 1.4388e-2 m K, ITS-90), Duv across it in (u, v)."""

    def locus(at):
        metres = observer().wavelengths * 1e-9
        X, Y, Z = (metres**-5 / np.expm1(1.4388e-2 * at * 1e-6 / metres)) @ observer().values
        return np.array([4 * X, 6 * Y]) / (X + 15 * Y + 3 * Z)

    along = locus(mired + 0.01) - locus(mired - 0.01)
    across = np.array([-along[1], along[0]])
    across *= np.sign(across[1]) / np.hypot(*across)  # green is up
    return steps_of_uv(locus(mired) + duv * across)


def outer(move):
    """What a scatter along `move` (..., 2), its standard deviation, adds to a covariance."""
    return move[..., :, None] * move[..., None, :]


def expected_loss(places, shares, covariance, tolerance, farther=0.0):
    """The mean loss (m,) of places (k, m, 2) of `shares` (k,), scattered by `covariance` (m, 2, 2).

    By POINTS, spread out by the symmetric root of the covariance, from its eigenvectors.
    """
    variances, axes = np.linalg.eigh(covariance)
    root = axes * np.sqrt(np.maximum(variances, 0.0))[:, None, :] @ axes.transpose(0, 2, 1)
    found = np.zeros(len(covariance))
    for point, part in zip(POINTS, SHARES, strict=True):
        u, v = (root @ point).T
        for place, share in zip(places, shares, strict=True):
            away = np.sqrt((place[:, 0] + u) ** 2 + (place[:, 1] + v) ** 2)
            found += part * share * loss(away + farther, tolerance)
    return found


class Reference:
    """What stacks of `rows` do to one source; a stack is a row of places in `rows`, padded with −1.

    `sheets` (n, 81) and `others` are the transmittances of the rows, in their order.
    """

    def __init__(self, bare, rows, sheets, others, limits):
        self.spectra, self.shares = bare.ensemble.spectra, bare.ensemble.weights
        self.measured, self.doubt, self.keep = bare.ensemble.measured, bare.doubt, tuple(bare.keep)
        self.white, self.wanted = steps_of_uv(bare.white.uv), steps_of_uv(bare.wanted.uv)
        self.mired, self.duv = 1e6 / bare.white.cct, bare.white.duv
        self.needed = 1000.0 * (bare.wanted.duv - bare.white.duv)
        self.rows, self.sheets, self.others = rows, sheets, others
        self.tolerance, self.accuracy = limits.tolerance_steps, limits.accuracy
        self.percents = np.array([self.percent_of(row) for row in rows])
        series = [row.family.casefold() if row.known is Known.GENERIC else row.name for row in rows]
        self.alike = np.zeros((len(rows) + 1,) * 2)
        for i, k in np.ndindex(len(rows), len(rows)):
            if series[i] == series[k]:
                self.alike[i, k] = 1.0 if i == k else self.shared(i) * self.shared(k)
        there = [row.on and not row.neutral and row.stock != 0 for row in rows]
        self.there = [
            ok and row.family not in limits.exclude_families for ok, row in zip(there, rows, strict=True)
        ]
        self.against = np.array([self.is_against(row) for row in rows] + [False])
        self.parts = self.which_are_parts()
        self.steady = self.of_meter() + np.eye(2) / 2.0 * (self.doubt / STEP / NINE_IN_TEN) ** 2

    def percent_of(self, row):
        """How far a row's shift may be off: what it says, or what the request says of the others."""
        return self.accuracy.unsaid_percent if row.off_percent is None else row.off_percent

    def shared(self, row):
        """The part of a sheet's strength that is its series': each has three tenths of (12 %)² itself."""
        return np.sqrt(1.0 - 0.3 * min(12.0 / max(self.percents[row], 1e-9), 1.0) ** 2)

    def of_meter(self):
        """A meter's covariance: so many per cent of the mireds, and so much Duv, nine times in ten."""
        mired, duv, total = self.mired, self.duv, np.zeros((2, 2))
        warmer = (white_at(mired + 0.1, duv) - white_at(mired - 0.1, duv)) / 0.2
        greener = (white_at(mired, duv + 1e-4) - white_at(mired, duv - 1e-4)) / 2e-4
        for move in (
            warmer * mired * self.accuracy.meter_cct_percent / 100.0,
            greener * self.accuracy.meter_duv,
        ):
            total = total + outer(move / NINE_IN_TEN)
        return total

    def is_against(self, row):
        """Plus green where less than half an eighth of magenta is to go, and the other way round."""
        if abs(row.cc) < 0.3 * abs(row.mired):
            return False
        return (row.cc > 0 and self.needed < 1.75) or (row.cc < 0 and self.needed > -1.75)

    def which_are_parts(self):
        """Say of which two gels one of the same family does as much as both, to a tenth."""
        parts = np.zeros((len(self.rows) + 1,) * 2, dtype=bool)
        for i, one in enumerate(self.rows):
            family = [k for k, row in enumerate(self.rows) if row.family == one.family]
            ones = [k for k in family if self.there[k]]
            mired = np.array([self.rows[k].mired for k in ones])
            cc = np.array([self.rows[k].cc for k in ones])
            for j in family:
                other = self.rows[j]
                if one.neutral or other.neutral or not (one.on and other.on):
                    continue
                both = one.mired + other.mired, (one.cc + other.cc) / 0.3
                apart = np.hypot(mired - both[0], cc / 0.3 - both[1])
                parts[i, j] = (apart <= 0.1 * np.hypot(*both)).any()
        return parts

    def farther(self, stacks):
        """How much farther off stacks (m, w) count than they are, for what is added to what is kept."""
        added = stacks[:, len(self.keep) :]
        found = np.zeros(len(stacks), dtype=bool)
        for i in range(added.shape[1]):
            for j in range(i + 1, added.shape[1]):
                found |= self.parts[added[:, i], added[:, j]]
        return 0.5 * found + 0.5 * self.against[added].any(axis=1)

    def product(self, stacks, sheets=None):
        """Transmittances (m, 81) of stacks (m, w)."""
        sheets = self.sheets if sheets is None else sheets
        filters = np.ones((len(stacks), sheets.shape[1]))
        for column in stacks.T:
            filters *= np.where((column >= 0)[:, None], sheets[column], 1.0)
        return filters

    def places(self, filters):
        """Where each spectrum lands behind filters (m, 81), from the target (k, m, 2) [step]; stops (m,)."""
        places, passed = [], 0.0
        for spectrum, share in zip(self.spectra, self.shares, strict=True):
            X, Y, Z = (filters @ (spectrum[:, None] * weights())).T
            with np.errstate(invalid="ignore"):
                places.append(place_of(X, Y, Z) - self.wanted)
            passed = passed + share * Y / (spectrum @ weights()[:, 1])
        with np.errstate(divide="ignore"):
            return np.array(places), -np.log2(passed)

    def covariance(self, stacks, filters, mean):
        """The scatter (m, 2, 2) [step²] that all members have in common; `mean` (m, 2) is where they land."""
        total = np.broadcast_to(self.steady, (len(stacks), 2, 2)).copy()
        seen = sum(w * s for w, s in zip(self.shares, self.spectra, strict=True))[:, None] * weights()
        own = place_of(*(filters @ seen).T)
        for other in self.others:
            total += outer(place_of(*(self.product(stacks, other) @ seen).T) - own) / len(self.others)
        if not self.measured:
            moved = np.hypot(*(mean + self.wanted - self.white).T)
            total += (0.03 * moved)[:, None, None] ** 2 * np.eye(2) / 2.0
        moves = [self.by_strength(column, filters, seen) for column in stacks.T]
        for one, move in zip(stacks.T, moves, strict=True):
            for two, other in zip(stacks.T, moves, strict=True):
                both = move[:, :, None] * other[:, None, :]
                total = total + self.alike[one, two][:, None, None] * both
        return total

    def by_strength(self, column, filters, seen):
        """How far stacks move while one sheet of each grows denser by its standard deviation, (m, 2)."""
        sheets = self.sheets[column]
        log = np.log(sheets, out=np.zeros_like(sheets), where=sheets > 0.0)
        X, Y, Z = (filters @ seen).T
        dX, dY, dZ = ((filters * log) @ seen).T
        below, slope = X + 15 * Y + 3 * Z, dX + 15 * dY + 3 * dZ
        u, v = (4 * dX * below - 4 * X * slope) / below**2, (9 * dY * below - 9 * Y * slope) / below**2
        return np.stack([u, v], axis=1) / STEP * (self.percents[column] / 100.0 / NINE_IN_TEN)[:, None]

    def miss(self, stacks):
        """The expected miss [step] and the stops of stacks (m, w)."""
        places, lost = self.places(self.product(stacks))
        return np.hypot(places[..., 0], places[..., 1]).T @ self.shares, lost

    def risk(self, stacks):
        """The risk [step] and the stops of stacks (m, w); NaN where no light is left."""
        filters = self.product(stacks)
        places, lost = self.places(filters)
        lit = np.isfinite(lost)
        stacks, filters, places = stacks[lit], filters[lit], places[:, lit]
        mean = np.einsum("kmc,k->mc", places, self.shares)
        covariance = self.covariance(stacks, filters, mean)
        found = expected_loss(places, self.shares, covariance, self.tolerance, self.farther(stacks))
        risk = np.full(len(lost), np.nan)
        risk[lit] = found
        return risk, lost
