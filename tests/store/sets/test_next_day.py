"""The next day of a set: what comes along, what it is called, and which days it is compared with."""

import re

import pytest

from advisor.model import UNREAD, Kind, LightSet, Predicted, Reading, Setting, Source, Stage, Target, Work
from tests.store.samples import LAMP, OFFICE, WINDOW, export


class TestNextDay:
    def test_readings_come_with_their_times_and_what_hung_is_planned(self, sets, office):
        then = sets.get_set(office)
        number = sets.by("Mara").days.duplicate(office)
        now = sets.get_set(number)
        assert (now.name, now.copied_from, now.target) == ("Office, next day", then.uid, then.target)
        assert re.fullmatch("[0-9a-f]{32}", now.uid) and now.uid != then.uid
        window, lamp = now.sources
        assert window.source.work == Work(stage=Stage.PLANNED, gels=["CTO 1/2"])
        assert (window.source.reading, window.source.readings) == (WINDOW.reading, [])
        assert [(r.taken_at, r.who) for r in sets.readings_of(window.id)] == [
            (then.sources[0].taken_at, "Noor")
        ]
        assert [r.reading.level for r in sets.readings_of(lamp.id)] == [None, 50]
        assert [(c.what, c.who) for c in sets.history(number)] == [
            ("set.added", "Mara"), ("source.added", "Mara"), ("source.added", "Mara")
        ]  # fmt: skip
        assert sets.get_set(office) == then

    def test_the_last_bare_reading_of_every_way_to_use_it_comes_along(self, sets, office):
        lamp = sets.get_set(office).sources[1].id
        for reading in (
            Reading(cct=2610, duv=0, level=50),
            Reading(cct=2500, duv=0, level=50, modifier="Grid"),
            Reading(cct=2510, duv=0, level=50, modifier="grid"),
            Reading(cct=3000, duv=0, dial=Setting(cct=3000)),
            Reading(cct=3010, duv=0, dial=Setting(cct=3000)),
            Reading(cct=3100, duv=0, dial=Setting(cct=3000, green=2)),
        ):
            sets.add_reading(lamp, reading)
        now = sets.get_set(sets.days.duplicate(office))
        found = [r.reading.cct for r in sets.readings_of(now.sources[1].id)]
        assert found == [2750, 2610, 2510, 3010, 3100]

    @pytest.mark.parametrize(("kind", "come"), [(Kind.TUNGSTEN, True), (Kind.DAYLIGHT, False)])
    def test_what_was_read_behind_other_stacks_comes_along_but_of_daylight(self, sets, office, kind, come):
        """Those behind the stack that is planned again are known of it by themselves."""
        head = LAMP.model_copy(update={"name": "Practical", "kind": kind, "level": None})
        number = sets.add_source(office, head)
        cct = {"CTB full": 5100, "CTB 1/2": 4100, "CTB 3/4": 4600}
        read = {gel: Reading(cct=k, duv=0.001, gels=[gel]) for gel, k in cct.items()}
        for reading in read.values():
            sets.add_reading(number, reading)
        sets.strike(sets.readings_of(number)[-1].id)
        work = Work(stage=Stage.HUNG, gels=["CTB full"], read_behind=read["CTB full"])
        sets.change_source(number, {"work": work})
        now = sets.get_set(sets.days.duplicate(office)).sources[2]
        behind = [kept for kept in sets.readings_of(now.id) if kept.reading.gels]
        assert [kept.reading for kept in behind] == ([read["CTB 1/2"]] if come else [])
        assert [kept.taken_at for kept in behind] == [
            kept.taken_at for kept in sets.readings_of(number) if come and kept.reading.gels == ["CTB 1/2"]
        ]

    def test_with_what_was_read_behind_others_comes_what_it_read_bare_around_it(self, sets, office):
        """Else nobody could tell that somebody put another lamp there meanwhile."""
        bare = [Reading(cct=cct, duv=0.001) for cct in (3100, 3110, 3120, 3900, 3910, 3920)]
        half = Reading(cct=4000, duv=0.0, gels=["CTB 1/2"])
        full = Reading(cct=5900, duv=0.0, gels=["CTB full"])
        read = [*bare[:2], half, *bare[2:5], full, bare[5]]
        head = LAMP.model_copy(update={"name": "Practical", "level": None, "reading": read[0]})
        number = sets.add_source(office, head)
        for reading in read[1:]:
            sets.add_reading(number, reading)
        now = sets.get_set(sets.days.duplicate(office)).sources[2].source
        assert [*now.readings, now.reading] == [bare[1], half, bare[2], bare[4], full, bare[5]]
        assert now.reading == bare[5]

    def the_next(self, sets, office, was: Source) -> Source:
        """Return a source as it is the day after it was so."""
        window = sets.get_set(office).sources[0]
        sets.update_source(window.id, was)
        return sets.get_set(sets.days.duplicate(office)).sources[0].source

    def test_a_head_that_was_only_read_behind_what_hung_comes_along(self, sets, office):
        """Its gel hung before the first reading; what it reads bare nobody knows."""
        behind = Reading(cct=4300, duv=0.001, gels=["CTO 1/2"])
        hung = Work(stage=Stage.HUNG, gels=["CTO 1/2"], read_behind=behind)
        head = LAMP.model_copy(update={"name": "Practical", "readings": [behind], "work": hung})
        sets.add_source(office, head.model_copy(update={"reading": UNREAD}))
        day = sets.days.duplicate(office)
        now = sets.get_set(day).sources[2]  # read anew from the file
        assert (now.source.reading, now.source.readings) == (UNREAD, [behind])
        assert now.source.work == Work(stage=Stage.PLANNED, gels=["CTO 1/2"])
        assert sets.get_set(sets.days.duplicate(day)).sources[2].source == now.source

    def test_a_head_whose_bare_reading_was_struck_out_can_be_read_the_next_day(self, sets, office):
        window = sets.get_set(office).sources[0].id
        behind = Reading(cct=5600, duv=0.003, gels=["CTO 1/2"])
        sets.change_source(window, {"work": Work(stage=Stage.HUNG, gels=["CTO 1/2"], read_behind=behind)})
        sets.strike(sets.readings_of(window)[0].id)
        now = sets.get_set(sets.days.duplicate(office)).sources[0].source
        assert now.reading == UNREAD and now.work == Work(stage=Stage.PLANNED, gels=["CTO 1/2"])

    def test_what_was_read_behind_the_stack_last_comes_along_as_known_of_it(self, sets, office):
        bare, behind = Reading(cct=6700, duv=0.004), Reading(cct=5610, duv=0.003, lux=400)
        work = Work(
            stage=Stage.CONFIRMED,
            gels=["CTO 1/2"],
            dial=Setting(cct=5600),
            predicted=Predicted(cct=5600, duv=0.003, uncertainty_steps=1),
            read_bare=bare,
            read_behind=behind,
            read_elsewhere=[Reading(cct=5500, duv=0.0, level=40)],
            steps_off=2.5,
            read_day_before=Reading(cct=5000, duv=0.0),
        )
        planned = Work(
            stage=Stage.PLANNED,
            gels=["CTO 1/2"],
            dial=Setting(cct=5600),
            read_bare=bare,
            read_day_before=behind,
            steps_off=2.5,
        )
        assert self.the_next(sets, office, WINDOW.model_copy(update={"work": work})).work == planned

    def test_on_the_third_day_unread_the_first_still_counts(self, sets, office):
        bare, first = Reading(cct=6700, duv=0.004), Reading(cct=5610, duv=0.003)
        work = Work(stage=Stage.PLANNED, gels=["CTO 1/2"], read_bare=bare, read_day_before=first)
        assert self.the_next(sets, office, WINDOW.model_copy(update={"work": work})).work == work

    def test_what_nobody_read_bare_goes_with_the_reading_that_counts(self, sets, office):
        work = Work(stage=Stage.HUNG, gels=["CTO 1/2"], read_behind=Reading(cct=5610, duv=0.003))
        now = self.the_next(sets, office, WINDOW.model_copy(update={"work": work}))
        assert (now.work.read_bare, now.work.read_day_before) == (WINDOW.reading, work.read_behind)

    @pytest.mark.parametrize(
        ("bare", "behind", "comes"),
        [
            ({}, {}, True),
            ({"level": 40}, {"level": 40}, True),
            ({"level": 40}, {}, True),
            ({}, {"level": 40}, True),
            ({"level": 40}, {"level": 75}, False),
            ({"modifier": "Grid"}, {"modifier": "GRID"}, True),
            ({"modifier": "GRID"}, {"modifier": "Grid"}, True),
            ({"modifier": "Grid"}, {}, False),
            ({}, {"modifier": "Grid"}, False),
            ({"modifier": "Grid"}, {"modifier": "Softbox"}, False),
        ],
    )
    def test_a_reading_at_another_level_or_modifier_stays_with_its_day(
        self, sets, office, bare, behind, comes
    ):
        work = Work(
            stage=Stage.HUNG,
            gels=["CTO 1/2"],
            read_bare=Reading(cct=6700, duv=0.004, **bare),
            read_behind=Reading(cct=5610, duv=0.003, **behind),
        )
        now = self.the_next(sets, office, WINDOW.model_copy(update={"work": work})).work
        assert (now.read_bare, now.read_day_before) == (
            (work.read_bare, work.read_behind) if comes else (None, None)
        )
        assert (now.stage, now.gels) == (Stage.PLANNED, ["CTO 1/2"])

    def test_the_day_after_has_a_free_name(self, sets, office):
        first = sets.days.duplicate(office)
        assert sets.get_set(sets.days.duplicate(office)).name == "Office, next day (2)"
        assert sets.get_set(sets.days.duplicate(first)).name == "Office, next day (3)"
        long = sets.create_set(OFFICE.model_copy(update={"name": "n" * 80}))
        assert sets.get_set(sets.days.duplicate(long)).name == "n" * 70 + ", next day"

    def test_a_removed_source_stays_behind_and_a_put_away_caution_shows_again(self, sets, office):
        sets.update_set(office, hidden_cautions=["low-level"], pulled=["CTO full: 1 Sheet"])
        sets.delete_source(sets.get_set(office).sources[0].id)
        now = sets.get_set(sets.days.duplicate(office))
        assert [s.source.name for s in now.sources] == ["Desk lamp"]
        assert len(export(sets, now.id).sources) == 1, "nor can it be brought back there"
        assert (now.hidden_cautions, now.pulled) == ((), ())

    def test_what_the_target_matches_comes_along_even_if_removed(self, sets, office):
        sets.update_set(office, target=Target(source="Desk lamp"))
        sets.delete_source(sets.get_set(office).sources[1].id)
        now = sets.get_set(sets.days.duplicate(office))
        assert (now.target.source, now.target_deleted) == ("Desk lamp", True)
        assert [s.source.name for s in now.sources] == ["Window"]

    def test_the_days_to_compare_with_are_the_likeliest_first(self, sets, office):
        copied = sets.days.duplicate(office)
        sets.create_set(LightSet(name="Alike", target=Target(cct=5600), sources=[LAMP]))
        sets.create_set(LightSet(name="Other", target=Target(cct=5600)))
        assert [line.name for line in sets.days.other_days(copied)] == ["Office", "Alike", "Other"]
        assert [line.name for line in sets.days.other_days(office)] == ["Alike", "Office, next day", "Other"]
        sets.delete_set(office)
        assert [line.name for line in sets.days.other_days(copied)] == ["Alike", "Other"]


def test_a_set_keeps_what_it_was_copied_from_when_it_is_changed(sets, office):
    copied = sets.days.duplicate(office)
    sets.update_set(copied, name="Day 2")
    assert sets.get_set(copied).copied_from == sets.get_set(office).uid


class TestDimmed:
    """What was read behind gels goes with a bare reading of its own level, or says nothing of light."""

    FULL, FOUND = Reading(cct=4470, duv=0.0, lux=1500), Reading(cct=4010, duv=0.0, lux=520, level=50)

    def planned(self, sets, *bare):
        work = Work(stage=Stage.HUNG, gels=["CTO 1/8"], read_bare=self.FULL, read_behind=self.FOUND)
        *earlier, last = [self.FULL, *bare]
        lamp = Source(name="Panel", kind=Kind.LED_WHITE, reading=last, readings=earlier, level=50, work=work)
        owner = sets.create_set(LightSet(name="Ward", target=Target(cct=4100), sources=[lamp]))
        return sets.get_set(sets.days.duplicate(owner)).sources[0].source.work

    def test_it_goes_with_the_bare_reading_of_its_level(self, sets):
        half = Reading(cct=4350, duv=0.0, lux=800, level=50)
        work = self.planned(sets, half)
        assert (work.read_bare, work.read_day_before) == (half, self.FOUND)

    def test_with_one_of_no_known_level_it_says_nothing_of_light(self, sets):
        work = self.planned(sets)
        assert work.read_bare == self.FULL
        assert work.read_day_before == self.FOUND.model_copy(update={"lux": None})
