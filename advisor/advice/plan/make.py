"""How a plan is made: advice on every source that can be advised on, and of the others why not.

What belongs to one source is worked out by itself, in three stages: made ready (`ready`), ranked, and with
what was decided. Between them stands what the sources share: sheets that are far off their labels, the light
that gels were seen to let through, the key, and one stock. Each stage is kept by all that it follows from, so
a plan after a change of one source works out that source alone, and is the same as one that is made from
nothing. Only where a sheet turns out to be far off its label, all sources are made ready anew with that.
"""

from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import replace

from ...model import Accuracy, Allocated, Gel, Limits, Refused, Source, SourceAdvice, StackAdvice, Target
from ...model.basis.base import name_key
from ...model.basis.problems import within
from ..after_hanging.dials_first import dials_before_gel
from ..answer.advise import advise_on, limits_key, rank_all
from ..answer.one_stack import predict_stack
from ..answer.reached import out_of_reach_each
from ..learned.light_here import lit_here_each
from ..learned.light_kept import with_light_kept
from ..learned.light_lost import as_light_was_read
from ..learned.sheet_strength import as_strong_as_read, off_their_labels
from ..readings.chromaticity import WhitePoint
from ..readings.lamp_out import left_while_out
from ..readings.tested import MovedTest, moved_test, moved_tests
from ..stacks.gel_arrays import PLENTY, GelArrays, gel_arrays_of
from ..stacks.kept import Kept
from ..stacks.prediction import PreparedSource
from ..stock.left import left_beside, sheets_of
from ..wording.ladder import ladder_of
from .decided import bare_on_target, with_decided
from .head import PlannedSource
from .plan import Plan
from .ready import ReadySource, dims_kept, ready_each, unready, white_by_now


def make_plan(
    sources: Sequence[Source],
    target: Target,
    limits: Limits,
    gels: Sequence[Gel],
    kept: Kept | None = None,
    texts: Sequence[str] = (),
) -> Plan:
    """Advise on every source that can be advised on, and say of the others why not.

    What is in `kept` is not worked out again; what is new is put there. `texts` are the sources as JSON, in
    their order: they are the keys under which `kept` has what belongs to one source.
    """
    if kept is None:
        kept, texts = Kept(), [str(i) for i in range(len(sources))]
    said = limits_key(limits)
    moved = kept.of_all(
        [("moved", text, said) for text in texts],
        lambda missing: _as_by_now([sources[i] for i in missing], limits.accuracy),
    )
    sources = [source for source, _ in moved]
    by_test = tuple(test.tested_at if test and not test.shifts else "" for _, test in moved)

    def readied_by(sheets: GelArrays, white: WhitePoint, some: Sequence[int]) -> list[ReadySource]:
        wanted = white.cct, white.duv, *white.uv.tolist()
        keys: list[Hashable] = [("ready", texts[i], wanted, sheets.number, said) for i in some]
        return kept.of_all(
            keys,
            lambda lot: dims_kept(ready_each([moved[some[k]] for k in lot], white, sheets, limits), sheets),
        )

    def white_by(sheets: GelArrays) -> WhitePoint:
        def one(i: int, white: WhitePoint) -> ReadySource:
            return readied_by(sheets, white, [i])[0]

        return white_by_now(target, moved, one, sheets, limits.accuracy)

    try:
        with within("gels"):
            gel_arrays = labelled = gel_arrays_of(tuple(gels))
        with within("target"):
            white = white_by(labelled)
    except Refused as no:
        ladder = ladder_of(gels)
        alone = tuple(unready(source, ladder) for source in sources)
        return Plan(alone, problems=tuple(no.problems), limits=limits, ladder=ladder, by_test=by_test)
    every = range(len(moved))
    readied = readied_by(labelled, white, every)
    off = off_their_labels([one.strengths for one in readied], labelled, limits.accuracy)
    gel_arrays = as_strong_as_read(labelled, off, limits.accuracy)
    if off:
        white = white_by(gel_arrays)
        readied = readied_by(gel_arrays, white, every)
    heads, ladder = [one.head for one in readied], labelled.ladder
    bares = {i: one.bare for i, one in enumerate(readied) if one.bare is not None}
    gel_arrays = as_light_was_read(gel_arrays, [readied[i].passed for i in bares])
    try:
        advised = advise_on(
            list(bares.values()), limits, _beside_unread(heads, bares, limits, gel_arrays), kept
        )
    except Refused as no:
        problems = tuple(no.problems)
        return Plan(tuple(heads), white, problems, gel_arrays, limits, ladder, bares, by_test=by_test)
    bares = dict(zip(bares, advised.bares, strict=True))
    answers = dict(zip(bares, advised.answers, strict=True))
    indices = list(bares)
    at_hand = _at_hand(heads, answers, gel_arrays) if limits.share_stock else {}

    def sheets(i: int) -> GelArrays:
        return at_hand.get(i, gel_arrays)

    def decide(missing: Sequence[int]) -> list[PlannedSource]:
        some = [indices[k] for k in missing]
        own = [bares[i].source for i in some]
        told = {i: _of_what_is_left(answers[i], bares[i], limits, at_hand.get(i)) for i in some}
        tolerances = limits.tolerances_of(own)
        beyond = out_of_reach_each(own, [told[i] for i in some], tolerances)
        some_heads = [
            replace(heads[i], advice=told[i], beyond=out, left_out=bares[i].left_out)
            for i, out in zip(some, beyond, strict=True)
        ]
        each = zip(some_heads, some, tolerances, strict=True)
        return [_head(head, bares[i], tolerance, limits, sheets(i)) for head, i, tolerance in each]

    keys = [
        ("head", readied[i], bares[i], sheets(i).number, said, _share_key(answers[i].allocated))
        for i in indices
    ]
    for i, head in zip(indices, kept.of_all(keys, decide), strict=True):
        heads[i] = head
    for i in _on_target(target, sources, indices):
        heads[i] = bare_on_target(heads[i], white, limits.tolerance_of(sources[i]), ladder)
    return Plan(tuple(heads), white, (), gel_arrays, limits, ladder, bares, off, by_test)


def _as_by_now(sources: Sequence[Source], accuracy: Accuracy) -> list[tuple[Source, MovedTest | None]]:
    """Return sources with their tests as they are by now and the light that they have; and their tests."""
    sources = lit_here_each(left_while_out(sources))
    tests = moved_tests(sources)
    moved = [test.source if test else source for source, test in zip(sources, tests, strict=True)]
    each = zip(moved, with_light_kept(moved, accuracy), tests, strict=True)
    return [(lit, test if lit is source else moved_test(lit)) for source, lit, test in each]


def _beside_unread(
    heads: Sequence[PlannedSource],
    bares: Mapping[int, PreparedSource],
    limits: Limits,
    gel_arrays: GelArrays,
) -> GelArrays:
    """Return the gels without what hangs on heads of which no reading counts, where all share one stock."""
    works = [head.source.work for i, head in enumerate(heads) if i not in bares]
    up = [name for work in works if work and work.hangs for name in work.gels]
    if not (up and limits.share_stock):
        return gel_arrays
    return left_beside(sheets_of(up, gel_arrays), sheets_of((), gel_arrays), gel_arrays)


def _on_target(target: Target, sources: Sequence[Source], indices: Sequence[int]) -> list[int]:
    """Return which of some sources, by their indices, the target matches as they are bare, if any."""
    if target.source is None or target.duv_offset or target.tint:
        return []
    key = name_key(target.source)
    found = [(i, sources[i]) for i in indices if name_key(sources[i].name) == key]
    return [i for i, one in found if one.reach is None and one.aim.plain and not one.keep]


def _at_hand(
    heads: Sequence[PlannedSource], answers: Mapping[int, SourceAdvice], gel_arrays: GelArrays
) -> dict[int, GelArrays]:
    """Return the gels with the sheets that the others leave, for each source that has a stack already.

    What is changed on it is not shared out anew, so that it is looked for in what is left.
    """
    if (gel_arrays.stock >= PLENTY).all():
        return {}
    shares = {i: one.allocated.stack.gels for i, one in answers.items() if one.allocated}
    works = {i: head.source.work for i, head in enumerate(heads) if head.source.work}
    taken = {i: sheets_of(shares[i] if i in shares else works[i].gels, gel_arrays) for i in shares | works}
    total = sum(taken.values(), sheets_of((), gel_arrays))
    return {i: left_beside(total, taken[i], gel_arrays, works[i].gels) for i in works}


def _of_what_is_left(
    answer: SourceAdvice, bare: PreparedSource, limits: Limits, left: GelArrays | None
) -> SourceAdvice:
    """Return an answer without stacks that take more sheets than are `left`: ranked anew if it has any."""
    if left is None or all((sheets_of(s.gels, left) <= left.stock).all() for s in answer.stacks):
        return answer
    [again] = rank_all({0: bare}, limits, left).values()
    return again.model_copy(update={"allocated": answer.allocated})


def _share_key(allocated: Allocated | None) -> Hashable:
    """Return what tells a source's part of a shared stock from others: with that, its advice is the same."""
    if allocated is None:
        return None
    return tuple(allocated.stack.gels), repr(allocated.stack.dial), allocated.words


def _head(
    head: PlannedSource, bare: PreparedSource, tolerance: float, limits: Limits, gel_arrays: GelArrays
) -> PlannedSource:
    """Return a head that has its advice with what follows from that, and with what was decided for it.

    `tolerance` [step] is its own.
    """
    advice = head.advice
    assert advice is not None, "only heads that are advised on are asked for"
    if head.beyond:
        head = replace(head, ungelled=_ungelled(bare, advice, limits, gel_arrays))
    if bare.source.reach:
        first = dials_before_gel(advice.stacks, bare.source.keep, tolerance)
        head = replace(head, dialled=None if first is advice.stacks[0] else first)
    return with_decided(head, bare, limits, gel_arrays) if head.source.work else head


def _ungelled(
    bare: PreparedSource, answer: SourceAdvice, limits: Limits, gel_arrays: GelArrays
) -> StackAdvice:
    """Return a head with no more on it than it keeps, its dials where they bring it nearest."""
    kept = Counter(gel_arrays.names[i] for i in bare.keep)
    alone = [stack for stack in answer.stacks if stack.dial and Counter(stack.gels) == kept]
    if alone:
        return min(alone, key=lambda stack: stack.miss.steps)
    return predict_stack(bare, limits, gel_arrays, list(kept.elements()))
