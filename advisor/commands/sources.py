"""What `advisor advise` is asked of: a reading in its arguments, or a pasted text on stdin."""

import sys
from dataclasses import dataclass

from pydantic import ValidationError

from ..imports.anything import read_anything
from ..imports.readings.result import Paste
from ..model import Kind, Reading, Refused, Source, refuse
from ..model.basis.base import free_name, name_key
from ..model.basis.problems import within

MOST_TYPED = 2
"""CCT and Duv: what stands behind `advise` without an option."""


@dataclass(frozen=True)
class AskedSources:
    """Sources to advise on, and of what else was in the text why it is none of them, a line each."""

    sources: list[Source]
    left_out: list[str]


def typed(words: list[str], kind: str, lux: str | None) -> AskedSources:
    """Return the one source of a CCT [K] and a Duv as they were typed; raises Refused."""
    if len(words) != MOST_TYPED:
        says = f"{' '.join(words)!r} is no reading" if words else "there is no reading"
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
    return AskedSources(sources, left_out)


def _kind(kind: str) -> Kind:
    try:
        return Kind(kind)
    except ValueError:
        raise Refused.one("", f"{kind[:40]!r} is no kind", ", ".join(Kind)) from None


def _left_out(paste: Paste) -> list[str]:
    rows = [
        f"line {row.line}: {problem}" for row in paste.rows if row.source is None for problem in row.problems
    ]
    asked = [f"{question.says} Say it in the text." for question in paste.asked if question.open]
    return rows + asked
