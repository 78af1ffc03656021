"""How often a taught row is as near to the truth as it says, on measured lamps.

    python -m tests.accuracy.teaching [--even] [FOLDER]

On each lamp of the odd rows (the even ones with --even) sheets of other dyes, as far off their labels as the
table says, are read bare and behind one layer by a meter of ±2 % CCT and ±0.0010 Duv, half of which is new at
every reading. Each pair is taught, and the row held against the sheet's true shift on its reference. The draw
is always the same.
"""

import argparse
from collections import defaultdict
from pathlib import Path

import numpy as np

from advisor.advice.teaching.teach import ReadingPair, from_pairs
from advisor.colour.observer.grid import to_grid
from advisor.colour.spectra import gels
from advisor.colour.spectra.dyes import shifted
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import Reading, Refused, Source
from tests.accuracy.lamps import WAVELENGTHS, Lamp, lamps
from tests.advice.pairs import read

TAUGHT = ("CTO 1/2", "CTB full", "Plus green 1/2")
NINE_IN_TEN = 1.645
OWN = 0.5
"""The part of the meter's error that is new at every reading, as `fit_gel` takes it."""


def trials(found: list[Lamp]) -> dict[str, list[tuple[float, ...]]]:
    """Return for each kind of lamp, of each row taught on it, how far it is off and says: mired, CC."""
    table = shipped_gels().rows
    draw = np.random.default_rng(5)
    results: dict[str, list[tuple[float, ...]]] = defaultdict(list)
    for lamp in found:
        spectrum = to_grid(WAVELENGTHS, lamp.power)
        for row in (gel for gel in table if gel.name in TAUGHT):
            strength = 1.0 + (row.off_percent or 0.0) / 100.0 / NINE_IN_TEN * draw.normal()
            mired, cc = row.mired * strength, row.cc * strength
            dyes = shifted(*draw.uniform(-12.0, 12.0, 2), draw.uniform(0.85, 1.2))
            always, bare, behind = draw.normal(size=(3, 2)) / NINE_IN_TEN
            try:
                [sheet] = gels.transmittances(
                    np.array([mired]), np.array([cc]), np.array([np.nan]), dyes=dyes
                )
            except gels.Impossible:
                continue
            exact = read(spectrum, None), read(spectrum * sheet, None)
            if None in exact:
                continue
            errors = (np.sqrt(1.0 - OWN**2) * always + OWN * own for own in (bare, behind))
            seen = [metered(reading, *error) for reading, error in zip(exact, errors, strict=True)]
            pair = ReadingPair(Source(name="Lamp", kind=lamp.kind, reading=seen[0]), seen[1])
            try:
                lesson = from_pairs(row, [pair], table)
            except Refused:
                results["refused"].append(())
                continue
            assert lesson.fit is not None
            off = abs(lesson.fit.mired - mired), abs(lesson.fit.cc - cc)
            results[lamp.kind].append((*off, *lesson.fit.doubt))
    return results


def metered(reading: Reading, warmer: float, greener: float) -> Reading:
    """Return a reading with a meter's error, in units of its tolerance."""
    assert reading.cct is not None and reading.duv is not None
    return Reading(cct=reading.cct / (1.0 + 0.02 * warmer), duv=reading.duv + 0.001 * greener)


def main() -> None:
    """Print for each kind of lamp how far taught rows are off, and how many are within what they say."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("folder", type=Path, nargs="?", help="with the lamps; else they are fetched")
    parser.add_argument("--even", action="store_true", help="the even rows")
    asked = parser.parse_args()
    found = [lamp for lamp in lamps(asked.folder) if lamp.odd != asked.even and not lamp.theoretical]
    results = trials(found)
    print(f"{'kind':20}  rows  off at 90 %      within ±")
    print(f"{'':20}        mired    CC    mired   CC")
    refused = len(results.pop("refused", []))
    together = [row for rows in results.values() for row in rows]
    for kind, each in [*results.items(), ("all", together)]:
        off = np.array(each)
        far = np.quantile(off[:, :2], 0.9, axis=0)
        within = (off[:, :2] <= off[:, 2:]).mean(axis=0)
        print(f"{kind:20} {len(off):5} {far[0]:6.1f} {far[1]:6.2f} {within[0]:7.0%} {within[1]:5.0%}")
    print(f"{refused} pairs were refused as none of their gel")


if __name__ == "__main__":
    main()
