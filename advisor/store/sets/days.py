"""Days of a set: a copy of it for the next one, and which sets it can be compared with."""

import re
import secrets
from collections import Counter
from collections.abc import Sequence

from ...model import Kind, Reading, Source, Stage, Work
from ...model.basis.base import NAME_LENGTH
from ...model.sets.whole import DatedReading, Whole, WholeSource
from ..file.database import Database, utc_now
from ..tables import history, rows, writes
from ..tables.records import SetSummary
from ..tables.writes import Stamp
from .tested import heads_of
from .whole import free_set_name, insert, known_set, sources_of

_NEXT_DAY = ", next day"
_READINGS = {"reading", "readings"}
_MOST_BEHIND = 20
"""The most readings behind other stacks that come along: more tell little of a lamp."""


class DayStore:
    """The sets in `db` and their days. Every method is one transaction. `who` is named in the history."""

    def __init__(self, db: Database, who: str = "") -> None:
        self._db = db
        self._who = who

    def duplicate(self, set_id: int) -> int:
        """Make a set for the next day of a set, and return its id; raises NotFound.

        Of the readings that count, the last bare one comes along for every level, modifier and setting of the
        dials, with its time and its person. What was planned, hung or confirmed is planned, and the last
        reading behind it is what is known of it; those before stay with their day. What was read behind other
        stacks comes along too, except of daylight: it tells of a lamp that reads bare as it did, and of the
        sheets. The bare readings before and after it come with it: they say which lamp it was. Cautions that
        were put away show again. Removed sources stay behind, but for one that the target matches. Heads keep
        their numbers, and a new one gets none that a head had the day before.
        """
        with self._db.write() as conn:
            then = rows.present_set(conn, set_id)
            heads, tests = heads_of(conn, set_id)
            ids, sources = sources_of(conn, set_id, tests)
            kept = [
                (number, source)
                for number, source in zip(ids, sources, strict=True)
                if source.removed_at is None or number == then.target_source_id
            ]
            stem = re.sub(rf"{_NEXT_DAY}( \(\d+\))?$", "", then.name)
            stem = stem[: NAME_LENGTH - len(_NEXT_DAY)].rstrip()
            stamp = Stamp(utc_now(), self._who)
            copied = {
                "name": free_set_name(conn, stem + _NEXT_DAY),
                "sources": [],
                "hidden_cautions": [],
                "pulled": [],
                "wrapped": False,
                "down": [],
                "stays_as": "",
                "copied_from": then.uid,
            }
            target_at = (
                [number for number, _ in kept].index(then.target_source_id) if then.target_source_id else None
            )
            whole = Whole(
                uid=secrets.token_hex(16),
                exported_at=stamp.at,
                changed_at=stamp.at,
                set=then.light_set.model_copy(update=copied),
                target_source=target_at,
                sources=[_next_day(source) for _, source in kept],
                last_number=writes.last_number(conn, set_id) or None,
                gels=[],
                history=[],
                heads=heads,
            )
            made, source_ids = insert(conn, whole, tests)
            history.record_set(conn, stamp, "set.added", made)
            for source_id in source_ids:
                history.record_source(conn, stamp, "source.added", made, source_id)
            return made

    def other_days(self, set_id: int) -> list[SetSummary]:
        """Return the sets to compare a set with, the likeliest first.

        That is the one that it was copied from, then those with a source of the same name, then the others;
        the one changed last first. Raises NotFound.
        """
        with self._db.read() as conn:
            now = rows.present_set(conn, set_id)
            from_there = known_set(conn, now.copied_from) if now.copied_from else None
            alike = conn.execute(
                """SELECT DISTINCT set_id FROM sources WHERE deleted_at IS NULL AND name_key IN
                   (SELECT name_key FROM sources WHERE set_id = ? AND deleted_at IS NULL)""",
                (set_id,),
            )
            shared = {int(row["set_id"]) for row in alike}
            others = [line for line in rows.list_sets(conn) if line.id != set_id]
        return sorted(
            others, key=lambda line: (not (from_there and line.id == from_there.id), line.id not in shared)
        )


def _next_day(whole: WholeSource) -> WholeSource:
    bare = [d for d in whole.readings if not d.reading.gels]
    counted = [d for d in whole.readings if _counts(d, whole.source.lamp_since)]
    # Where none counts, or none was bare, the newest comes along as it is: a head has had a reading.
    last = _last_bare(counted) or {(): [*whole.readings, *bare][-1]}
    work = whole.source.work
    behind = _behind_others(whole, work)
    stays = [*last.values(), *behind, *_bare_beside(counted, behind)]
    kept = [d for d in whole.readings if any(d is other for other in stays)]
    described = {
        field: getattr(whole.source, field) for field in Source.model_fields if field not in _READINGS
    }
    planned = work and _planned_again(work, whole.source.reading, [d.reading for d in last.values()])
    return WholeSource.model_validate(
        {
            "number": whole.number,
            "readings": kept,
            "source": {**described, **_light_again(whole.source), "work": planned},
            "removed_at": whole.removed_at,
        }
    )


def _light_again(source: Source) -> dict[str, None]:
    """Return what the next day changes of a source whose light is gone: daylight comes back."""
    return {"lamp": None} if source.kind is Kind.DAYLIGHT else {}


def _counts(dated: DatedReading, lamp_since: str) -> bool:
    return dated.struck is None and dated.taken_at >= lamp_since


def _behind_others(whole: WholeSource, work: Work | None) -> list[DatedReading]:
    """Return what was read of a lamp behind other stacks than the one that is planned again, the newest.

    Of daylight it would tell of another sky, and the light of a head with dials goes with those.
    """
    if whole.source.kind is Kind.DAYLIGHT or whole.source.reach:
        return []
    planned = Counter((work.instead or work).gels) if work else Counter()
    read = [d for d in whole.readings if d.reading.gels and _counts(d, whole.source.lamp_since)]
    return [d for d in read if Counter(d.reading.gels) != planned][-_MOST_BEHIND:]


def _last_bare(readings: Sequence[DatedReading]) -> dict[tuple[object, ...], DatedReading]:
    """Return the last bare one of readings for every level, modifier and setting of the dials."""

    def place(reading: Reading) -> tuple[object, ...]:
        return reading.level, reading.modifier.casefold(), reading.dial and tuple(dict(reading.dial).values())

    return {place(d.reading): d for d in readings if not d.reading.gels and d.struck is None}


def _bare_beside(readings: Sequence[DatedReading], behind: Sequence[DatedReading]) -> list[DatedReading]:
    """Return the bare readings next before and next after those `behind` gels.

    Without them nobody could tell what was read behind a gel of another lamp, before somebody changed it.
    """
    at = [k for k, d in enumerate(readings) if any(d is one for one in behind)]
    beside = [some for k in at for some in (_last_bare(readings[:k]), _last_bare(readings[:k:-1]))]
    return [d for some in beside for d in some.values()]


def _plan_of(work: Work) -> Work:
    """Return work as a plan, with how far off it was when somebody chose it: that stays their choice."""
    return Work(stage=Stage.PLANNED, gels=work.gels, dial=work.dial, steps_off=work.steps_off)


def _planned_again(work: Work, newest: Reading, bares: Sequence[Reading]) -> Work:
    """Return the work of a day as a plan for the next: the same stack, and what was read behind it last.

    That goes with the bare reading when it was hung; if nobody said its level, with the one of `bares` at its
    own. A reading that was taken at another level or with another modifier than the bare one says nothing of
    the two together, and stays behind. Where another stack was planned instead, that is it.
    """
    if work.instead:
        return _plan_of(work.instead)
    planned = _plan_of(work)
    bare, before = work.read_bare or newest, work.read_behind or work.read_day_before
    if before and before.level is not None and bare.level is None:
        own = [r for r in bares if r.level == before.level and r.dial == bare.dial]
        bare = next((r for r in own if r.modifier.casefold() == before.modifier.casefold()), bare)
    if not bare.said or before is None or before.modifier.casefold() != bare.modifier.casefold():
        return planned
    if None not in (before.level, bare.level) and before.level != bare.level:
        return planned
    if before.level is not None and bare.level is None:
        before = before.model_copy(update={"lux": None})  # nobody knows whether the two are of one level
    return planned.model_copy(update={"read_bare": bare, "read_day_before": before})
