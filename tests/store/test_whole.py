"""A set out to a file and back: everything comes along; what is no such file is refused with its place."""

import json
from datetime import UTC
from secrets import token_hex

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.imports.whole import read_whole
from advisor.model import (
    Aim,
    Exposure,
    Gel,
    LightSet,
    Opening,
    Predicted,
    Reach,
    Reading,
    Refused,
    Role,
    Setting,
    Source,
    Stage,
    Target,
    Work,
)
from advisor.model import quantities as q
from advisor.model.labels import label_differences
from advisor.model.whole import DatedReading, LogLine, Whole, WholeSource
from advisor.store import Database, NotFound, SetStore
from advisor.store.whole import AlreadyHere
from tests.store.samples import LAMP, OFFICE, SHIPPED, WINDOW
from tests.strategies import STEADY, gel_tables, light_sets, names, quantity, readings, source_lists

TIMES = st.datetimes(timezones=st.just(UTC)).map(
    lambda at: at.isoformat(timespec="microseconds").replace("+00:00", "Z")
)
SETTINGS = st.builds(Setting, cct=quantity(q.DialCCT), green=quantity(q.DialGreen))
GELS = st.lists(names(), max_size=3)


def tagged(bare: bool) -> st.SearchStrategy[Reading]:
    """Make readings with what they may say of how the source stood."""

    def tag(reading, level, modifier, dial, hung):
        tags = {"level": level, "modifier": modifier, "dial": dial, "gels": [] if bare else hung}
        return Reading.model_validate({**dict(reading), **tags})

    level = st.none() | quantity(q.DimLevel)
    modifiers = st.sampled_from(["", "Softbox", "Grid"])
    hung = st.lists(names(), min_size=1, max_size=3)
    return st.builds(tag, readings(), level, modifiers, st.none() | SETTINGS, hung)


WORK = st.builds(
    Work,
    stage=st.sampled_from(Stage),
    gels=GELS,
    dial=st.none() | SETTINGS,
    predicted=st.none()
    | st.builds(Predicted, cct=quantity(q.CCT), duv=quantity(q.Duv), uncertainty_steps=st.floats(0, 100)),
    found=st.none() | tagged(False),
)


@st.composite
def wholes(draw: st.DrawFn) -> Whole:
    """Make records: removed sources, dated readings in any order, and a target that may match any source."""
    items = []
    for source in draw(source_lists(3)):
        taken = draw(st.lists(tagged(True) | tagged(False), max_size=3))
        taken.insert(draw(st.integers(0, len(taken))), draw(tagged(True)))
        described = source.model_copy(
            update={
                "aim": draw(st.builds(Aim, mired=quantity(q.WantedMired), leave=st.booleans())),
                "level": draw(st.none() | quantity(q.DimLevel)),
                "modifier": draw(st.sampled_from([None, "", "Grid"])),
                "reach": draw(st.none() | st.just(Reach(cct_from=2700, cct_to=6500, green_from=-8))),
                "tolerance_steps": draw(st.none() | quantity(q.ToleranceSteps)),
                "role": draw(st.sampled_from(Role)),
                "on_subject": draw(st.booleans()),
                "over_key": draw(st.none() | quantity(q.OverKey)),
                "watts": draw(st.none() | quantity(q.Watts)),
                "openings": draw(st.sampled_from([[], [Opening(width=1.2, height=0.6, count=3)]])),
                "work": draw(st.none() | WORK),
            }
        )
        fields = {k: v for k, v in dict(described).items() if k not in ("reading", "readings")}
        dated = [
            DatedReading(taken_at=draw(TIMES), who=draw(names() | st.just("")), reading=r) for r in taken
        ]
        removed = draw(st.none() | TIMES)
        items.append(WholeSource.model_validate({"readings": dated, "source": fields, "removed_at": removed}))
    light_set = draw(light_sets(0))
    at = draw(st.none() | st.integers(0, len(items) - 1)) if items else None
    target = light_set.target if at is None else Target(source=items[at].source.name)
    details = {
        "target": target,
        "exposure": Exposure(iso=draw(quantity(q.Iso))),
        "spare_percent": draw(quantity(q.SparePercent)),
        "hidden_cautions": draw(GELS),
        "copied_from": draw(st.sampled_from(["", "0123456789abcdef"])),
    }
    return Whole(
        uid="0" * 32,
        exported_at=draw(TIMES),
        changed_at=draw(TIMES),
        sample=draw(st.booleans()),
        set=light_set.model_copy(update=details),
        target_source=at,
        sources=items,
        gels=draw(gel_tables(3)).rows,
        history=draw(
            st.lists(st.builds(LogLine, at=TIMES, who=names() | st.just(""), what=names()), max_size=3)
        ),
    )


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory):
    """One store for all examples: every one restores a set of its own, or a copy."""
    with Database(tmp_path_factory.mktemp("whole") / "advisor.db") as db:
        yield SetStore(db)


@given(made=wholes())
@settings(STEADY, max_examples=60, suppress_health_check=[*HealthCheck])
def test_what_is_imported_is_exported_again(made: Whole, shared: SetStore):
    there = made.model_copy(update={"uid": token_hex(16)})
    read = read_whole(there.to_json())
    assert read == there
    again = shared.whole.export(shared.whole.restore(read), there.gels)
    assert again.model_copy(update={"exported_at": there.exported_at}) == there


@pytest.fixture
def office(sets: SetStore) -> int:
    noor = sets.by("Noor")
    number = noor.create_set(OFFICE)
    window, lamp = (s.id for s in sets.get_set(number).sources)
    hung = WINDOW.model_copy(update={"work": Work(stage=Stage.HUNG, gels=["CTO 1/2"])})
    noor.update_source(window, hung)
    noor.add_reading(window, Reading(cct=5600, duv=0.003, gels=["CTO 1/2"]))
    noor.by("Ilya").add_reading(lamp, Reading(cct=2600, duv=0.0, level=50))
    return number


def export(sets: SetStore, number: int) -> Whole:
    return sets.whole.export(number, SHIPPED.rows)


class TestExport:
    def test_it_holds_readings_with_times_and_people_and_what_labels_meant(self, sets, office):
        found = json.loads(export(sets, office).to_json())
        assert found["advisor_set"] == 1
        assert found["uid"] == sets.get_set(office).uid
        lamp = found["sources"][1]
        assert [(r["who"], r["reading"]["cct"]) for r in lamp["readings"]] == [("Noor", 2750), ("Ilya", 2600)]
        assert [r["taken_at"] for r in lamp["readings"]] == [
            r.taken_at for r in sets.readings_of(sets.get_set(office).sources[1].id)
        ]
        assert [(g["family"], g["fraction"], g.get("mired")) for g in found["gels"]] == [
            ("CTO", "1/2", 81), ("ND", "0.3", 0)
        ]  # fmt: skip
        assert found["sources"][0]["source"]["work"]["stage"] == "hung"

    def test_the_history_is_in_words(self, sets, office):
        sets.update_set(office, name="Office, north", target=Target(source="Window"))
        sets.delete_source(sets.get_set(office).sources[1].id)
        said = [(line.who, line.what) for line in export(sets, office).history]
        assert said == [
            ("Noor", "Set made: Office"),
            ("Noor", "Window: added, read 6 800 K, Duv +0.0040, 900 lx"),
            ("Noor", "Desk lamp: added, read 2 750 K, Duv 0.0000"),
            ("Noor", "Window: hung: CTO 1/2"),
            ("Noor", "Window: read 5 600 K, Duv +0.0030, behind CTO 1/2"),
            ("Ilya", "Desk lamp: read 2 600 K, Duv 0.0000, at 50 %"),
            ("", "Set changed: renamed, was Office; target the white of Window"),
            ("", "Desk lamp: removed"),
        ]

    def test_a_target_is_told_whole_and_dials_as_pages_tell_them(self, sets, office):
        sets.update_set(office, target=Target(cct=4300, locus="planckian", duv_offset=0.004, tint=8))
        lamp = sets.get_set(office).sources[1]
        work = Work(stage=Stage.HUNG, gels=[], dial=Setting(cct=3000, green=2))
        sets.update_source(lamp.id, lamp.source.model_copy(update={"work": work}))
        *_, target, hung = (line.what for line in export(sets, office).history)
        assert target == (
            "Set changed: target 4 300 K Planckian, Duv +0.0040 off it, camera taking out 8 CC of green"
        )
        assert hung == "Desk lamp: hung: no gel, dial at 3 000 K, green +2"

    def test_a_removed_source_that_the_target_matches_comes_along(self, sets, office, db):
        sets.update_set(office, target=Target(source="Desk lamp"))
        sets.delete_source(sets.get_set(office).sources[1].id)
        there = export(sets, office)
        sets.delete_set(office)
        copied = sets.get_set(sets.whole.restore(there, copy=True))
        assert (copied.target.source, copied.target_deleted) == ("Desk lamp", True)
        assert sets.restore_source(copied.target_source_id).source.name == "Desk lamp"
        assert not sets.get_set(copied.id).target_deleted

    def test_a_deleted_set_has_none(self, sets, office):
        sets.delete_set(office)
        with pytest.raises(NotFound, match="was deleted"):
            export(sets, office)


class TestRestore:
    def test_one_that_is_here_is_named_and_left_alone(self, sets, office):
        there = export(sets, office)
        with pytest.raises(AlreadyHere) as here:
            sets.whole.restore(there)
        assert (here.value.known.id, here.value.known.name, here.value.known.deleted) == (
            office,
            "Office",
            False,
        )
        sets.delete_set(office)
        with pytest.raises(AlreadyHere) as here:
            sets.whole.restore(there)
        assert here.value.known.deleted
        assert sets.list_sets() == []

    def test_a_copy_has_a_number_and_a_name_of_its_own(self, sets, office):
        there = export(sets, office)
        copied = sets.get_set(sets.whole.restore(there, copy=True))
        assert copied.name == "Office (2)"
        assert copied.uid != there.uid
        again = export(sets, copied.id)
        own = {"uid": there.uid, "exported_at": there.exported_at, "set": there.set}
        assert again.model_copy(update=own) == there

    def test_who_restored_it_is_on_its_record_and_not_in_its_export(self, sets, office):
        there = export(sets, office)
        copied = sets.by("Mara").whole.restore(there, copy=True)
        change, said = sets.whole.log(copied, 1)[0]
        assert (change.who, said) == ("Mara", "Set restored from a record")
        assert export(sets, copied).history == there.history

    def test_nothing_is_half_done(self, sets, office):
        there = export(sets, office)
        twice = [there.sources[0], there.sources[0]]
        before = sets.list_sets()
        with pytest.raises(Refused) as no:
            sets.whole.restore(there.model_copy(update={"uid": "new", "sources": twice}))
        assert no.value.problems[0].where == "sources[1].source.name"
        assert (sets.list_sets(), sets.whole.known("new")) == (before, None)

    def test_a_set_takes_a_hundred_sources(self, sets, office):
        there = export(sets, office)
        one = there.sources[0]
        many = [
            one.model_copy(update={"source": one.source.model_copy(update={"name": f"Lamp {k}"})})
            for k in range(101)
        ]
        with pytest.raises(Refused, match="would hold 101 sources"):
            sets.whole.restore(there.model_copy(update={"uid": "new", "sources": many}))


class TestNextDay:
    def test_readings_come_with_their_times_and_what_hung_is_planned(self, sets, office):
        then = sets.get_set(office)
        number = sets.by("Mara").days.duplicate(office)
        now = sets.get_set(number)
        assert (now.name, now.copied_from, now.target) == ("Office, next day", then.uid, then.target)
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

    def test_the_day_after_has_a_free_name(self, sets, office):
        first = sets.days.duplicate(office)
        assert sets.get_set(sets.days.duplicate(office)).name == "Office, next day (2)"
        assert sets.get_set(sets.days.duplicate(first)).name == "Office, next day (3)"
        long = sets.create_set(OFFICE.model_copy(update={"name": "n" * 80}))
        assert sets.get_set(sets.days.duplicate(long)).name == "n" * 70 + ", next day"

    def test_a_removed_source_stays_behind_and_a_put_away_caution_shows_again(self, sets, office):
        sets.update_set(office, hidden_cautions=["low-level"])
        sets.delete_source(sets.get_set(office).sources[0].id)
        now = sets.get_set(sets.days.duplicate(office))
        assert [s.source.name for s in now.sources] == ["Desk lamp"]
        assert now.hidden_cautions == ()

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


class TestRefused:
    """Each with its place, and with what to give instead."""

    @pytest.fixture
    def text(self, sets, office) -> str:
        return export(sets, office).to_json()

    def refused(self, text: str) -> list[tuple[str, str]]:
        with pytest.raises(Refused) as no:
            read_whole(text)
        return [(p.where, p.says) for p in no.value.problems]

    def test_it_reads_what_it_wrote(self, text):
        assert read_whole(text).to_json() == text

    def test_a_newer_advisors(self, text):
        says = "this comes from a newer advisor (format 2; this one reads 1)"
        newer = text.replace('"advisor_set": 1', '"advisor_set": 2, "more": 1')
        assert self.refused(newer) == [("advisor_set", says)]

    @pytest.mark.parametrize("number", ["true", '"1"', "0", "1.0", "null"])
    def test_a_format_that_never_was(self, text, number):
        [(where, says)] = self.refused(text.replace('"advisor_set": 1', f'"advisor_set": {number}'))
        assert where == "advisor_set" and "is not known" in says

    def test_one_that_breaks_off(self, text):
        for length in (len(text) // 3, len(text) // 2, len(text) - 2):
            cut = text[:length]
            [(_, says)] = self.refused(cut)
            assert says.startswith("the JSON breaks off at line "), cut[-40:]
        [(_, says)] = self.refused(text[: text.index('"Office"') + 4])
        assert "breaks off at line 8, column 11" in says

    def test_a_slip_of_somebodys_pen(self, text):
        [(_, says)] = self.refused(text.replace('"sample": false', '"sample" false'))
        assert says.startswith("this is not JSON at line 6, column 11, at 'false")

    def test_strange_fields_are_named_with_their_places(self, text):
        strange = text.replace('"kind": "daylight"', '"kind": "daylight", "lens": "50 mm"')
        strange = strange.replace('"cct": 2750.0', '"cct": 2750.0, "flicker": 1')
        assert self.refused(strange) == [
            ("sources[0].source.lens", "lens is not a field here"),
            ("sources[1].readings[0].reading.flicker", "flicker is not a field here"),
        ]
        outer = text.replace('"sample": false', '"sample": false, "crew": [], "weather": ""')
        assert self.refused(outer) == [("", "'crew', 'weather': not a field of a record")]

    def test_values_that_cannot_be_are_named_with_their_places(self, text):
        wrong = text.replace('"cct": 6800.0', '"cct": 680.0').replace(
            '"tolerance_steps": 3.0', '"tolerance_steps": "x"'
        )
        wrong = wrong.replace('"who": "Ilya"', '"who": 7', 1)
        assert [where for where, _ in self.refused(wrong)] == [
            "set.limits.tolerance_steps",
            "sources[0].readings[0].reading.cct",
            "sources[1].readings[1].who",
        ]

    @pytest.mark.parametrize("time", ["yesterday", "2024-11-25T05:41:00", "0001-01-01T00:00:00+05:00", ""])
    def test_a_time_without_its_zone(self, text, time):
        found = json.loads(text)
        found["sources"][0]["readings"][0]["taken_at"] = time
        [(where, says)] = self.refused(json.dumps(found))
        assert where == "sources[0].readings[0].taken_at" and "is not a time with its zone" in says

    def test_a_time_of_another_zone_is_the_same_time(self, text):
        found = json.loads(text)
        found["changed_at"] = "2024-11-25T07:41:00.5+02:00"
        assert read_whole(json.dumps(found)).changed_at == "2024-11-25T05:41:00.500000Z"

    def test_a_source_that_was_never_read_bare(self, text):
        found = json.loads(text)
        found["sources"][0]["readings"] = found["sources"][0]["readings"][1:]
        [(where, says)] = self.refused(json.dumps(found))
        assert (where, says) == ("sources[0].source", "every reading of it was taken behind gels")

    def test_readings_and_sources_in_the_wrong_place(self, text):
        found = json.loads(text)
        found["sources"][0]["source"]["reading"] = {"cct": 5600, "duv": 0}
        [(where, says)] = self.refused(json.dumps(found))
        assert (where, says) == ("sources[0].source", "reading stands inside the source")
        found = json.loads(text)
        found["set"]["sources"] = [{"name": "A", "reading": {"cct": 5600, "duv": 0}}]
        assert self.refused(json.dumps(found)) == [("", "set holds sources")]

    @pytest.mark.parametrize(
        ("target", "place", "says"),
        [
            ({"source": "Window"}, None, "does not say which source is 'Window'"),
            ({"source": "Window"}, 7, "does not say which source is 'Window'"),
            ({"source": "Window"}, 1, "target_source is 'Desk lamp', and the target is 'Window'"),
            ({"cct": 5600}, 0, "the target matches no source"),
        ],
    )
    def test_a_target_that_points_nowhere(self, text, target, place, says):
        found = json.loads(text)
        found["set"]["target"], found["target_source"] = target, place
        assert says in self.refused(json.dumps(found))[0][1]

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("", "there is no text"),
            (" \n\ufeff", "there is no text"),
            ("name,cct,duv\nWindow,6800,0.004", "looks like a table (CSV)"),
            ("name;cct;duv\nWindow;6800;0,004", "looks like a table (CSV)"),
            ("<html><body>", "looks like a web page or XML"),
            ("Window 6800", "this is not JSON at line 1, column 1"),
            ("[]", "this JSON is no record of a set"),
            ('{"sources": []}', "this JSON is no record of a set"),
            ("[" * 1_000_000, "nested too deeply"),
            ('{"advisor_set": ' + "9" * 5000 + "}", "holds 99999999999999999…, which no quantity can be"),
            ('{"advisor_set": NaN}', "holds NaN, which no quantity can be"),
            ('{"advisor_set": 1e999}', "holds 1e999, which no quantity can be"),
            ("x" * 16_000_001, "the text has 16000001 characters"),
        ],
    )
    def test_what_is_no_record(self, text, says):
        assert says in self.refused(text)[0][1]

    def test_thousands_of_faults_are_counted(self, text):
        many = ", ".join(f'"k{i}": 1' for i in range(300))
        assert self.refused(text.replace('"kind": "daylight"', f'"kind": "daylight", {many}')) == [
            ("", "300 things in it are wrong")
        ]

    def test_half_a_sign_is_refused_in_words_that_can_be_shown(self, text):
        for wrong in ('"\\ud800": 1, "kind": "daylight"', '"kind": "\\ud800"'):
            for where, says in self.refused(text.replace('"kind": "daylight"', wrong)):
                assert (where + says).encode()


class TestLabels:
    def whole(self, sets, office, *gels: Gel) -> Whole:
        return sets.whole.export(office, gels)

    def test_the_same_labels_make_no_difference(self, sets, office):
        known = SHIPPED.rows[0].model_copy(update={"stock": 3, "note": "cut", "on": False})
        assert label_differences(self.whole(sets, office, known), SHIPPED.rows) == []

    def test_what_is_missing_or_differs_is_told_what_the_set_names_first(self, sets, office):
        there = self.whole(
            sets,
            office,
            Gel(family="Straw", fraction="1/4", mired=30, cc=-2),
            Gel(family="CTO", fraction="1/2", mired=78, cc=1.5, stops=0.5),
        )
        found = [(d.name, d.says, d.used) for d in label_differences(there, SHIPPED.rows)]
        assert found == [
            (
                "CTO 1/2",
                "mired 78 in the record, 81 here; CC 1.5 in the record, 0 here; "
                "stops 0.5 in the record, worked out here",
                True,
            ),
            ("Straw 1/4", "not in the table here", False),
        ]


def test_a_source_knows_who_read_it_and_what_was_read_behind_gels(sets: SetStore, office: int):
    window, lamp = sets.get_set(office).sources
    assert (window.who, lamp.who) == ("Noor", "Ilya")
    assert window.behind.reading.gels == ["CTO 1/2"]
    assert window.behind.who == "Noor"
    assert lamp.behind is None


def test_source_fields_of_the_model_all_come_along():
    """A field that the model gains later is in the record by itself."""
    source = WholeSource(
        readings=[DatedReading(taken_at="2024-11-25T05:41:00Z", reading=WINDOW.reading)], source=WINDOW
    )
    made = Whole(
        uid="a", exported_at="2024-11-25T05:41:00Z", changed_at="2024-11-25T05:41:00Z",
        set=OFFICE.model_copy(update={"sources": []}), sources=[source], gels=[], history=[],
    )  # fmt: skip
    written = json.loads(made.to_json())["sources"][0]["source"]
    empty = {name for name, field in Source.model_fields.items() if field.default is None}
    assert set(written) | empty == set(Source.model_fields) - {"reading", "readings"} | empty
