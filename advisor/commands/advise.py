"""`advisor advise`: what to hang, at the command line and without a server."""

import io
import json
import sys
from argparse import Namespace
from collections.abc import Iterator
from pathlib import Path

from pydantic import ValidationError

from ..advice.answer.advise import advise as advise_on
from ..advice.answer.reached import is_reached
from ..advice.plan.head import PlannedSource
from ..advice.plan.make import make_plan
from ..advice.plan.plan import Plan
from ..advice.plan.questions import why_beyond
from ..advice.wording.outlook import outlook
from ..imports.gels.csv_table import read_gels
from ..imports.gels.curves import Folder
from ..model import AdviceRequest, Gel, Limits, Locus, Problem, Refused, Target, refuse
from ..model.basis.problems import within
from ..model.sets.phrases import white
from ..model.sets.target import PLANCKIAN_BELOW
from ..resources import folder
from ..web.views.heads import light_behind
from ..web.wording.stacks import at_best, closest
from ..web.wording.values import capitalize_first, lost, lux, white_said
from ..web.wording.work import doing
from .sources import AskedSources, named_as_in, pasted, typed

WELL, WRONG, NOT_REACHED = 0, 1, 3
"""Exit statuses: gel likely brings all sources within their tolerances; not understood; it does not.

They go by the words: what matches or is close, five times in ten or more, is 0; “Closest there is” is 3.
"""


_SPACES = str.maketrans(dict.fromkeys("\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}", " "))


def advise(asked: Namespace) -> int:
    """Answer a reading, or a pasted text; returns the exit status."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")  # a console without the signs of the trade still gets words
    try:
        given = pasted(asked.kind) if asked.reading == ["-"] else typed(asked.reading, asked.kind, asked.lux)
        gels, target, limits = _gels(asked.gels), _target(asked), _limits(asked)
        given = named_as_in(gels, given)
        reached = _json(given, target, limits, gels) if asked.json else _text(given, target, limits, gels)
    except Refused as no:
        if asked.json:
            print(json.dumps({"errors": [problem.model_dump() for problem in no.problems]}))
        for problem in () if asked.json else no.problems:
            print(f"advisor: {_said(problem)}", file=sys.stderr)
        return WRONG
    for line in given.taken:
        print(f"advisor: {line}", file=sys.stderr)
    for line in given.left_out:
        print(f"advisor: left out: {line}", file=sys.stderr)
    if given.left_out:
        return WRONG
    return WELL if reached else NOT_REACHED


def _said(problem: Problem) -> str:
    return f"{problem.where}: {problem}" if problem.where else str(problem)


def _gels(file: Path | None) -> list[Gel]:
    """Return the gels of a table; those of the generic one without a file. Raises Refused."""
    at = folder("gels") / "generic.csv" if file is None else file
    try:
        data = at.read_bytes()
    except OSError as error:
        raise Refused.one("--gels", f"cannot read {at}: {error.strerror}", "a gel table as CSV") from None
    with within("--gels"):
        return read_gels(data, Folder(at.parent)).rows


def _target(asked: Namespace) -> Target:
    """Return the white to match; its locus goes by its CCT where nobody says one. Raises Refused."""
    try:
        return Target.model_validate({"cct": asked.to} | ({"locus": asked.locus} if asked.locus else {}))
    except ValidationError as error:
        raise refuse(error) from None


def _limits(asked: Namespace) -> Limits:
    said = {"tolerance_steps": asked.tolerance, "max_layers": asked.layers}
    try:
        return Limits.model_validate({name: value for name, value in said.items() if value is not None})
    except ValidationError as error:
        raise refuse(error) from None


def _json(given: AskedSources, target: Target, limits: Limits, gels: list[Gel]) -> bool:
    """Print the answer that the API gives; return whether gel brings every source in."""
    request = AdviceRequest.model_construct(**dict(limits), target=target, sources=given.sources, gels=gels)
    answer = advise_on(request, gels)
    print(answer.model_dump_json(indent=2))
    return all(source.reached for source in answer.sources)


def _text(given: AskedSources, target: Target, limits: Limits, gels: list[Gel]) -> bool:
    """Print what the quick check says; return whether gel brings every source in."""
    plan = make_plan(given.sources, target, limits, gels)
    if problems := [*plan.problems, *(p for head in plan.heads for p in head.problems)]:
        raise Refused(problems)
    by_itself = "locus" not in target.model_fields_set and target.locus is Locus.PLANCKIAN
    print(_plain(f"To {white(target)}" + (f" ({PLANCKIAN_BELOW})" if by_itself else "")))
    for i, head in enumerate(plan.heads):
        print()
        if len(plan.heads) > 1:
            print(head.source.name)
        for line in _lines(plan, i, head):
            print(_plain(line))
    return all(is_reached(head.advice) for head in plan.heads if head.advice)


def _lines(plan: Plan, i: int, head: PlannedSource) -> Iterator[str]:
    best = head.best
    if best is None or head.advice is None:
        return
    yield f"{doing(head)}."
    if head.asks:
        yield f"Say it with --kind: {', '.join(head.asks.kinds)}."
    if head.out:
        yield at_best(head)
        yield why_beyond(plan, i) or "The limits are not why: no gel does better."
    else:
        yield f"{capitalize_first(outlook(best))}, {lost(best.stops)}."
    if said := closest(head):
        yield said
    after = light_behind(best)
    light = f", {lux(after.lux)}" if after.lux else ""
    yield f"After: {white_said(after.cct, after.duv)}{light}."
    yield f"Bare: {head.advice.needed.words}."


def _plain(line: str) -> str:
    """Write a line with common spaces, by which a program may part it."""
    return line.translate(_SPACES).replace("..", ".")
