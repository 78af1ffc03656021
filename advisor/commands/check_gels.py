"""`advisor check-gels`: what is wrong in a gel table, line by line, and what looks like a slip."""

import sys
from collections.abc import Iterator
from pathlib import Path

from ..advice.teaching.possible_rows import all_checked
from ..imports.gels.csv_table import read_gels
from ..imports.gels.curves import CurvesInDoubt, Folder
from ..imports.gels.draft import GelDraft, draft_gels
from ..imports.gels.transmittance import CurveAs
from ..model import Refused
from ..model.sets.phrases import counted
from ..web.gels.curves import ask_about

_STDIN = Path("-")


def check_gels(file: Path) -> int:
    """Say what is wrong in a gel table, with the curves that it names beside it; `-` is what stands on stdin.

    Returns the exit status: 1 where something is wrong. What looks like a slip is a warning, and no more.
    """
    shown = "stdin" if file == _STDIN else str(file)
    beside = Folder(Path() if file == _STDIN else file.parent)
    doubtful = 0
    take: dict[str, CurveAs] = {}
    try:
        data = sys.stdin.buffer.read() if file == _STDIN else file.read_bytes()
        try:
            table = read_gels(data, beside, all_checked, ask_about)
        except CurvesInDoubt as doubt:
            doubtful = len(doubt.curves)
            for problem in doubt.problems:
                print(f"warning: {problem.where}: {problem}")
            take = {curve.gel: CurveAs(curve.likeliest) for curve in doubt.curves}
            table = read_gels(data, beside, all_checked, ask_about, take)
    except OSError as error:
        print(f"advisor: cannot read {file}: {error.strerror}", file=sys.stderr)
        return 1
    except Refused as no:
        for problem in no.problems:
            print(f"{problem.where}: {problem}" if problem.where else str(problem))
        return 1
    slips = list(slips_in(draft_gels(data, beside, all_checked, ask_about, take)))
    for slip in slips:
        print(f"warning: {slip}")
    measured = sum(gel.transmittance is not None for gel in table.rows)
    curves = f" ({measured} measured)" if measured else ""
    found = [f"{doubtful} in doubt, to be asked about at the import"] if doubtful else []
    found += [counted(len(slips), "warning").replace("\N{NO-BREAK SPACE}", " ")] if slips else []
    gels = f"{len(table.rows)} gel{'' if len(table.rows) == 1 else 's'}"
    print(f"{shown}: {gels}{curves}, {', '.join(found) or 'nothing wrong'}")
    return 0


def slips_in(draft: GelDraft) -> Iterator[str]:
    """Say what the import would ask about: rows against their names, signs and scales of whole columns."""
    for question in draft.asked:
        yield f"{question.says}; taken: {question.ways[question.likeliest]}"
    for row in draft.rows:
        for problem in row.wrong if row.doubted else ():
            yield f"{problem.where}: {problem}"
