"""Plain references for the search: every stack, one formula, and the front by its definition.

Nothing here comes from the code that is tested, save the gels' transmittances, the ensembles and the
observer's weights: which stacks there are, what they do and which of them count is worked out anew.
"""

import numpy as np

from advisor.colour.grid import weights


def costs(steps, stops, layers, tolerance):
    """The documented cost: a step beyond the tolerance counts four times, a stop two, a layer a half."""
    return steps + 3.0 * np.maximum(steps - tolerance, 0.0) + 2.0 * stops + 0.5 * layers


def counted(stops, least):
    """The loss that counts where `least` has to be lost: what is beyond, ten times what is too little."""
    return stops if least == 0.0 else np.where(stops >= least, stops - least, 10.0 * (least - stops))


def hangs_with(gel, others):
    """Whether a row may hang with others: no opposites, and no more than there are."""
    if any(gel.mired * b.mired < 0 or gel.cc * b.cc < 0 for b in others):
        return False
    return gel.stock is None or [b.name for b in (gel, *others)].count(gel.name) <= gel.stock


def every_stack(rows, keep, max_layers, excluded=(), dimmed=False):
    """All stacks as tuples of rows, kept ones first; the others in the order of `rows`. ND where `dimmed`."""
    by_name = {row.name: row for row in rows}
    kept = tuple(by_name[name] for name in keep)
    choice = [row for row in rows if row.on and (not row.neutral or (dimmed and row.family == "ND"))]
    choice = [row for row in choice if row.family not in excluded]
    found, grown = [kept], [((), 0)]
    for _ in range(len(kept), max_layers):
        grown = [
            ((*added, choice[i]), i)
            for added, first in grown
            for i in range(first, len(choice))
            if hangs_with(choice[i], (*kept, *added))
        ]
        found += [(*kept, *added) for added, _ in grown]
    return found


def filters_of(stacks, rows, sheets):
    """Transmittances (m, 81) of stacks of rows, of which `sheets` (n, 81) are those of one sheet."""
    place = {row.name: i for i, row in enumerate(rows)}
    sheets = np.concatenate([sheets, np.ones((1, sheets.shape[1]))])
    at = np.full((len(stacks), max(map(len, stacks))), len(rows))
    for k, stack in enumerate(stacks):
        at[k, : len(stack)] = [place[row.name] for row in stack]
    return sheets[at].prod(axis=1)


def miss_and_loss(spectra, shares, filters, target_xy):
    """Expected miss [step] and loss [stop] behind filters (m, 81), from X, Y, Z by CIE 15."""
    steps, passed = np.zeros(len(filters)), np.zeros(len(filters))
    x0, y0 = target_xy
    u0, v0 = 4 * x0 / (-2 * x0 + 12 * y0 + 3), 9 * y0 / (-2 * x0 + 12 * y0 + 3)
    for spectrum, share in zip(spectra, shares, strict=True):
        X, Y, Z = (filters @ (spectrum[:, None] * weights())).T
        u, v = 4 * X / (X + 15 * Y + 3 * Z), 9 * Y / (X + 15 * Y + 3 * Z)
        steps += share * np.sqrt((u - u0) ** 2 + (v - v0) ** 2) / 0.0011
        passed += share * Y / (spectrum @ weights()[:, 1])
    return steps, -np.log2(passed)


def levels(values):
    """Whole numbers that rise with values; those no more than a billionth apart have the same."""
    order = np.argsort(values)
    rises = np.diff(np.asarray(values)[order], prepend=-np.inf) > 1e-9
    return np.cumsum(rises)[np.argsort(order)]


def front(steps, stops, layers):
    """Places that no other beats, by comparing with every one found so far."""
    figures = np.stack([levels(steps), levels(stops), layers], axis=1)
    kept, places = np.empty((0, 3)), []
    for i in np.lexsort(figures.T[::-1]):
        at_least = (kept <= figures[i]).all(axis=1)
        if not (at_least & (kept < figures[i]).any(axis=1)).any():
            kept = np.concatenate([kept, figures[[i]]])
            places.append(int(i))
    return places


def ranked(steps, stops, layers, tolerance, max_stops=None, least=0.0):
    """Places of the front in order; the first stack takes part whatever it costs."""
    some = [i for i in range(len(steps)) if i == 0 or max_stops is None or stops[i] - least <= max_stops]
    stops = counted(stops, least)
    places = [some[k] for k in front(steps[some], stops[some], layers[some])]
    prices = levels(costs(steps[places], stops[places], layers[places], tolerance))
    return [place for _, place in sorted(zip(prices, places, strict=True))]


class Vectorised:
    """The front of up to three layers of very many gels: every stack of them evaluated, in double precision.

    `sheets` (n, 81), `mired`, `cc` and `stock` (n,) are in one order; a stack is a rising tuple of places.
    The stacks of two gels beside a fixed one are a few matrix products. `least` has to be lost, and beyond
    that no more than `most`.
    """

    def __init__(self, sheets, mired, cc, stock, least=0.0, most=np.inf):
        self.sheets, self.stock = sheets, stock
        self.least, self.most = least, most
        self.clash = (np.outer(mired, mired) < 0) | (np.outer(cc, cc) < 0)

    def front(self, spectra, shares, target_xy, max_layers=3):
        """The stacks that no other beats, sorted."""
        here = np.flatnonzero(self.stock > 0)
        stacks = [(), *((int(i),) for i in here)]
        filters = np.concatenate([np.ones((1, self.sheets.shape[1])), self.sheets[here]])
        steps, lost = miss_and_loss(spectra, shares, filters, target_xy)
        rows = np.stack([steps, counted(lost, self.least), [len(stack) for stack in stacks]], axis=1)
        affordable = np.flatnonzero((lost - self.least <= self.most) | (np.arange(len(lost)) == 0))
        rows, stacks = rows[affordable], [stacks[i] for i in affordable]
        for layers, heads in ((2, [()]), (3, [(int(i),) for i in here])):
            for head in heads if layers <= max_layers else ():
                first = head[-1] if head else 0
                steps, lost = self.block(spectra, shares, target_xy, head, first)
                steps[lost - self.least > self.most] = np.nan
                lost = counted(lost, self.least)
                good = np.argwhere(~clearly_beaten(rows, steps, lost))
                stacks += [(*head, first + int(j), first + int(k)) for j, k in good]
                more = np.stack(
                    [steps[tuple(good.T)], lost[tuple(good.T)], np.full(len(good), layers)], axis=1
                )
                rows = np.concatenate([rows, more])
                if len(rows) > 20_000:
                    rows, stacks = _reduced(rows, stacks)
        return sorted(_reduced(rows, stacks)[1])

    def block(self, spectra, shares, target_xy, head, first):
        """Miss and loss (p, p) of `head` with gels j ≤ k, counted from `first`; NaN where they cannot be."""
        rest, stock = self.sheets[first:], self.stock[first:]
        filters = rest * self.sheets[list(head)].prod(axis=0)
        x0, y0 = target_xy
        u0, v0 = 4 * x0 / (-2 * x0 + 12 * y0 + 3), 9 * y0 / (-2 * x0 + 12 * y0 + 3)
        steps, passed = np.zeros((len(rest), len(rest))), np.zeros((len(rest), len(rest)))
        for spectrum, share in zip(spectra, shares, strict=True):
            X, Y, Z = ((filters * (spectrum * weights()[:, c])) @ rest.T for c in range(3))
            below = X + 15 * Y + 3 * Z
            steps += share * np.sqrt((4 * X / below - u0) ** 2 + (9 * Y / below - v0) ** 2) / 0.0011
            passed += share * Y / (spectrum @ weights()[:, 1])
        wrong = np.tri(len(rest), k=-1, dtype=bool) | self.clash[first:, first:]
        wrong |= (stock < 1)[:, None] | (stock < 1)[None, :] | np.diag(stock < 2)
        for gel in head:
            wrong |= self.clash[gel, first:, None] | self.clash[gel, None, first:]
            wrong[0] |= stock[0] < 2  # the head's own gel is the first of the rest
            wrong[0, 0] |= stock[0] < 3
        steps[wrong] = np.nan
        return steps, -np.log2(passed)


def clearly_beaten(rows, steps, lost):
    """Whether one of `rows` (r, 3), none of more layers, is better than each stack by more than rounding."""
    order = np.argsort(rows[:, 1], kind="stable")
    least = np.concatenate([[np.inf], np.minimum.accumulate(rows[order, 0])])
    at = np.searchsorted(rows[order, 1], lost - 1e-8, side="right")
    return ~(steps <= least[at] + 1e-8)


def _reduced(rows, stacks):
    """The front of rows (r, 3): what is clearly beaten goes at once, the rest by the definition."""
    few = []
    for layers in np.unique(rows[:, 2]):
        here = np.flatnonzero(rows[:, 2] == layers)
        beaten = clearly_beaten(rows[rows[:, 2] <= layers], rows[here, 0], rows[here, 1])
        few += here[~beaten].tolist()
    places = [few[k] for k in front(*rows[few].T)]
    return rows[places], [stacks[i] for i in places]
