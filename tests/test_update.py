"""A newer advisor over data that an older one wrote: all of it is there, and a copy from before is kept."""

import sqlite3
from contextlib import closing

import pytest

from advisor.store import Database
from advisor.store.file.migrations import MIGRATIONS
from advisor.web.access.sessions import COOKIE, token_hash
from advisor.web.app import create_app
from tests.web.phones import ADDRESS, Browser, open_app

BEFORE = [step.number for step in MIGRATIONS[:-1]]


def rows(file, query):
    with closing(sqlite3.connect(file)) as conn:
        return conn.execute(query).fetchall()


def write_set(db):
    """Write a set as every schema takes it: the stores write what the newest one has."""
    with db.write() as conn:
        conn.execute(
            """INSERT INTO sets (id, name, note, target, limits, sample, changed_at)
               VALUES (1, 'Stage 4', 'north', '{"cct": 5600}', '{}', 0, '2026-03-14T05:41:00.000000Z')"""
        )


@pytest.mark.parametrize("number", BEFORE)
def test_data_of_every_earlier_schema_is_brought_along(tmp_path, number, caplog):
    data = tmp_path / "data"
    with Database(data / "advisor.sqlite", MIGRATIONS[:number]) as db:
        write_set(db)
    caplog.set_level("INFO")
    app = create_app(data)
    with app.test_client() as client:
        assert "Stage 4" in client.get("/sets").text
        assert client.get("/sets/1").status_code == 200
    kept = data / f"advisor.sqlite.before-{number + 1}.backup"
    assert rows(kept, "SELECT max(number) FROM migrations") == [(number,)]
    assert rows(kept, "SELECT name, note FROM sets") == [("Stage 4", "north")]
    assert rows(data / "advisor.sqlite", "SELECT max(number) FROM migrations") == [(len(MIGRATIONS),)]
    assert f"brought to schema {len(MIGRATIONS)}; a copy from before is {kept}" in caplog.text
    app.extensions["database"].close()
    caplog.clear()
    create_app(data).extensions["database"].close()
    assert "schema" not in caplog.text, "once"


def test_phones_that_joined_before_they_could_be_hosts_stay_as_they_were(tmp_path, monkeypatch):
    earlier = MIGRATIONS[:5]
    assert MIGRATIONS[5].name == "phones that may give roles"
    data = tmp_path / "data"
    with monkeypatch.context() as old:
        old.setattr(Database.__init__, "__defaults__", (earlier,))
        app = open_app(data)
        # As the build of then wrote them: it knew no keys of programs.
        with app.extensions["database"].write() as conn:
            for name, role, out in (("Tom", "change", None), ("Eve", "look", "2024-01-01")):
                conn.execute(
                    "INSERT INTO phones (token_hash, name, role, joined_at, revoked_at) "
                    "VALUES (?, ?, ?, '', ?)",
                    (token_hash(name), name, role, out),
                )
        write_set(app.extensions["database"])
        app.extensions["database"].close()
    assert rows(data / "advisor.sqlite", "SELECT max(number) FROM migrations") == [(5,)]
    again = open_app(data)
    browser, gone = Browser(again), Browser(again, "192.168.7.21")
    for phone, token in ((browser, "Tom"), (gone, "Eve")):
        phone.client.set_cookie(COOKIE, token, domain=ADDRESS)
    browser.open("/look")
    assert browser.get("/sets/1").status_code == 200
    assert browser.post("/sample").status_code == 302
    assert gone.get("/sets").status_code == 303
    known = again.extensions["people"].phones.all()
    assert [(p.id, p.name, p.role) for p in known] == [(1, "Tom", "change"), (2, "Eve", "look")]
    assert Browser(again, "192.168.7.22").join("Ada", code=again.extensions["people"].invites.make()).location
    again.extensions["database"].close()
