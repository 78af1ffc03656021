"""Check the advisor's predictions against measured lamps that nobody here made.

    python -m tests.accuracy.validate [--data FOLDER] [--markdown] [--picture FILE]

Needs the advisor installed (pip install -e .), and the two files with the spectra, which are fetched
once by pip where they are not at hand (see lamps.py; about 60 MB are downloaded, 1 MB is kept). Every
lamp is put behind sixteen gels whose dyes are not the advisor's; the advisor is told CCT, Duv and kind,
and what the gels' labels say. The constants of the engine were tuned on the even row numbers: the odd
ones are what counts. Takes some four minutes.
"""

import argparse
import sys
from pathlib import Path

import numpy as np

from advisor.colour.observer.chromaticity import STEP_DELTA_UV
from tests.accuracy.chance import chances
from tests.accuracy.filters import DYE_SETS
from tests.accuracy.lamps import Lamp, NoData, lamps
from tests.accuracy.picture import Curve, draw
from tests.accuracy.summary import (
    chance_table,
    kinds_table,
    main_table,
    measure,
    measure_regret,
    regret_table,
)
from tests.accuracy.trials import Knows, Trial, is_left_out

PICTURE = Path(__file__).with_name("validation.svg")


def main(arguments: list[str] | None = None) -> int:
    """Run the check; the exit status is 1 without data."""
    asked = _arguments(arguments)
    try:
        found = lamps(asked.data)
    except NoData as no:
        print(no, file=sys.stderr)
        return 1
    odd = np.array([lamp.odd for lamp in found])
    tried = {knows: measure(found, DYE_SETS, knows) for knows in Knows}
    everything = {knows: measure(found, DYE_SETS, knows, leave_out=False) for knows in Knows}
    regrets = {
        (layers, knows): measure_regret(found, DYE_SETS, layers, knows)
        for layers in (2, 3)
        for knows in (Knows.READING, Knows.FIGURES)
    }
    tables = (
        main_table(tried, everything, odd),
        kinds_table(tried, found),
        regret_table(regrets, odd),
        chance_table(chances(found, DYE_SETS)),
    )
    print("\n\n".join(table.markdown() if asked.markdown else table.text() for table in tables))
    print(f"\n{notes(found, tried[Knows.READING])}")
    asked.picture.write_text(picture(tried, odd), encoding="utf-8")
    print(f"\nThe picture is {asked.picture}.", file=sys.stderr)
    return 0


def notes(found: list[Lamp], tried: Trial) -> str:
    """Say in words what the tables count."""
    apart = ", ".join(dyes.name for dyes in DYE_SETS)
    unanswered = int(np.isnan(tried.plain[0]).sum())
    itself = sum(map(is_left_out, found))
    lines = (
        f"Figures are means over {len(DYE_SETS)} sets of dyes: bands moved by {apart}, and 20 % wider.",
        f"{itself} of {len(found)} lamps are themselves an archetype of their kind, left out for them.",
        f"Arithmetic has no answer for {unanswered} of {tried.plain[0].size} outcomes; they do not count.",
        "Regret: the true miss of the stack chosen minus that of the best, with all stacks of the sixteen",
        "gels, default limits and exact readings, to 5 600 K daylight and to 3 200 K Planckian; arithmetic",
        "ranks by the same cost.",
    )
    return "\n".join(lines)


def picture(tried: dict[Knows, Trial], odd: np.ndarray) -> str:
    """Draw the odd rows of all sets of dyes."""
    plain, told, figures = (
        of[:, odd].ravel() / STEP_DELTA_UV
        for of in (tried[Knows.READING].plain, tried[Knows.READING].error, tried[Knows.FIGURES].error)
    )
    curves = (
        Curve("advisor, with Ra and R9", figures, 3.0, "", (0.1, 0.95)),
        Curve("advisor, from CCT, Duv and kind", told, 2.0, "8 4", (2.4, 0.78)),
        Curve("plain mired arithmetic", plain, 2.0, "2 4", (3.4, 0.42)),
    )
    shares = "; ".join(f"{c.name}: {np.mean(c.errors <= 3.0):.0%} within 3 steps" for c in curves)
    return draw(curves, "Errors of prediction on lamps of the odd rows", f"Share of outcomes: {shares}.")


def _arguments(given: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--data", type=Path, help="folder with the two files, instead of fetching them")
    parser.add_argument("--markdown", action="store_true", help="write the tables as Markdown")
    parser.add_argument("--picture", type=Path, default=PICTURE, help="where the picture goes (%(default)s)")
    return parser.parse_args(given)


if __name__ == "__main__":
    raise SystemExit(main())
