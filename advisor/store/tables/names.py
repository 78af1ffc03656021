"""Names of sources: each stands once among the sources of a set that are not deleted."""

import sqlite3
from collections.abc import Collection, Sequence

from ...model import Problem, Refused, Source, Target
from ...model.basis.base import free_name, name_key, name_keys
from .records import StoredSet


def taken_names(conn: sqlite3.Connection, set_id: int, *, but: Collection[int] = ()) -> set[str]:
    """Return the keys of the names in a set, without those of the sources `but`."""
    rows = conn.execute("SELECT id, name_key FROM sources WHERE set_id = ? AND deleted_at IS NULL", (set_id,))
    return {row["name_key"] for row in rows if row["id"] not in but}


def refuse_taken(named: Sequence[tuple[str, Source]], taken: Collection[str]) -> None:
    """Raise Refused with every source whose name is in `taken`, or comes twice.

    `named` pairs each source with the place where a person finds its name.
    """
    seen = set(taken)
    problems = []
    keys = name_keys([source.name for _, source in named])
    for (where, source), key in zip(named, keys, strict=True):
        if key in seen:
            says = f"there is a source called {source.name!r} in this set already"
            allowed = f"a name of its own, such as {free_name(source.name, seen)!r}"
            problems.append(Problem(where=where, says=says, allowed=allowed))
        seen.add(key)
    if problems:
        raise Refused(problems)


def resolve_target(target: Target, stored: StoredSet) -> tuple[Target, int | None]:
    """Return the target with its source's name as the set has it, and that source's id.

    A target that the set has already may go on naming its deleted source, so that a form can be saved
    as it was shown. Raises Refused if the name is no source's.
    """
    if target.source is None:
        return target, None
    key = name_key(target.source)
    keys = name_keys([source.source.name for source in stored.sources])
    for source, own in zip(stored.sources, keys, strict=True):
        if own == key:
            return target.model_copy(update={"source": source.source.name}), source.id
    if stored.target_deleted and stored.target.source and name_key(stored.target.source) == key:
        return target.model_copy(update={"source": stored.target.source}), stored.target_source_id
    raise Refused.one(
        "target.source",
        f"no source is called {target.source!r} in this set",
        ", ".join(s.source.name for s in stored.sources)
        or "a cct with its locus: the set has no sources yet",
    )
