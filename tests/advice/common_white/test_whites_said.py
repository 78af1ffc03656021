"""Which white all go to: what is advised against the present one, and what is said of it."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from advisor.advice.common_white import wording as say
from advisor.advice.common_white.find import common_whites
from advisor.advice.common_white.options import Part, all_nearer, plainly_better
from advisor.advice.wording.ladder import TRADE, ladder_of
from advisor.model import (
    Gel,
    Limits,
    Predicted,
    Reading,
    Seen,
    Stage,
    Target,
    Work,
)
from advisor.model.sets.phrases import white as named
from tests.advice.green_ceiling import ROWS
from tests.advice.rows import source
from tests.web.page import plain

SHOWS = Seen.SHOWS


def part(name, sheets=1, lost=0.0, lux=100.0, *, off=False, seen=None, steps=9.0):
    """A source at a white, with nothing of it but what is counted; `off` is obviously so."""
    seen = seen or (Seen.OBVIOUS if off else Seen.CLOSE)
    miss = SimpleNamespace(steps=1.0 if seen is Seen.CLOSE else steps)
    return Part(name, SimpleNamespace(stops=lost, miss=miss), sheets, sheets, seen, off, lux)


class TestWorthIt:
    """A white is only advised where it is better than the present one by more than a layer weighs, 0.5."""

    def weighed(self, two, present, *best):
        """The present white has two cuts, and the others one."""
        option, less = (replace(two.present, parts=(part("Lamp", sheets),)) for sheets in (2, 1))
        return replace(
            two,
            present=None if present is None else replace(option, value=present),
            best=tuple(replace(less, value=value) for value in best),
        )

    @pytest.mark.parametrize(
        ("there", "worth"),
        [
            ([part("A", 1), part("B", 2)], True),
            ([part("A", 2), part("B", 2)], False),
            ([part("A", 2), part("B", 2, -0.4)], False),
            ([part("A", 2, -0.6), part("B", 2, -0.6)], True),
            ([part("A", 2, -0.6), part("B", 2, -0.6, None)], False),
            ([part("A", 0), part("B", 0, off=True)], False),
        ],
        ids=["a cut less", "as many", "too little light", "half a stop", "not metered", "newly off"],
    )
    def test_only_for_cuts_or_light_and_for_nobody_newly_off(self, two, there, worth):
        present = replace(two.present, value=10.0, parts=(part("A", 2), part("B", 2)))
        other = replace(present, value=5.0, parts=tuple(there))
        assert plainly_better(other, present) is worth

    def test_a_source_fewer_off_is_worth_it(self, two):
        present = replace(two.present, value=10.0, parts=(part("A"), part("B", off=True)))
        assert plainly_better(replace(present, value=5.0, parts=(part("A"), part("B"))), present)

    @pytest.mark.parametrize(("steps", "worth"), [(17.2, False), (12.1, False), (11.9, True), (7.9, True)])
    def test_not_for_cuts_or_light_where_who_is_off_comes_further_off(self, two, steps, worth):
        """A window without gel drifted off: the set is not led away from it for two cuts."""
        now = replace(two.present, value=10.0, parts=(part("A", 3), part("W", 0, off=True)))
        there = (part("A", 1, -0.6), part("W", 0, off=True, steps=steps))
        assert plainly_better(replace(now, value=5.0, parts=there), now) is worth

    def test_a_source_fewer_off_is_worth_another_further_off(self, two):
        now = replace(two.present, value=10.0, parts=(part("A", off=True), part("W", off=True)))
        there = replace(now, value=5.0, parts=(part("A"), part("W", off=True, steps=17.0)))
        assert plainly_better(there, now)
        assert say.costs(there, now) == ["W further off"]

    def test_who_only_may_be_off_is_not_brought_in(self, two):
        now = replace(two.present, value=10.0, parts=(part("A"), part("B", off=True)))
        unsure = replace(now, value=5.0, parts=(part("A"), part("B", seen=Seen.SHOWS)))
        assert not plainly_better(unsure, now)

    def test_the_light_at_the_subject_adds_up_as_lux_do(self, two):
        """Half of 300 lx and all of 100 lx are 250 of 400 lx: log2(400 / 250) = 0.678 stop, hand-worked."""
        lit = (part("A", 1, 1.0, 300.0), part("B", 0, 0.0, 100.0), part("C", 3, 5.0, 0.0))
        assert replace(two.present, parts=lit).at_subject == pytest.approx(0.678, abs=1e-3)

    @pytest.mark.parametrize(("best", "worth"), [(9.25, True), (9.5, False), (9.75, False), (11.0, False)])
    def test_by_more_than_a_layer(self, two, best, worth):
        assert (self.weighed(two, 10.0, best).advised is not None) is worth

    def test_where_there_is_no_present_one_any_is(self, two):
        assert self.weighed(two, None, 50.0).advised is not None
        assert self.weighed(two, None).advised is None
        assert self.weighed(two, 10.0).advised is None


class TestWords:
    def test_names(self):
        narrow = "\N{NARROW NO-BREAK SPACE}"
        said = plain(named(Target(cct=4700, tint=9)))
        assert said == f"4{narrow}700 K daylight, camera taking out 9 CC of green"
        assert plain(named(Target(cct=3200, locus="planckian", tint=-4))).endswith(
            "taking out 4 CC of magenta"
        )
        off = Target(source="Key", duv_offset=0.004)
        assert named(off) == "the white of Key, Duv +0.0040 off it"

    def test_what_one_saves_another_costs(self, ceiling):
        best, now = ceiling.best[0], ceiling.present
        sheets = now.sheets - best.sheets
        assert plain(say.saves(best, now)[0]) == f"{sheets} cuts fewer"
        assert f"{sheets} cuts more" in [plain(cost) for cost in say.costs(now, best)]
        assert say.saves(now, now) == []
        assert say.costs(best, now) == []

    def test_a_white_that_costs_more_in_all_is_not_offered(self, two):
        """“Nothing saved, 1.6 stops more lost” is no offer: who stays loses nothing."""
        now = replace(two.present, value=10.0)
        dearer, cheaper = (replace(now, value=value) for value in (10.0, 9.0))
        assert replace(two, present=now, best=(dearer, cheaper)).offered == (cheaper,)
        assert replace(two, present=None, best=(dearer, cheaper)).offered == (dearer, cheaper)

    def test_the_advised_one_is_number_one(self, two):
        """A white that costs less but leaves somebody off is no advice, and comes behind it."""
        now = replace(two.present, value=10.0, parts=(part("A", 2), part("B", 2)))
        off = replace(now, value=3.0, parts=(part("A", 0), part("B", 0, off=True)))
        advised = replace(now, value=5.0, parts=(part("A", 1), part("B", 1)))
        found = replace(two, present=now, best=(off, advised))
        assert found.advised is advised and found.offered == (advised, off)

    def test_the_headline_says_the_light_too(self, ceiling):
        stops = ceiling.present.stops - ceiling.best[0].stops
        assert plain(say.headline(ceiling)).endswith(f" fewer, {abs(stops):.1f} stops less lost")

    def test_the_worst_cost_is_in_the_same_sentence(self, two):
        now = replace(two.present, value=10.0, parts=(part("A", 3), part("B"), part("C", off=True)))
        parts = (part("A", 3), part("B"), part("C", off=True), part("D", off=True))
        now, doubted = replace(now, parts=parts), part("B", 2, seen=Seen.SHOWS)
        there = replace(now, value=5.0, parts=(part("A", 3, 0.6), doubted, part("C"), part("D")))
        said = plain(say.headline(replace(two, present=now, best=(there,))))
        cost = "but B is a bit off"
        assert said.endswith(f": 1 source fewer left off, {cost}")
        assert len(said.split()) <= 18, "the rest is told in the list"
        light = replace(there, parts=(part("A", 1, 0.6), part("B", 1, 0.0)))
        said = plain(
            say.headline(replace(two, present=replace(now, parts=(part("A", 3), part("B"))), best=(light,)))
        )
        assert said.endswith(": 2 cuts fewer, but 0.6 stop more lost")

    def test_who_is_off_now_is_no_cost_of_another_white(self, two):
        """“But B won’t match” sounds as if it would at the present one."""
        parts = (part("A", 3), part("B", off=True), part("C", seen=Seen.SHOWS), part("D"))
        now = replace(two.present, value=10.0, parts=parts)
        there = replace(now, value=5.0, parts=(part("A", 1), *parts[1:3], part("D", seen=Seen.SHOWS)))
        assert say.costs(there, now) == ["D is a bit off"]
        assert say.still_off(there, now) == "Still off: B and C"
        assert say.costs(there, None) == ["B is obvious", "C and D are a bit off"]
        assert say.still_off(now, None) == "" == say.still_off(replace(now, parts=(part("A"),)), now)

    def test_who_comes_further_off_is_named_first_and_once(self, two):
        parts = (part("A", 3), part("W", 0, off=True), part("S", off=True))
        now = replace(two.present, value=10.0, parts=parts)
        away = (part("A", 1, 0.5), part("W", 0, off=True, steps=17.2), part("S", off=True, steps=10.0))
        there = replace(now, value=5.0, parts=away)
        assert [plain(one) for one in say.costs(there, now)] == ["W further off", "0.5 stop more lost"]
        assert say.still_off(there, now) == "Still off: S"
        both = replace(there, parts=(*away[:2], part("S", off=True, steps=18.0)))
        for other, who in ((there, "W is further off"), (both, "S and W are further off")):
            said = plain(say.headline(replace(two, present=now, best=(other,))))
            assert said.endswith(f": at white 1 {who}")

    def test_how_many_fewer_are_off_and_who_still_is_go_by_one_judgement(self, two):
        """“3 sources fewer left off” of three, and then “Still off, or may be”, is no sense."""
        off = (part("W", off=True), part("T", off=True), part("H", off=True))
        now = replace(two.present, value=10.0, parts=off)
        then = (part("W"), part("T", seen=Seen.SHOWS), part("H", seen=Seen.SHOWS))
        there = replace(now, value=5.0, parts=then)
        assert [plain(one) for one in say.saves(there, now)] == ["1 source fewer left off"]
        assert say.still_off(there, now) == "Still off: T and H"

    def test_to_stay_says_why_a_white_that_costs_less_is_not_worth_it(self, two):
        now = replace(two.present, value=10.0, parts=(part("A", 3), part("B", 1)))
        off = replace(now, value=5.0, parts=(part("A", 1), part("B", 1, off=True)))
        little = replace(now, value=9.8, parts=(part("A", 3), part("B", 1)))
        dearer = replace(now, value=9.8, parts=(part("A", 3, -0.2), part("B", 2)))
        brighter = replace(now, value=9.8, parts=(part("A", 3, -1.6), part("B", 2)))
        unsure = replace(now, value=9.8, parts=(part("A", 3), part("B", 1, seen=Seen.SHOWS)))
        tinted = replace(off, parts=(part("A", 1),), target=Target(cct=4000, tint=8))
        for other, why in (
            (off, "at white 1 B is obvious"),
            (little, "white 1 saves too little"),
            (dearer, "white 1 saves too little for 1 cut more"),
            (brighter, "white 1 saves 1.6 stops over all heads, too little for 1 cut more"),
            (unsure, "at white 1 B is a bit off"),
            (tinted, "white 1 needs a camera tint"),
        ):
            said = plain(say.headline(replace(two, present=now, best=(other,), tints=False)))
            assert said == plain(f"Stay at {named(two.present.target)}: {why}")

    def test_the_present_white_names_all_who_are_told_as_off(self, two):
        parts = (part("A", off=True), part("B", seen=Seen.SHOWS), part("C"))
        now = replace(two.present, parts=parts)
        assert say.costs(now, None) == ["A is obvious", "B is a bit off"]
        metered = replace(now, parts=(replace(parts[1], seen=Seen.CLOSE),))
        assert say.costs(metered, None) == []

    def test_none_is_said_to_be_left_that_is_told_as_a_bit_off(self, two):
        now = replace(two.present, value=10.0, parts=(part("A", 3), part("B", 1, off=True)))
        unsure = part("B", 1, seen=Seen.SHOWS)
        there = replace(now, value=5.0, parts=(part("A", 3), unsure))
        assert say.saves(there, now) == []
        assert (say.costs(there, now), say.still_off(there, now)) == ([], "Still off: B")
        sure = replace(now, value=5.0, parts=(part("A", 3), part("B", 1)))
        assert say.saves(sure, now) == ["no source left off"]

    def test_the_headline_follows_from_the_list(self, two):
        """To stay left two off, to go one: “Stay: at white 1 B won’t match” is no answer."""
        now = replace(two.present, value=10.0, parts=(part("A", off=True), part("B"), part("W", seen=SHOWS)))
        there = replace(now, value=5.0, parts=(part("A"), part("B", seen=SHOWS), part("W")))
        found = replace(two, present=now, best=(there,))
        assert plain(say.saves(there, now)[0]) == "1 source fewer left off"
        assert plain(say.headline(found)).endswith(": 1 source fewer left off, but B is a bit off")
        as_many = replace(there, parts=(part("A", off=True), part("B", seen=SHOWS), part("W")))
        assert plain(say.headline(replace(found, best=(as_many,)))).endswith(": at white 1 B is a bit off")
        plainly = replace(there, parts=(part("A"), part("B", off=True), part("W")))
        assert plain(say.headline(replace(found, best=(plainly,)))).endswith(": at white 1 B is obvious")

    def test_all_come_nearer_only_where_all_do(self, two):
        now = replace(two.present, parts=(part("A", seen=SHOWS, steps=6.0), part("B")))
        nearer = replace(now, parts=(part("A", seen=SHOWS, steps=5.0), part("B")))
        further = replace(now, parts=(part("A", seen=SHOWS, steps=6.5), part("B")))
        newly = replace(now, parts=(part("A"), part("B", seen=SHOWS, steps=1.0)))
        assert [all_nearer(one, now) for one in (nearer, further, newly)] == [True, False, False]

    def test_who_is_off_is_named_the_furthest_first(self):
        far = [source("Lamp", "tungsten", 2700.0, 0.0), source("Sun", "daylight", 5000.0, 0.003)]
        whites = common_whites(far, Target(cct=9000), Limits(max_layers=1), ROWS)
        lamp, sun = whites.present.off
        assert lamp.stack.miss.steps > sun.stack.miss.steps
        assert say.costs(whites.present, None) == ["Lamp is obvious", "Sun is a bit off"]

    def test_what_was_read_close_behind_what_hangs_is_not_said_to_miss(self):
        """The prediction says that it is off; the meter says that it is not."""
        lamp = source("Lamp", "tungsten", 2700.0, 0.0)
        target, limits = Target(cct=5600), Limits(max_layers=1)
        assert say.costs(common_whites([lamp], target, limits, ROWS).present, None) == ["Lamp is obvious"]
        found = Reading(cct=5560, duv=0.0032, gels=["CTB full"])
        predicted = Predicted(cct=5200, duv=0.002, uncertainty_steps=3.0)
        hung = Work(stage=Stage.HUNG, gels=["CTB full"], predicted=predicted, read_bare=lamp.reading)
        for work in (
            hung.model_copy(update={"read_behind": found}),
            hung.model_copy(update={"stage": Stage.CONFIRMED, "steps_off": 40.0}),
        ):
            read = lamp.model_copy(update={"work": work})
            whites = common_whites([read], target, limits, ROWS)
            assert say.costs(whites.present, None) == []
        off = hung.model_copy(update={"read_behind": Reading(cct=4600, duv=0.003, gels=["CTB full"])})
        whites = common_whites([lamp.model_copy(update={"work": off})], target, limits, ROWS)
        assert say.costs(whites.present, None) == ["Lamp is obvious"]

    def test_a_little_tint_only_needs_a_check(self):
        said = plain(say.caveat(Target(cct=4700, tint=2), TRADE))
        assert said.startswith("Check that the camera can take out 2 CC of green")
        assert "practicals too" in said
        assert say.caveat(Target(cct=4700), TRADE) == ""
        assert say.caveat(Target(cct=4700, tint=-8), TRADE).startswith("Everything goes magenta")

    def test_from_an_eighth_on_everything_goes_green(self):
        # 3.5 CC is an eighth: common practice, no source; on this truck 5.
        mine = ladder_of([Gel(family="Plus green", fraction="1/8", cc=5.0)])
        said = [say.caveat(Target(cct=4700, tint=4), ladder)[:10] for ladder in (TRADE, mine)]
        assert said == ["Everything", "Check that"]
