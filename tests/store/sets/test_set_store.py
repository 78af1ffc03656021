import sqlite3
from collections.abc import Iterator

import pytest
from hypothesis import given

from advisor.model import LightSet, Limits, Reading, Refused, Source, Target
from advisor.store import Database, NotFound, SetStore, StoreFault
from tests.store.samples import CEILING, LAMP, OFFICE, WINDOW
from tests.strategies import STEADY, light_sets

REREAD = Reading(cct=7100, duv=0.005, lux=800)


@pytest.fixture
def office(sets: SetStore) -> int:
    return sets.create_set(OFFICE)


@pytest.fixture(scope="module")
def sets_for_all(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SetStore]:
    with Database(tmp_path_factory.mktemp("sets") / "advisor.db") as db:
        yield SetStore(db)


@STEADY
@given(light_set=light_sets())
def test_a_set_survives_the_store(sets_for_all: SetStore, light_set: LightSet):
    stored = sets_for_all.get_set(sets_for_all.create_set(light_set))
    assert stored.light_set == light_set
    assert [s.source for s in stored.sources] == light_set.sources
    assert (stored.revision, stored.sample, stored.deleted, stored.target_deleted) == (1, False, False, False)


def test_a_new_set_is_there_for_the_next_start(path, sets: SetStore, db: Database, office: int):
    db.close()
    with Database(path) as again:
        assert SetStore(again).get_set(office).light_set == OFFICE


def test_the_list_has_the_set_changed_last_first(sets: SetStore, office: int):
    sample = sets.create_set(LightSet(name="Sample", target=Target(cct=5600)), sample=True)
    assert [(s.id, s.name, s.sources, s.sample) for s in sets.list_sets()] == [
        (sample, "Sample", 0, True),
        (office, "Office", 2, False),
    ]
    ceiling = sets.add_source(office, CEILING)
    assert [(s.id, s.sources) for s in sets.list_sets()] == [(office, 3), (sample, 0)]
    sets.delete_source(ceiling)
    assert sets.list_sets()[0].sources == 2
    assert sets.list_sets()[0].changed_at == sets.get_set(office).changed_at


def test_a_set_changes_in_what_is_given(sets: SetStore, office: int):
    sets.update_set(office, note="")
    sets.update_set(office, limits=Limits(max_layers=2))
    changed = sets.update_set(office, name=" Office 2 ", target=Target(cct=3200, locus="planckian"))
    assert changed == sets.get_set(office)
    assert changed.light_set == LightSet(
        name="Office 2",
        target=Target(cct=3200, locus="planckian"),
        limits=Limits(max_layers=2),
        sources=[WINDOW, LAMP],
    )
    assert changed.revision == 4


def test_a_set_needs_a_name(sets: SetStore, office: int):
    with pytest.raises(Refused, match="Name is empty") as refused:
        sets.update_set(office, name=" ")
    assert refused.value.problems[0].where == "name"
    assert sets.get_set(office).revision == 1


def test_sources_stay_in_order_and_raise_the_set_s_revision(sets: SetStore, office: int):
    added = sets.add_source(office, CEILING)
    more = sets.add_sources(office, [WINDOW.model_copy(update={"name": f"Window {n}"}) for n in (2, 3)])
    stored = sets.get_set(office)
    assert [s.source.name for s in stored.sources] == [
        "Window",
        "Desk lamp",
        "Ceiling",
        "Window 2",
        "Window 3",
    ]
    assert [s.id for s in stored.sources[2:]] == [added, *more]
    assert stored.revision == 3
    assert {s.revision for s in stored.sources} == {1}
    assert sets.add_sources(office, []) == []
    assert sets.get_set(office).revision == 3


def test_a_name_stands_once_whatever_its_case(sets: SetStore, office: int):
    for name in ("window", "WINDOW"):
        with pytest.raises(Refused) as refused:
            sets.add_source(office, WINDOW.model_copy(update={"name": name}))
        [problem] = refused.value.problems
        assert problem.where == "name"
        assert problem.says == f"there is a source called {name!r} in this set already"
        assert problem.allowed == f"a name of its own, such as '{name} (2)'"
    composed, apart = "Caf\u00e9", "Cafe\u0301"
    sets.add_source(office, WINDOW.model_copy(update={"name": composed}))
    with pytest.raises(Refused):
        sets.add_source(office, WINDOW.model_copy(update={"name": apart}))
    assert len(sets.get_set(office).sources) == 3


def test_another_set_may_have_the_same_names(sets: SetStore, office: int):
    assert sets.create_set(OFFICE) != office


def test_a_paste_is_taken_whole_or_not_at_all(sets: SetStore, office: int):
    paste = [CEILING, WINDOW, LAMP.model_copy(update={"name": "CEILING"})]
    with pytest.raises(Refused) as refused:
        sets.add_sources(office, paste)
    assert [p.where for p in refused.value.problems] == ["sources[1].name", "sources[2].name"]
    assert sets.get_set(office).light_set == OFFICE


def test_a_set_whose_sources_share_a_name_is_not_made(sets: SetStore):
    with pytest.raises(Refused, match=r"sources\[1\].name: there is a source called 'Window'"):
        sets.create_set(OFFICE.model_copy(update={"sources": [WINDOW, WINDOW]}))
    assert sets.list_sets() == []


def test_a_set_holds_as_many_sources_as_the_model_takes(sets: SetStore):
    many = [WINDOW.model_copy(update={"name": f"Window {n}"}) for n in range(500)]
    with pytest.raises(ValueError, match="at most"):
        LightSet(name="Many", target=Target(cct=5600), sources=[*many, LAMP])
    full = sets.create_set(LightSet(name="Many", target=Target(cct=5600), sources=many))
    with pytest.raises(Refused, match="the set would hold 501 sources"):
        sets.add_source(full, LAMP)
    first = sets.get_set(full).sources[0].id
    sets.delete_source(first)
    sets.add_source(full, LAMP)
    with pytest.raises(Refused, match="the set would hold 501 sources"):
        sets.restore_source(first)
    assert sets.get_set(full).light_set.sources[-1] == LAMP


def test_a_source_changes_and_keeps_its_place(sets: SetStore, office: int):
    window, first = sets.get_set(office).sources[0].id, sets.get_set(office).sources[0].source.reading
    wanted = Source(name="WINDOW", kind="unknown", reading=REREAD, note="clouds", keep=["ND 0.3"])
    changed = sets.update_source(window, wanted)
    assert changed == sets.get_source(window) == sets.get_set(office).sources[0]
    assert changed.source == wanted.model_copy(update={"readings": [first]})
    assert (changed.revision, changed.readings) == (2, 2)
    assert sets.get_set(office).revision == 2
    with pytest.raises(Refused, match="a source called 'desk LAMP'"):
        sets.update_source(window, wanted.model_copy(update={"name": "desk LAMP"}))
    assert sets.get_source(window) == changed


def test_readings_are_added_to_the_earlier_ones(sets: SetStore, office: int):
    window = sets.get_set(office).sources[0].id
    sets.update_source(window, WINDOW.model_copy(update={"note": "the same reading"}))
    sets.update_source(window, WINDOW.model_copy(update={"reading": REREAD}))
    newest = sets.add_reading(window, WINDOW.reading)
    again = sets.add_reading(window, WINDOW.reading)
    kept = sets.readings_of(window)
    assert [r.reading for r in kept] == [WINDOW.reading, REREAD, WINDOW.reading, WINDOW.reading]
    assert [r.id for r in kept[2:]] == [newest, again]
    assert [r.taken_at for r in kept] == sorted(r.taken_at for r in kept)
    stored = sets.get_source(window)
    assert (stored.source.reading, stored.readings, stored.taken_at) == (WINDOW.reading, 4, kept[-1].taken_at)
    assert (stored.revision, sets.get_set(office).revision) == (5, 5)


def test_no_reading_can_be_changed_or_taken_out(db: Database, office: int):
    for statement in ("DELETE FROM readings", "UPDATE readings SET taken_at = ''"):
        with pytest.raises(sqlite3.IntegrityError, match="only ever added"), db.write() as conn:
            conn.execute(statement)


def test_a_change_that_changes_nothing_writes_nothing(sets: SetStore, office: int):
    before = sets.get_set(office), sets.history(office)
    sets.update_set(office, name="Office", note="north side", target=OFFICE.target, limits=OFFICE.limits)
    sets.update_source(before[0].sources[0].id, WINDOW)
    sets.restore_source(before[0].sources[0].id)
    sets.restore_set(office)
    assert (sets.get_set(office), sets.history(office)) == before


@pytest.mark.parametrize("number", [999, -1, 10**30])
def test_what_never_was_is_not_found(sets: SetStore, number: int):
    for act in (
        sets.get_set,
        sets.update_set,
        sets.delete_set,
        sets.restore_set,
        sets.history,
        lambda n: sets.add_source(n, WINDOW),
    ):
        with pytest.raises(NotFound, match=f"there is no set {number}"):
            act(number)
    for act in (
        sets.get_source,
        sets.delete_source,
        sets.restore_source,
        sets.readings_of,
        lambda n: sets.update_source(n, WINDOW),
        lambda n: sets.add_reading(n, REREAD),
    ):
        with pytest.raises(NotFound, match=f"there is no source {number}"):
            act(number)


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("UPDATE sets SET target = '{}'", "stored set 1 cannot be read .*target is not clear"),
        ("UPDATE sources SET kind = 'candle'", "stored source 1 cannot be read .*kind 'candle' is not known"),
        ("UPDATE sources SET keep = 'ND'", "stored source 1 cannot be read .*not JSON"),
        ("DROP TRIGGER readings_unchanged", "stored reading 1 cannot be read .*CCT 99 is out of range"),
    ],
)
def test_a_damaged_row_is_told(sets: SetStore, db: Database, office: int, statement: str, told: str):
    with db.write() as conn:
        conn.execute(statement)
        if "TRIGGER" in statement:
            conn.execute("""UPDATE readings SET reading = '{"cct": 99, "duv": 0}'""")
    with pytest.raises(StoreFault, match=told + ".*backup"):
        sets.get_set(office)
