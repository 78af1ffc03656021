"""Who did what: the name goes with readings and changes; and what was decided goes with a reading."""

import pytest

from advisor.model import Exposure, Limits, Predicted, Reading, Stage, Work
from advisor.store import Conflict, Database, NotFound, SetStore
from tests.store.samples import CEILING, LAMP, OFFICE, WINDOW

BEHIND = Reading(cct=5610, duv=0.003, lux=640, gels=["CTO 1/2"])
HUNG = Work(
    stage=Stage.HUNG,
    gels=["CTO 1/2"],
    predicted=Predicted(cct=5600, duv=0.0031, lux=650, uncertainty_steps=2.0),
)


@pytest.fixture
def office(sets: SetStore) -> int:
    return sets.create_set(OFFICE)


@pytest.fixture
def window(sets: SetStore, office: int) -> int:
    return sets.get_set(office).sources[0].id


class TestNames:
    def test_nobody_said_at_first(self, sets: SetStore, office: int, window: int):
        sets.add_reading(window, Reading(cct=7000, duv=0.004))
        assert {r.who for r in sets.readings_of(window)} == {""}
        assert {c.who for c in sets.history(office)} == {""}
        assert sets.get_source(window).who == ""

    def test_a_reading_says_who_took_it(self, sets: SetStore, window: int):
        sets.by("Noor").add_reading(window, Reading(cct=7000, duv=0.004))
        sets.by("Ilya").add_reading(window, Reading(cct=7100, duv=0.004))
        assert [r.who for r in sets.readings_of(window)] == ["", "Noor", "Ilya"]
        assert sets.get_source(window).who == "Ilya"

    def test_the_source_says_who_took_the_reading_that_counts(self, sets: SetStore, window: int):
        sets.by("Noor").add_reading(window, Reading(cct=7000, duv=0.004))
        sets.by("Ilya").add_reading(window, BEHIND)
        now = sets.get_source(window)
        assert (now.who, now.behind.who) == ("Noor", "Ilya")

    def test_every_change_says_who_made_it(self, db: Database):
        noor = SetStore(db, "Nóra Ø")
        office = noor.create_set(OFFICE)
        window = noor.get_set(office).sources[0].id
        ilya = noor.by("Ilya")
        ilya.update_set(office, name="North office")
        ilya.update_source(window, WINDOW.model_copy(update={"note": "blind down"}))
        added = ilya.add_source(office, CEILING)
        noor.add_reading(window, BEHIND, HUNG)
        noor.delete_source(added)
        ilya.restore_source(added)
        noor.delete_set(office)
        ilya.restore_set(office)
        assert [(c.who, c.what) for c in noor.history(office)] == [
            ("Nóra Ø", "set.added"),
            ("Nóra Ø", "source.added"),
            ("Nóra Ø", "source.added"),
            ("Ilya", "set.changed"),
            ("Ilya", "source.changed"),
            ("Ilya", "source.added"),
            ("Nóra Ø", "reading.added"),
            ("Nóra Ø", "source.deleted"),
            ("Ilya", "source.restored"),
            ("Nóra Ø", "set.deleted"),
            ("Ilya", "set.restored"),
        ]

    def test_every_reading_and_change_says_when(self, sets: SetStore, office: int, window: int):
        sets.add_reading(window, BEHIND)
        times = [c.at for c in sets.history(office)]
        assert times == sorted(times)
        assert sets.readings_of(window)[-1].taken_at == times[-1]

    def test_a_sample_that_is_removed_says_by_whom(self, sets: SetStore):
        made = sets.create_set(OFFICE, sample=True)
        sets.by("Noor").remove_sample_sets()
        assert sets.history(made)[-1].who == "Noor"


class TestReadings:
    def test_what_was_read_behind_gels_never_becomes_the_bare_reading(self, sets: SetStore, window: int):
        sets.add_reading(window, BEHIND)
        now = sets.get_source(window)
        assert now.source.reading == WINDOW.reading
        assert now.source.readings == [BEHIND]
        assert now.behind.reading == BEHIND
        assert now.readings == 2

    def test_the_newest_bare_one_counts_whatever_came_after(self, sets: SetStore, window: int):
        bare = Reading(cct=7000, duv=0.004, level=50)
        for reading in (BEHIND, bare, BEHIND):
            sets.add_reading(window, reading)
        now = sets.get_source(window).source
        assert now.reading == bare
        assert now.readings == [WINDOW.reading, BEHIND, BEHIND]

    def test_a_set_that_is_made_with_readings_has_them_all(self, sets: SetStore):
        older = Reading(cct=2600, duv=0.0, lux=40, level=50)
        behind = Reading(cct=4000, duv=0.0, gels=["CTB 1/2"])
        lamp = LAMP.model_copy(update={"readings": [behind, older], "level": 75.0})
        made = sets.create_set(OFFICE.model_copy(update={"sources": [lamp]}))
        [stored] = sets.get_set(made).sources
        assert stored.source.reading == LAMP.reading
        assert sorted(stored.source.readings, key=lambda r: r.cct) == [older, behind]
        assert stored.source.level == 75


class TestWork:
    def test_a_reading_and_what_it_makes_of_the_work_are_one_change(
        self, sets: SetStore, office: int, window: int
    ):
        sets.update_source(window, WINDOW.model_copy(update={"work": HUNG}))
        before = sets.get_source(window)
        confirmed = HUNG.model_copy(update={"stage": Stage.CONFIRMED, "read_behind": BEHIND})
        sets.add_reading(window, BEHIND, confirmed, HUNG)
        now = sets.get_source(window)
        assert now.source.work == confirmed
        assert now.revision == before.revision + 1
        last = sets.history(office)[-1]
        assert last.what == "reading.added"
        assert last.before["details"]["work"]["stage"] == "hung"
        assert last.after["details"]["work"]["stage"] == "confirmed"

    def test_a_reading_does_not_bring_back_what_was_taken_off_meanwhile(self, sets: SetStore, window: int):
        confirmed = HUNG.model_copy(update={"stage": Stage.CONFIRMED, "read_behind": BEHIND})
        before = sets.get_source(window)
        with pytest.raises(Conflict) as conflict:
            sets.add_reading(window, BEHIND, confirmed, HUNG)
        assert conflict.value.current == before == sets.get_source(window)
        assert len(sets.readings_of(window)) == 1

    def test_a_bare_reading_leaves_the_work_as_it_is(self, sets: SetStore, window: int):
        sets.update_source(window, WINDOW.model_copy(update={"work": HUNG}))
        sets.add_reading(window, Reading(cct=7000, duv=0.004))
        assert sets.get_source(window).source.work == HUNG

    def test_back_to_bare(self, sets: SetStore, window: int):
        for work in (HUNG, HUNG.model_copy(update={"stage": Stage.CONFIRMED}), None):
            sets.update_source(window, sets.get_source(window).source.model_copy(update={"work": work}))
            assert sets.get_source(window).source.work == work

    def test_a_stale_decision_is_refused_with_what_is_there_now(self, sets: SetStore, window: int):
        seen = sets.get_source(window)
        sets.update_source(window, seen.source.model_copy(update={"work": HUNG}), revision=seen.revision)
        other = seen.source.model_copy(update={"work": Work(gels=["ND 0.3"])})
        with pytest.raises(Conflict) as conflict:
            sets.update_source(window, other, revision=seen.revision)
        assert conflict.value.current.source.work == HUNG
        assert sets.get_source(window).source.work == HUNG

    def test_a_removed_source_takes_no_reading_behind_anything(self, sets: SetStore, window: int):
        sets.delete_source(window)
        with pytest.raises(NotFound):
            sets.add_reading(window, BEHIND, HUNG)
        assert sets.readings_of(window)[-1].reading == WINDOW.reading


class TestSetDetails:
    def test_a_new_set_has_the_usual_ones(self, sets: SetStore, office: int):
        now = sets.get_set(office)
        assert now.exposure == Exposure()
        assert (now.spare_percent, now.hidden_cautions, now.copied_from) == (10.0, (), "")

    @pytest.mark.parametrize(
        "change",
        [
            {"exposure": Exposure(iso=400, shutter_angle=90)},
            {"spare_percent": 0.0},
            {"hidden_cautions": ("hot", "wet")},
        ],
    )
    def test_each_is_changed_alone(self, sets: SetStore, office: int, change: dict[str, object]):
        before = sets.get_set(office)
        sets.update_set(office, **change)
        now = sets.get_set(office)
        [(field, value)] = change.items()
        assert getattr(now, field) == value
        assert now.revision == before.revision + 1
        assert now.light_set.model_copy(update={field: getattr(before.light_set, field)}) == before.light_set

    def test_another_change_leaves_them(self, sets: SetStore, office: int):
        sets.update_set(office, exposure=Exposure(iso=100), hidden_cautions=["hot"])
        sets.update_set(office, limits=Limits(max_layers=1))
        now = sets.get_set(office)
        assert (now.exposure.iso, now.hidden_cautions, now.limits.max_layers) == (100, ("hot",), 1)

    def test_cautions_come_back(self, sets: SetStore, office: int):
        sets.update_set(office, hidden_cautions=["hot"])
        sets.update_set(office, hidden_cautions=[])
        assert sets.get_set(office).hidden_cautions == ()

    def test_every_set_has_a_number_of_its_own(self, sets: SetStore, office: int):
        other = sets.create_set(OFFICE)
        assert len({sets.get_set(n).uid for n in (office, other)}) == 2
        assert sets.get_set(sets.create_set(OFFICE, uid="ab" * 16)).uid == "ab" * 16
