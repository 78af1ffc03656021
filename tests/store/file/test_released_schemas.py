"""Data of released schemas: all of it is there after the steps, and takes what is new."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from advisor.model import Accuracy, Exposure, GelTable, Limits, Reading
from advisor.store import Database, SetStore
from advisor.store.crew.choices import ChoiceStore
from advisor.store.crew.gels import GelStore
from advisor.store.file.migrations import MIGRATIONS
from advisor.store.known_heads.heads import HeadStore


def _rows(path: Path, query: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as conn:
        return conn.execute(query).fetchall()


def _at_schema_2(path: Path) -> None:
    """Make a file as the advisor wrote it at schema 2: two sets, one of them deleted, and what was done."""
    at = "2026-03-14T05:41:00.000000Z"
    with Database(path, MIGRATIONS[:2]) as db, db.write() as conn:
        for number, deleted in ((1, None), (2, at)):
            conn.execute(
                """INSERT INTO sets (id, name, note, target, limits, sample, revision, changed_at, deleted_at)
                   VALUES (?, 'Office', 'north', '{"cct": 5600}', '{"max_layers": 2}', 0, 5, ?, ?)""",
                (number, at, deleted),
            )
        conn.execute(
            """INSERT INTO sources (id, set_id, position, name, name_key, kind, note, keep, revision, aim)
               VALUES (1, 1, 1, 'Window', 'window', 'daylight', '', '["ND 0.3"]', 3, '{"mired": 20.0}')"""
        )
        for cct in (6800, 6900):
            conn.execute(
                "INSERT INTO readings (source_id, reading, taken_at) VALUES (1, ?, ?)",
                (f'{{"cct": {cct}, "duv": 0.004, "lux": 900}}', at),
            )
        conn.execute(
            """INSERT INTO changes (at, set_id, source_id, what, before, after)
               VALUES (?, 1, 1, 'source.added', NULL, '{"name": "Window"}')""",
            (at,),
        )
        conn.execute('UPDATE sets SET target_source_id = 1, target = \'{"source": "old"}\' WHERE id = 1')


def test_data_of_schema_2_is_all_there_and_takes_what_is_new(path: Path):
    _at_schema_2(path)
    with Database(path) as db:
        sets = SetStore(db)
        now = sets.get_set(1)
        assert (now.name, now.note, now.revision, now.limits.max_layers) == ("Office", "north", 5, 2)
        assert now.target.source == "Window"
        [window] = now.sources
        assert (window.source.name, window.source.keep, window.source.aim.mired) == ("Window", ["ND 0.3"], 20)
        assert (window.source.reading.cct, [r.cct for r in window.source.readings]) == (6900, [6800])
        assert (window.taken_at, window.who) == ("2026-03-14T05:41:00.000000Z", "")
        assert (window.source.work, window.source.level, window.source.on_subject) == (None, None, None)
        assert (now.exposure, now.spare_percent, now.hidden_cautions) == (Exposure(), 10.0, ())
        [change] = sets.history(1)
        assert (change.who, change.what, change.after) == ("", "source.added", {"name": "Window"})
        sets.by("Noor").add_reading(1, Reading(cct=7000, duv=0.004, level=50))
        window = sets.get_source(1)
        sets.update_source(1, window.source.model_copy(update={"level": 50.0, "watts": 650.0}))
        assert sets.get_source(1).source.level == 50
        assert [r.who for r in sets.readings_of(1)] == ["", "", "Noor"]
        ChoiceStore(db).save("formats", "rolls")


def test_every_set_of_schema_2_gets_a_number_of_its_own_that_stays(path: Path):
    _at_schema_2(path)
    with Database(path) as db:
        SetStore(db).restore_set(2)
        numbers = [SetStore(db).get_set(n).uid for n in (1, 2)]
    assert len(set(numbers)) == 2 and all(len(n) == 32 for n in numbers)
    with Database(path) as db:
        assert [SetStore(db).get_set(n).uid for n in (1, 2)] == numbers


def test_readings_of_schema_2_are_struck_out_and_what_is_done_to_it_undone(path: Path):
    _at_schema_2(path)
    with Database(path) as db:
        sets = SetStore(db)
        before = sets.get_source(1).source
        newest = sets.readings_of(1)[-1].id
        assert sets.strike(newest).source.reading.cct == 6800
        assert sets.bring_back(newest).source == before
        sets.update_source(1, before.model_copy(update={"level": 50.0, "note": "dimmed"}))
        sets.undo(sets.history(1)[-1].id)
        assert sets.get_source(1).source == before
        assert sets.get_source(1).number == 1


def test_readings_of_schema_2_are_still_only_ever_added(path: Path):
    _at_schema_2(path)
    with (
        Database(path) as db,
        pytest.raises(sqlite3.IntegrityError, match="only ever added"),
        db.write() as conn,
    ):
        conn.execute("UPDATE readings SET who = 'Noor'")


def test_a_file_of_schema_2_is_copied_aside_first(path: Path):
    _at_schema_2(path)
    with Database(path):
        pass
    aside = path.with_name("advisor.db.before-3.backup")
    assert _rows(aside, "SELECT max(number) FROM migrations") == [(2,)]
    assert _rows(aside, "SELECT count(*) FROM readings") == [(2,)]


def _row(family: str, fraction: str, note: str, **figures: object) -> dict[str, object]:
    return {"family": family, "fraction": fraction, "mired": 0.0, "cc": 0.0, "note": note, **figures}


def _at_schema_4(path: Path) -> None:
    """Make a file as 0.1.0 wrote it: a set with one figure for all gels, and a changed gel table."""
    at = "2026-03-14T05:41:00.000000Z"
    meter = {"meter_cct_percent": 3.0, "meter_duv": 0.001}
    limits = json.dumps({"tolerance_steps": 3.0, "accuracy": {**meter, "gel_percent": 8.0}})
    curve = {"start": 380.0, "step": 10.0, "values": [0.5, 0.6123, *[0.7] * 39]}
    rows = json.dumps(
        [
            _row("CTO", "1/4", "nominal: 5600 K becomes 4720 K", mired=33.48, on=True),
            _row("CTO", "1/2", "nominal: 5600 K becomes 4070 K", mired=81.0, on=False),
            _row("CTB", "1/4", "taught by a pair of readings; roll 7", mired=-31.2, cc=1.5),
            _row("Rosé", "full", "", mired=20.0, cc=-8.0, transmittance=curve),
            _row("Plus green", "1/8", "nominal: Duv +0.0035; common practice, no source", cc=3.5),
            _row("ND", "0.3", "passes 50 % of the light", stops=1.0),
        ]
    )
    with Database(path, MIGRATIONS[:4]) as db, db.write() as conn:
        conn.execute(
            """INSERT INTO sets (name, note, target, limits, sample, changed_at, uid)
               VALUES ('Office', '', '{"cct": 5600}', ?, 0, ?, 'a1')""",
            (limits, at),
        )
        conn.execute(
            "INSERT INTO gel_tables (made_at, why, rows) VALUES (?, 'changed', ?)",
            (at, rows),
        )
        conn.execute("INSERT INTO gel_tables (made_at, why, rows) VALUES (?, 'emptied', '[]')", (at,))


def test_gels_of_0_1_0_say_how_they_are_known_where_that_can_be_told(path: Path):
    _at_schema_4(path)
    with Database(path) as db:
        gels = GelStore(db, GelTable(rows=[])).get(1).table.rows
        empty = GelStore(db, GelTable(rows=[])).in_force().table.rows
    assert [g.name for g in gels] == [
        "CTO 1/4",
        "CTO 1/2",
        "CTB 1/4",
        "Rosé full",
        "Plus green 1/8",
        "ND 0.3",
    ]
    # The half CTO's figures are the crew's own, and nobody said where they are from.
    assert [g.known for g in gels] == ["generic", None, "taught", "measured", "generic", "generic"]
    assert (gels[1].mired, gels[1].on, gels[2].mired, gels[2].cc) == (81.0, False, -31.2, 1.5)
    assert gels[3].transmittance is not None and gels[3].transmittance.values[:3] == [0.5, 0.6123, 0.7]
    assert not empty


def test_a_set_of_0_1_0_keeps_its_meter_and_loses_its_one_figure_for_gels(path: Path):
    _at_schema_4(path)
    with Database(path) as db:
        kept = SetStore(db).get_set(1).limits
    assert kept == Limits(accuracy=Accuracy(meter_cct_percent=3.0, meter_duv=0.001))
    assert "gel_percent" not in str(_rows(path, "SELECT limits FROM sets"))


def _with_removed_heads(path: Path) -> None:
    """Make a file as 0.1.0 wrote it: five heads in two sets, of which the first and the third went."""
    at = "2026-03-14T05:41:00.000000Z"
    with Database(path, MIGRATIONS[:4]) as db, db.write() as conn:
        for number, uid in ((1, "a1"), (2, "b2")):
            conn.execute(
                """INSERT INTO sets (id, name, note, target, limits, sample, changed_at, uid)
                   VALUES (?, 'Office', '', '{"cct": 5600}', '{}', 0, ?, ?)""",
                (number, at, uid),
            )
        for head, (owner, place, name, deleted) in enumerate(
            [
                (1, 1, "Window", at),
                (1, 2, "Key", None),
                (1, 4, "Fill", at),
                (1, 5, "Back", None),
                (2, 1, "Lamp", None),
            ],
            start=1,
        ):
            conn.execute(
                """INSERT INTO sources (id, set_id, position, name, name_key, kind, note, keep, deleted_at)
                   VALUES (?, ?, ?, ?, ?, 'unknown', '', '[]', ?)""",
                (head, owner, place, name, name.lower(), deleted),
            )
            conn.execute(
                """INSERT INTO readings (source_id, reading, taken_at)
                   VALUES (?, '{"cct": 5600, "duv": 0}', ?)""",
                (head, at),
            )


def test_heads_of_0_1_0_get_their_present_place_as_number_and_removed_ones_what_follows(path: Path):
    _with_removed_heads(path)
    with Database(path) as db:
        sets = SetStore(db)
        told = [[(s.number, s.source.name) for s in sets.get_set(n).sources] for n in (1, 2)]
        assert told == [[(1, "Key"), (2, "Back")], [(1, "Lamp")]]
        assert [sets.restore_source(n).number for n in (1, 3)] == [3, 4]
        assert [(s.number, s.source.name) for s in sets.get_set(1).sources] == [
            (1, "Key"), (2, "Back"), (3, "Window"), (4, "Fill")
        ]  # fmt: skip
        again = sets.add_source(1, sets.get_source(2).source.model_copy(update={"name": "Kicker"}))
        assert sets.get_source(again).number == 5


def test_the_fields_of_a_head_of_schema_14_changed_when_the_head_did(path: Path):
    at = "2026-01-02T03:04:05.000000Z"
    with Database(path, MIGRATIONS[:14]) as db, db.write() as conn:
        head = '{"name": "Panel 3", "note": "ours"}'
        conn.execute("INSERT INTO heads (name_key, head, changed_at) VALUES ('panel 3', ?, ?)", (head, at))
    with Database(path) as db:
        assert HeadStore(db).get_head(1).changed == {"name": at, "note": at}


def test_a_reading_that_came_from_a_test_before_it_said_so_is_one_still(path: Path):
    at, taken = "2026-03-14T05:41:00.000000Z", "2026-03-14T06:00:00.000000Z"
    with Database(path, MIGRATIONS[:14]) as db, db.write() as conn:
        conn.execute("INSERT INTO heads (id, name_key, head, changed_at) VALUES (1, 'panel', '{}', ?)", (at,))
        conn.execute(
            "INSERT INTO head_tests (id, head_id, test, begun_at, who) VALUES (1, 1, '{}', ?, '')", (at,)
        )
        conn.execute(
            """INSERT INTO sets (id, name, note, target, limits, sample, changed_at, uid)
               VALUES (1, 'Office', '', '{"cct": 5600}', '{}', 0, ?, 'a1')""",
            (at,),
        )
        conn.execute(
            """INSERT INTO sources (id, set_id, number, name, name_key, kind, note, keep)
               VALUES (1, 1, 1, 'Panel', 'panel', 'unknown', '', '[]')"""
        )
        for taken_at, test_id in ((taken, 1), ("2026-03-15T06:00:00.000000Z", None)):
            conn.execute(
                """INSERT INTO readings (source_id, reading, taken_at, test_id)
                   VALUES (1, '{"cct": 5600, "duv": 0}', ?, ?)""",
                (taken_at, test_id),
            )
    with Database(path) as db:
        readings = [one.reading for one in SetStore(db).readings_of(1)]
    assert [reading.tested_at for reading in readings] == [taken, None]
