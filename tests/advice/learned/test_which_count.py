"""Which readings behind gels count: of which light, of which level, and where none was bare."""

import re

import numpy as np
import pytest
from pydantic import ValidationError

from advisor.advice.answer.advise import advise
from advisor.advice.learned.informed import judge_of
from advisor.advice.learned.off_label import off_labels
from advisor.advice.learned.posterior import posterior
from advisor.advice.plan.make import make_plan
from advisor.advice.readings.dim_levels import in_use
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import (
    UNREAD,
    AdviceRequest,
    Kind,
    Limits,
    Reading,
    Refused,
    Source,
)
from tests.advice.read_lamp import (
    ACCURACY,
    READINGS,
    SHIPPED,
    TARGET,
    answer,
    behind,
    entry,
    predicted,
    source,
)


class TestWhichCount:
    def known(self, **more):
        gel_arrays = gel_arrays_of(tuple(SHIPPED))
        bare = prepare(source(**more), gel_arrays, white_of(TARGET, []))
        return posterior(bare, gel_arrays, ACCURACY)

    def test_gels_that_the_table_has_no_more_say_nothing(self):
        assert self.known(readings=[behind("Straw full", cct=2800, duv=0.001)]) is None

    def test_another_modifier_is_another_light(self):
        assert self.known(readings=[behind("CTB full", cct=5210, duv=0.0, modifier="softbox")]) is None

    def test_a_reading_before_the_lamp_changed_says_nothing_of_it_now(self):
        seen = [Reading(cct=2700, duv=0.001), behind("CTB full", cct=4300, duv=-0.003)]
        assert self.known(readings=seen) is None

    def test_that_the_lamp_changed_is_said(self):
        seen = [Reading(cct=2700, duv=0.001), behind("CTB full", cct=4300, duv=-0.003)]
        [head] = make_plan([source(readings=seen)], TARGET, Limits(accuracy=ACCURACY), SHIPPED).heads
        assert re.search(r"The lamp changed: bare, it read 2.700 K before\.", head.bare_changed)
        [steady] = make_plan([source(*READINGS)], TARGET, Limits(accuracy=ACCURACY), SHIPPED).heads
        assert not any("changed" in note for note in steady.notes)

    def test_a_reading_since_the_lamp_changed_counts(self):
        was = Reading(cct=2700, duv=0.001)
        after = predicted("CTB full").after
        seen = [was, Reading(xy=(after.x, after.y), gels=["CTB full"])]
        assert len(self.known(readings=seen).taken) == 1

    def test_bare_readings_within_the_meter_are_one_lamp(self):
        seen = [Reading(cct=3055, duv=0.001), behind("CTB full", cct=5100, duv=0.0)]
        assert len(self.known(readings=seen).taken) == 1

    def test_another_level_lends_its_shape(self):
        full, low = Reading(cct=3050, duv=0.001, level=100), Reading(cct=2800, duv=0.002, level=20)
        gel_arrays = gel_arrays_of(tuple(SHIPPED))
        white = white_of(TARGET, [])
        dim = Source(name="Lamp", kind=Kind.LED_WHITE, reading=low, readings=[full], level=20)
        plain = predicted("CTB full", of=dim).after
        high = predicted("CTB full", of=dim.model_copy(update={"level": 100.0})).after
        weaker = Reading(cct=high.cct * 0.94, duv=high.duv, gels=["CTB full"], level=100)
        taught = dim.model_copy(update={"readings": [full, weaker]})
        known = judge_of(prepare(taught, gel_arrays, white), gel_arrays, Limits(accuracy=ACCURACY))
        assert known.read(np.array([gel_arrays.find(["CTB full"])])) == {}  # not read at this level
        assert predicted("CTB full", of=taught).after.cct < plain.cct - 100


class TestReadBehindGelsOnly:
    """A head on which gel hangs already is advised as it is: nobody takes it off to read it bare."""

    @pytest.mark.parametrize("kind", [Kind.TUNGSTEN, Kind.LED_WHITE, Kind.UNKNOWN])
    @pytest.mark.parametrize("gels", [["CTB full"], ["CTB 1/2", "Plus green 1/8"], ["CTO 1/4"]])
    def test_the_bare_light_follows_with_its_doubt(self, kind, gels):
        bare = source(kind=kind)
        seen = predicted(*gels, of=bare).after
        only = source(Reading(xy=(seen.x, seen.y), lux=seen.lux, gels=gels), kind=kind, reading=UNREAD)
        made = prepare(only, gel_arrays_of(tuple(SHIPPED)), white_of(TARGET, []))
        reads = made.source.reading
        assert reads.cct == pytest.approx(3050, rel=0.01)
        assert reads.duv == pytest.approx(0.001, abs=0.001)
        assert reads.lux == pytest.approx(800, rel=0.05)
        assert made.doubt > 0.0005

    def test_it_is_advised_like_one_that_was_read_bare(self):
        seen = predicted("CTB 1/2").after
        behind_it = {"xy": [seen.x, seen.y], "gels": ["CTB 1/2"]}
        asked = {
            "target": {"cct": 5600},
            "accuracy": {"meter_cct_percent": 0.4, "meter_duv": 0.0002, "gel_percent": 7},
            "sources": [{"name": "Lamp", "kind": "led-white", "readings": [behind_it], "hung": ["CTB 1/2"]}],
        }
        [found] = advise(AdviceRequest.model_validate(asked), SHIPPED).sources
        bare = answer().stacks
        assert found.stacks[0].gels in [stack.gels for stack in bare[:3]]
        assert found.needed.mired == pytest.approx(answer().needed.mired, abs=5)
        assert entry(found, "CTB 1/2").read is not None

    def test_without_any_reading_it_is_refused_at_its_place(self):
        asked = {"target": {"cct": 5600}, "sources": [{"name": "Lamp", "kind": "led-white"}]}
        with pytest.raises(ValidationError) as no:
            AdviceRequest.model_validate(asked)
        assert no.value.errors()[0]["loc"][-1] == "reading"

    def test_gels_that_the_table_does_not_have_leave_it_without_advice(self):
        only = source(behind("Straw full", cct=2800, duv=0.0), reading=UNREAD)
        with pytest.raises(Refused, match="no bare reading"):
            prepare(only, gel_arrays_of(tuple(SHIPPED)), white_of(TARGET, []))


class TestLevels:
    """A lamp that is dimmed is another light: what was read at full stays at full."""

    FULL, LOW = 100.0, 20.0

    def known(self, *readings, level, reading):
        gel_arrays = gel_arrays_of(tuple(SHIPPED))
        lamp = Source(name="Lamp", kind=Kind.TUNGSTEN, reading=reading, readings=list(readings), level=level)
        bare = prepare(lamp, gel_arrays, white_of(TARGET, []))
        return judge_of(bare, gel_arrays, Limits(accuracy=ACCURACY)), gel_arrays

    def test_a_reading_of_no_level_was_taken_at_that_of_the_bare_one_before_it(self):
        full = Reading(cct=2900, duv=0.0, level=self.FULL)
        low = Reading(cct=2450, duv=-0.001, level=self.LOW)
        seen = behind("CTB full", cct=5000, duv=0.002)  # nobody noted the level
        judge, gel_arrays = self.known(full, seen, level=self.LOW, reading=low)
        assert judge.read(np.array([gel_arrays.find(["CTB full"])])) == {}
        judge, gel_arrays = self.known(full, seen, level=self.FULL, reading=low)
        assert judge.read(np.array([gel_arrays.find(["CTB full"])]))

    def test_behind_gels_at_a_level_that_nobody_read_bare_the_light_follows(self):
        """Tungsten at a fifth, metered behind full CTB only: as warm as that says, and no weak gel."""
        gel_arrays = gel_arrays_of(tuple(SHIPPED))
        full = Reading(cct=2900, duv=0.0, level=self.FULL)
        low = Source(name="Low", kind=Kind.TUNGSTEN, reading=Reading(cct=2450, duv=-0.001))
        seen = predicted("CTB full", of=low).after
        at_low = Reading(xy=(seen.x, seen.y), gels=["CTB full"], level=self.LOW)
        lamp = Source(name="Lamp", kind=Kind.TUNGSTEN, reading=full, readings=[at_low], level=self.LOW)
        more = ["CTB full", "CTB 1/2"]
        now, true = predicted(*more, of=lamp).after, predicted(*more, of=low).after
        assert 1e6 / now.cct == pytest.approx(1e6 / true.cct, abs=12)
        bare = prepare(lamp, gel_arrays, white_of(TARGET, []), in_use(lamp))
        known = posterior(bare, gel_arrays, ACCURACY)
        assert known.loose and off_labels([known, known], gel_arrays, ACCURACY) is not None
