"""Plain references for the search: every stack, its risk by one formula, and the front by its definition.

Which stacks there are and which of them count is worked out anew, as what they risk is (`expected`).
"""

import numpy as np

from advisor.colour.observer.grid import weights
from tests.advice.expected import Reference, loss


def costs(risk, stops, layers):
    """The documented cost: a stop, in tenths, counts two steps, a layer a half."""
    return risk + 0.2 * tenths(stops) + 0.5 * layers


def tenths(stops):
    """Light in whole tenths of a stop, a half of one and more rounded up."""
    return np.floor(10.0 * stops + 0.5 + 1e-9)


def counted(stops, least):
    """The loss that counts where `least` has to be lost: what is beyond, ten times what is too little."""
    return stops if least == 0.0 else np.where(stops >= least, stops - least, 10.0 * (least - stops))


def hung_for(gel):
    """What a row is hung for: the axis on which it does most, 1 CC being worth 3.3 mired, and the way."""
    turns = 0.3 * abs(gel.mired) > abs(gel.cc)
    return turns, np.sign(gel.mired if turns else gel.cc)


def clash(a, b):
    """Whether two rows are there to undo each other."""
    (axis, way), (other, back) = hung_for(a), hung_for(b)
    return axis == other and way * back < 0


def hangs_with(gel, others):
    """Whether a row may hang with others: no opposites, and no more than there are."""
    if any(clash(gel, b) for b in others):
        return False
    return gel.stock is None or [b.name for b in (gel, *others)].count(gel.name) <= gel.stock


SCRIMS = ("Single scrim", "Double scrim")
LENSED = ("tungsten", "discharge", "led-white", "led-mix")
"""The kinds of heads with a lens to hold a scrim, where it is no practical. Common practice, no source."""


def dims(row, lensed):
    """Whether a row takes part where light has to be lost: ND, and scrims before a lens."""
    return row.family == "ND" or (lensed and row.family in SCRIMS)


def every_stack(rows, keep, max_layers, excluded=(), dimmed=False, lensed=False):
    """All stacks as tuples of rows, kept ones first; the others in the order of `rows`.

    Where `dimmed` those that only lose light are among them. A scrim that is kept takes up no layer.
    """
    by_name = {row.name: row for row in rows}
    kept = tuple(by_name[name] for name in keep)
    choice = [row for row in rows if row.on and (not row.neutral or (dimmed and dims(row, lensed)))]
    choice = [row for row in choice if row.family not in excluded]
    found, grown = [kept], [((), 0)]
    for _ in range(sum(row.family not in SCRIMS for row in kept), max_layers):
        grown = [
            ((*added, choice[i]), i)
            for added, first in grown
            for i in range(first, len(choice))
            if hangs_with(choice[i], (*kept, *added))
        ]
        found += [(*kept, *added) for added, _ in grown]
    return found


def places_of(stacks, rows):
    """Stacks of rows as places in `rows`, (m, w), padded with −1."""
    place = {row.name: i for i, row in enumerate(rows)}
    at = np.full((len(stacks), max(map(len, stacks))), -1)
    for k, stack in enumerate(stacks):
        at[k, : len(stack)] = [place[row.name] for row in stack]
    return at


def levels(values):
    """Whole numbers that rise with values; those no more than a billionth apart have the same."""
    order = np.argsort(values)
    rises = np.diff(np.asarray(values)[order], prepend=-np.inf) > 1e-9
    return np.cumsum(rises)[np.argsort(order)]


def front(risk, stops, layers):
    """Places that no other beats, by comparing with every one found so far."""
    figures = np.stack([levels(risk), tenths(stops), layers], axis=1)
    kept, places = np.empty((0, 3)), []
    for i in np.lexsort(figures.T[::-1]):
        at_least = (kept <= figures[i]).all(axis=1)
        if not (at_least & (kept < figures[i]).any(axis=1)).any():
            kept = np.concatenate([kept, figures[[i]]])
            places.append(int(i))
    return places


def ranked(risk, stops, layers, max_stops=None, least=0.0):
    """Places of the front by cost, layers, light; the first stack takes part whatever it costs."""
    some = [i for i in range(len(risk)) if i == 0 or max_stops is None or stops[i] - least <= max_stops]
    some = np.array([i for i in some if np.isfinite(risk[i])])
    stops = counted(stops, least)
    places = some[front(risk[some], stops[some], layers[some])]
    prices = levels(costs(risk[places], stops[places], layers[places]))
    return places[np.lexsort((places, levels(stops[places]), layers[places], prices))]


class Vectorised:
    """The front of up to three layers of very many gels: every stack of them evaluated, in double precision.

    `reference` says what a stack risks; of each gel hang as many as `stock` (n,) says. A stack is a rising
    tuple of places. Of two gels beside a fixed one a few matrix products give the expected miss. The
    risk is no less than the loss of that (Jensen's inequality), so it is worked out only where the loss is
    not beaten already. `least` has to be lost, and beyond that no more than `most`.
    """

    def __init__(self, reference: Reference, stock, least=0.0, most=np.inf):
        self.reference, self.sheets, self.stock = reference, reference.sheets, stock
        self.least, self.most = least, most
        self.clash = np.array([[clash(a, b) for b in reference.rows] for a in reference.rows])

    def front(self, max_layers=3):
        """The stacks that no other beats, sorted."""
        here = np.flatnonzero(self.stock > 0)
        stacks = [(), *((int(i),) for i in here)]
        risk, lost = self.reference.risk(np.concatenate([[-1], here])[:, None])
        rows = np.stack([risk, tenths(counted(lost, self.least)), [len(stack) for stack in stacks]], axis=1)
        takes_part = (lost - self.least <= self.most) | (np.arange(len(lost)) == 0)
        takes_part = np.flatnonzero(takes_part & np.isfinite(risk))
        rows, stacks = _reduced(rows[takes_part], [stacks[i] for i in takes_part])
        for layers, heads in ((2, [()]), (3, [(int(i),) for i in here])):
            for head in heads if layers <= max_layers else ():
                first = head[-1] if head else 0
                steps, lost = self.block(head, first)
                steps[~(lost - self.least <= self.most)] = np.nan
                light = tenths(counted(lost, self.least))
                bound = loss(steps + self.farther(head, first), self.reference.tolerance)
                good = np.argwhere(~clearly_beaten(rows, bound, light))
                good = good[np.argsort(bound[tuple(good.T)], kind="stable")]
                for some in np.array_split(good, len(good) // 400 + 1):
                    some = some[~clearly_beaten(rows, bound[tuple(some.T)], light[tuple(some.T)])]
                    if not len(some):
                        continue
                    found = [(*head, first + int(j), first + int(k)) for j, k in some]
                    risk, _ = self.reference.risk(np.array(found))
                    more = np.stack([risk, light[tuple(some.T)], np.full(len(some), layers)], axis=1)
                    rows, stacks = _reduced(np.concatenate([rows, more]), stacks + found)
        return sorted(stacks)

    def farther(self, head, first):
        """How much farther off (p, p) `head` with gels j and k, counted from `first`, counts."""
        parts, against = self.reference.parts[:-1, :-1], self.reference.against[:-1]
        found, wrong = parts[first:, first:].copy(), against[first:, None] | against[None, first:]
        for gel in head:
            found |= parts[gel, first:, None] | parts[gel, None, first:]
            wrong = wrong | against[gel]
        return 0.5 * found + 0.5 * wrong

    def block(self, head, first, members=None):
        """Miss and stops (p, p) of `head` with gels j ≤ k, counted from `first`; NaN where they cannot be."""
        rest, stock = self.sheets[first:], self.stock[first:]
        filters = rest * self.sheets[list(head)].prod(axis=0)
        spectra, shares = self.reference.spectra[:members], self.reference.shares[:members]
        (u0, v0), steps, passed = self.reference.wanted * 0.0011, 0.0, 0.0
        for spectrum, share in zip(spectra, shares, strict=True):
            X, Y, Z = ((filters * (spectrum * weights()[:, c])) @ rest.T for c in range(3))
            below = X + 15 * Y + 3 * Z
            with np.errstate(invalid="ignore", divide="ignore"):
                away = np.sqrt((4 * X / below - u0) ** 2 + (9 * Y / below - v0) ** 2)
            steps = steps + share * away / 0.0011
            passed = passed + share * Y / (spectrum @ weights()[:, 1])
        wrong = np.tri(len(rest), k=-1, dtype=bool) | self.clash[first:, first:]
        wrong |= (stock < 1)[:, None] | (stock < 1)[None, :] | np.diag(stock < 2)
        for gel in head:
            wrong |= self.clash[gel, first:, None] | self.clash[gel, None, first:]
            wrong[0] |= stock[0] < 2  # the head's own gel is the first of the rest
            wrong[0, 0] |= stock[0] < 3
        steps[wrong] = np.nan
        with np.errstate(divide="ignore"):
            return steps, -np.log2(passed)


def clearly_beaten(rows, risk, light):
    """Whether one of `rows` (r, 3), none of more layers, is better than each stack by more than rounding."""
    order = np.argsort(rows[:, 1], kind="stable")
    least = np.concatenate([[np.inf], np.minimum.accumulate(rows[order, 0])])
    at = np.searchsorted(rows[order, 1], light, side="right")
    return ~(risk <= least[at] + 1e-8)


def _reduced(rows, stacks):
    """The front of rows (r, 3): risk, light in tenths, layers."""
    figures = np.stack([levels(rows[:, 0]), *rows[:, 1:].T], axis=1)
    beaten = np.zeros(len(rows), dtype=bool)
    for row in figures:
        beaten |= (row <= figures).all(axis=1) & (row < figures).any(axis=1)
    places = np.flatnonzero(~beaten)
    return rows[places], [stacks[i] for i in places]
