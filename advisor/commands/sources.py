"""What `advisor advise` is asked of: a reading in its arguments, or a pasted text on stdin."""

import sys
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError

from ..imports.anything import read_anything
from ..imports.gels.asked_names import NamesInTable
from ..imports.readings.joining import KEY as REPEATS
from ..imports.readings.result import Paste, PasteQuestion
from ..model import Gel, Kind, Reading, Refused, Source, refuse
from ..model.basis.base import free_name, name_key
from ..model.basis.problems import short, within
from ..model.sets.reading import UNREAD

MOST_TYPED = 2
"""CCT and Duv: what stands behind `advise` without an option."""


@dataclass(frozen=True)
class AskedSources:
    """Sources to advise on; of what else was in the text why it is none of them; and what was taken for so.

    The latter two are a line each. What was left out is not answered; what was taken is.
    """

    sources: list[Source]
    left_out: list[str]
    taken: list[str] = field(default_factory=list)


def typed(words: list[str], kind: str, lux: str | None) -> AskedSources:
    """Return the one source of a CCT [K] and a Duv as they were typed; raises Refused."""
    if len(words) != MOST_TYPED:
        says = f"{' '.join(words)!r} is not a reading" if words else "there is no reading"
        raise Refused.one("", says, "CCT in K and Duv, such as 5600 +0.004, or - for a pasted text on stdin")
    figures = {"cct": words[0], "duv": words[1]} | ({"lux": lux} if lux else {})
    try:
        reading = Reading.model_validate(figures)
        source = Source.model_validate({"name": "This source", "kind": kind, "reading": reading})
    except ValidationError as error:
        raise refuse(error) from None
    return AskedSources([source], [])


def pasted(kind: str) -> AskedSources:
    """Return the sources of a text on stdin, of a `kind` where they do not say theirs; raises Refused."""
    paste = read_anything(sys.stdin.buffer.read())
    with within("kind"):
        said = _kind(kind)
    sources: list[Source] = []
    for source in paste.sources:
        # Two that the text leaves unnamed, or names alike, stay two.
        name = free_name(source.name, [name_key(other.name) for other in sources])
        own = said if source.kind is Kind.UNKNOWN else source.kind
        sources.append(source.model_copy(update={"name": name, "kind": own}))
    left_out = list(_left_out(paste))
    if not sources:
        raise Refused.one(
            "", "no reading was understood", left_out[0] if left_out else "CCT and Duv of a source"
        )
    return AskedSources(sources, left_out, list(_taken(paste)))


def named_as_in(gels: Sequence[Gel], given: AskedSources) -> AskedSources:
    """Return what is asked with gels as a table names them; readings behind others are left out, and told."""
    names, known = NamesInTable(gels), {gel.name for gel in gels}
    sources, left_out = [], list(given.left_out)
    for source in given.sources:
        named = names.of_source(source)
        strange = [gel for r in (named.reading, *named.readings) for gel in r.gels if gel not in known]
        left_out += [
            f"{source.name}: no gel is called {short(gel)}, so no reading behind it counts"
            for gel in dict.fromkeys(strange)
        ]
        sources.append(_without(named, known) if strange else named)
    return AskedSources(sources, left_out, given.taken)


def _without(source: Source, known: Container[str]) -> Source:
    """Return a source without its readings behind gels that are not known."""
    readings = [reading for reading in source.readings if all(gel in known for gel in reading.gels)]
    reading = source.reading if all(gel in known for gel in source.reading.gels) else UNREAD
    return source.model_copy(update={"reading": reading, "readings": readings})


def _kind(kind: str) -> Kind:
    try:
        return Kind(kind)
    except ValueError:
        raise Refused.one("", f"{kind[:40]!r} is not a kind of source", ", ".join(Kind)) from None


def _left_out(paste: Paste) -> list[str]:
    rows = [
        f"line {row.line}: {problem}" for row in paste.rows if row.source is None for problem in row.problems
    ]
    asked = [f"{question.says} Say it in the text." for question in _open(paste) if question.blocks]
    return rows + asked


def _taken(paste: Paste) -> Iterator[str]:
    """Say what was taken of the text where a page would ask, and goes on with the likeliest meanwhile."""
    for question in _open(paste):
        if question.key == REPEATS:
            sources = {row.of for row in paste.rows if row.line in question.lines and row.source}
            yield f"{question.says} Taken for {_sources(len(sources))}."
        elif not question.blocks:
            likely = next((way.words for way in question.choices if way.value == question.likely), "")
            yield f"{question.says} {f'Taken: {likely}.' if likely else ''}".rstrip()


def _sources(count: int) -> str:
    return "readings of one source" if count == 1 else f"{count} sources"


def _open(paste: Paste) -> list[PasteQuestion]:
    return [question for question in paste.asked if question.open]
