"""What was said about pasted tables, by their headings."""

from pathlib import Path

import pytest

from advisor.store import Database
from advisor.store.crew.layouts import LayoutStore
from advisor.store.file.migrations import MIGRATIONS
from advisor.store.sets.sets import SetStore

WARM = ("lampe", "farbtemperatur", "abweichung")


@pytest.fixture
def layouts(db: Database) -> LayoutStore:
    return LayoutStore(db)


def test_nothing_is_known_at_first(layouts: LayoutStore):
    assert layouts.load(WARM) == {}


def test_what_was_said_last_is_kept_by_all_headings_in_their_order(layouts: LayoutStore):
    layouts.save(WARM, {"column-2": "x"})
    layouts.by("Mia").save(WARM, {"column-2": "cct", "column-3": "duv"})
    assert layouts.load(WARM) == {"column-2": "cct", "column-3": "duv"}
    assert layouts.load(WARM[:2]) == layouts.load((*WARM[1:], WARM[0])) == {}


def test_headings_that_hold_what_parts_them_are_not_mistaken(layouts: LayoutStore):
    layouts.save(("a, b", "c"), {"column-1": "name"})
    assert layouts.load(("a", "b, c")) == {}


def test_with_no_answers_it_is_forgotten(layouts: LayoutStore):
    layouts.save(WARM, {"column-2": "cct"})
    layouts.save(WARM, {})
    assert layouts.load(WARM) == {}


def test_a_table_without_headings_has_no_layout(layouts: LayoutStore):
    layouts.save((), {"column-2": "cct"})
    layouts.save(("x" * 30_000,), {"column-2": "cct"})
    assert layouts.load(()) == layouts.load(("x" * 30_000,)) == {}


def test_those_pasted_longest_ago_go_first(layouts: LayoutStore):
    layouts.save(WARM, {"column-2": "cct"})
    for n in range(200):
        layouts.save((f"heading {n}",), {"column-1": "name"})
    assert layouts.load(WARM) == {}
    assert layouts.load(("heading 0",)) == {"column-1": "name"}


def test_a_file_of_before_keeps_its_sets(path: Path):
    with Database(path, MIGRATIONS[:11]) as db, db.write() as conn:
        conn.execute(
            """INSERT INTO sets (name, note, target, limits, sample, changed_at, uid)
               VALUES ('Office', '', '{"cct": 5600}', '{}', 0, '2024-11-25T05:41:00.000000Z', 'a1')"""
        )
    with Database(path) as db:
        assert SetStore(db).get_set(1).light_set.name == "Office"
        layouts = LayoutStore(db)
        layouts.save(WARM, {"column-2": "cct"})
        assert layouts.load(WARM) == {"column-2": "cct"}
