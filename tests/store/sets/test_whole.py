"""A set out to a file and back: everything comes along."""

import json
from datetime import UTC
from secrets import token_hex

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.imports.set_file import read_whole
from advisor.model import (
    Exposure,
    Opening,
    Predicted,
    Reach,
    Reading,
    Refused,
    Role,
    Setting,
    Source,
    Stage,
    StandMove,
    Target,
    WantedOffset,
    Work,
)
from advisor.model.basis import quantities as q
from advisor.model.sets.whole import DatedReading, LogLine, Whole, WholeSource
from advisor.store import Database, NotFound, SetStore
from advisor.store.sets.whole import AlreadyHere, history_rows
from tests.store.samples import OFFICE, WINDOW, export
from tests.strategies import STEADY, gel_tables, light_sets, names, quantity, readings, source_lists
from tests.thorough import cases

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
    own = st.integers(1, 120)
    numbers = sorted(draw(st.sets(own, min_size=3, max_size=3)))
    for source, number in zip(draw(source_lists(3)), numbers, strict=False):
        taken = draw(st.lists(tagged(True) | tagged(False), max_size=3))
        taken.insert(draw(st.integers(0, len(taken))), draw(tagged(True)))
        described = source.model_copy(
            update={
                "aim": draw(st.builds(WantedOffset, mired=quantity(q.WantedMired), leave=st.booleans())),
                "level": draw(st.none() | quantity(q.DimLevel)),
                "modifier": draw(st.sampled_from([None, "", "Grid"])),
                "reach": draw(st.none() | st.just(Reach(cct_from=2700, cct_to=6500, green_from=-8))),
                "tolerance_steps": draw(st.none() | quantity(q.ToleranceSteps)),
                "role": draw(st.sampled_from(Role)),
                "on_subject": draw(st.none() | st.booleans()),
                "stand": draw(st.none() | st.builds(StandMove, times=st.floats(0.1, 10), done=st.booleans())),
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
        items.append(
            WholeSource.model_validate(
                {"number": number, "readings": dated, "source": fields, "removed_at": removed}
            )
        )
    light_set = draw(light_sets(0))
    at = draw(st.none() | st.integers(0, len(items) - 1)) if items else None
    target = light_set.target if at is None else Target(source=items[at].source.name)
    details = {
        "target": target,
        "exposure": Exposure(iso=draw(quantity(q.Iso))),
        "spare_percent": draw(quantity(q.SparePercent)),
        "hidden_cautions": draw(GELS),
        "pulled": draw(GELS),
        "walk": draw(st.lists(st.integers(1, 9), max_size=4)),
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
        last_number=max(draw(own), *numbers[: len(items)]) if items else draw(st.none() | own),
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
@settings(STEADY, max_examples=cases(60), suppress_health_check=[*HealthCheck])
def test_what_is_imported_is_exported_again(made: Whole, shared: SetStore):
    there = made.model_copy(update={"uid": token_hex(16)})
    read = read_whole(there.to_json())
    assert read == there
    again = shared.whole.export(shared.whole.restore(read), there.gels)
    assert again.model_copy(update={"exported_at": there.exported_at}) == there


class TestExport:
    def test_it_holds_readings_with_times_and_people_and_what_labels_meant(self, sets, office):
        found = json.loads(export(sets, office).to_json())
        assert found["advisor_set"] == 2 and "heads" not in found
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
            ("", "Set changed: renamed, was Office · target the white of Window"),
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
        assert hung == "Desk lamp: hung: dials at 3 000 K, green +2"

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
        [line] = sets.record.lines(copied, 1)
        assert (line.change.who, line.told.line) == ("Mara", "Set imported from its record")
        assert export(sets, copied).history == there.history

    def test_nothing_is_half_done(self, sets, office):
        there = export(sets, office)
        twice = [there.sources[0], there.sources[0]]
        before = sets.list_sets()
        with pytest.raises(Refused) as no:
            sets.whole.restore(there.model_copy(update={"uid": "new", "sources": twice}))
        assert no.value.problems[0].where == "sources[1].source.name"
        assert (sets.list_sets(), sets.whole.known("new")) == (before, None)

    def test_a_set_takes_five_hundred_sources(self, sets, office):
        there = export(sets, office)
        one = there.sources[0]
        many = [
            one.model_copy(update={"source": one.source.model_copy(update={"name": f"Lamp {k}"})})
            for k in range(501)
        ]
        with pytest.raises(Refused, match="would hold 501 sources"):
            sets.whole.restore(there.model_copy(update={"uid": "new", "sources": many}))


def test_a_source_knows_who_read_it_and_what_was_read_behind_gels(sets: SetStore, office: int):
    window, lamp = sets.get_set(office).sources
    assert (window.who, lamp.who) == ("Noor", "Ilya")
    assert window.behind.reading.gels == ["CTO 1/2"]
    assert window.behind.who == "Noor"
    assert lamp.behind is None


def test_source_fields_of_the_model_all_come_along():
    """A field that the model gains later is in the record by itself."""
    source = WholeSource(
        readings=[DatedReading(taken_at="2024-11-25T05:41:00Z", reading=WINDOW.reading)],
        source=WINDOW.model_copy(update={"as_far": 2.0}),  # left out of one that was never moved
    )
    made = Whole(
        uid="a", exported_at="2024-11-25T05:41:00Z", changed_at="2024-11-25T05:41:00Z",
        set=OFFICE.model_copy(update={"sources": []}), sources=[source], gels=[], history=[],
    )  # fmt: skip
    written = json.loads(made.to_json())["sources"][0]["source"]
    empty = {name for name, field in Source.model_fields.items() if field.default is None}
    assert set(written) | empty == set(Source.model_fields) - {"reading", "readings"} | empty


def test_a_history_that_was_made_ready_is_written_behind_that_of_the_set(sets: SetStore, office: int):
    whole = sets.whole.export(office, [])
    line = LogLine(at="2026-11-20T10:00:00.000000Z", who="Noor", what="read “Window”")
    again = sets.whole.restore(whole, history_rows([line, line]), copy=True)
    [*_, first, second] = sets.whole.export(again, []).history
    assert first == second == line
    assert len(sets.whole.export(again, []).history) == len(whole.history) + 2
