import sqlite3
import threading
from pathlib import Path

import pytest

from advisor.model import Refused
from advisor.store import Database, NotFound
from advisor.store.crew.phones import PhoneStore


@pytest.fixture
def phones(db: Database) -> PhoneStore:
    return PhoneStore(db)


def test_a_phone_is_known_by_its_token(phones: PhoneStore):
    first, second = phones.join("a" * 64, "Ada", "change"), phones.join("b" * 64, "Ben", "look")
    found = phones.by_token("a" * 64)
    assert found is not None
    assert (found.id, found.name, found.role, found.revoked_at) == (first, "Ada", "change", None)
    assert phones.by_token("c" * 64) is None
    assert [p.id for p in phones.all()] == [first, second]
    assert found == phones.all()[0]
    assert found.joined_at.endswith("Z")


def test_phones_are_known_to_the_next_start(path: Path, db: Database, phones: PhoneStore):
    phones.join("a", "Ada", "meter")
    db.close()
    with Database(path) as again:
        assert PhoneStore(again).by_token("a").name == "Ada"


def test_a_revoked_phone_is_known_no_more_but_stays_on_record(phones: PhoneStore):
    number = phones.join("a", "Ada", "change")
    assert phones.by_token("a")
    phones.revoke(number)
    assert phones.by_token("a") is None
    at = phones.all()[0].revoked_at
    phones.revoke(number)
    assert phones.all()[0].revoked_at == at is not None
    for change in (lambda: phones.change_role(number, "look"), lambda: phones.rename(number, "Eve")):
        with pytest.raises(NotFound) as gone:
            change()
        assert gone.value.deleted
    assert (phones.all()[0].name, phones.all()[0].role) == ("Ada", "change")


def test_role_and_name_change_at_once(phones: PhoneStore):
    number = phones.join("a", "Ada", "look")
    assert phones.by_token("a").role == "look"
    phones.change_role(number, "meter")
    assert phones.by_token("a").role == "meter"
    phones.rename(number, "  Ada \n Second ")
    assert phones.by_token("a").name == "Ada Second"


@pytest.mark.parametrize("number", [7, 2**70])
def test_a_phone_that_is_not_there_is_told(phones: PhoneStore, number: int):
    for change in (
        lambda: phones.revoke(number),
        lambda: phones.rename(number, "Ada"),
        lambda: phones.change_role(number, "look"),
    ):
        with pytest.raises(NotFound, match=f"no phone {number}"):
            change()


@pytest.mark.parametrize(
    ("name", "role", "words"),
    [
        (" \n ", "look", "there is no name. Allowed: the name by which"),
        ("\u202e", "look", "there is no name"),
        ("A" * 41, "look", "too long. Allowed: at most 40"),
        ("Ada", "owner", "'owner' is not a role. Allowed: change, meter, look"),
    ],
)
def test_a_name_or_role_that_cannot_be_is_refused(phones: PhoneStore, name: str, role: str, words: str):
    with pytest.raises(Refused, match=words):
        phones.join("a", name, role)
    number = phones.join("a", "Ben", "change")
    with pytest.raises(Refused, match=words):
        if role == "look":
            phones.rename(number, name)
        else:
            phones.change_role(number, role)
    assert [(p.name, p.role) for p in phones.all()] == [("Ben", "change")]


def test_a_phone_joins_as_a_host_or_never_becomes_one(phones: PhoneStore):
    first, second = phones.join("a", "Ada", "host"), phones.join("b", "Ben", "change")
    with pytest.raises(Refused, match=r"'host' is not a role\. Allowed: change, meter, look"):
        phones.change_role(second, "host")
    phones.change_role(first, "look")
    with pytest.raises(Refused, match="'host' is not a role"):
        phones.change_role(first, "host")
    assert [p.role for p in phones.all()] == ["look", "change"]


def test_the_schema_knows_the_roles_too(db: Database):
    with pytest.raises(sqlite3.IntegrityError, match="CHECK"), db.write() as conn:
        conn.execute("INSERT INTO phones VALUES (1, 'a', 'Ada', 'owner', '', NULL, 0)")


def test_a_token_stands_once(phones: PhoneStore):
    phones.join("a", "Ada", "look")
    with pytest.raises(sqlite3.IntegrityError, match="UNIQUE"):
        phones.join("a", "Eve", "change")
    assert phones.by_token("a").name == "Ada"


def test_who_is_revoked_while_others_ask_stays_revoked(phones: PhoneStore):
    """Readers fill the memory all the time; none may put back what was revoked meanwhile."""
    numbers = [phones.join(str(n), "Ada", "look") for n in range(40)]
    stop = threading.Event()

    def ask() -> None:
        while not stop.is_set():
            for n in range(40):
                phones.by_token(str(n))

    readers = [threading.Thread(target=ask) for _ in range(4)]
    for reader in readers:
        reader.start()
    try:
        for n, number in enumerate(numbers):
            phones.revoke(number)
            assert phones.by_token(str(n)) is None
    finally:
        stop.set()
        for reader in readers:
            reader.join()
    assert [phones.by_token(str(n)) for n in range(40)] == [None] * 40


def test_many_join_at_once(phones: PhoneStore):
    start = threading.Barrier(8)

    def join(n: int) -> None:
        start.wait()
        phones.join(str(n), f"Phone {n}", "meter")

    threads = [threading.Thread(target=join, args=(n,)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(p.name for p in phones.all()) == [f"Phone {n}" for n in range(8)]
    assert [phones.by_token(str(n)).name for n in range(8)] == [f"Phone {n}" for n in range(8)]
