"""Another fraction hung by mistake: how near it has to come to the reading, in colour and in light."""

from dataclasses import replace

import numpy as np
import pytest

from advisor.advice.after_hanging.far_off import FarOff
from advisor.advice.after_hanging.slip import Slip, Slips
from advisor.advice.after_hanging.wrong_gel import mistake
from advisor.advice.answer.one_stack import predict_stack
from advisor.advice.readings.chromaticity import measure
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.model import Predicted, Reading, Source, Stage, Target, Work
from advisor.web.views.odd_reading import ways_wrong
from advisor.web.wording.work import check_first
from tests.advice.lamps import LIMITS, RACK, SHIPPED, TARGET, checked, lamp, plan, planckian, read
from tests.advice.lamps import hung as hung_on
from tests.web.page import plain

ROWS = [row.model_copy(update={"on": True, "stock": None}) for row in SHIPPED]
"""The shipped table with every row in use: most trucks have no 3/4."""
IN_USE = gel_arrays_of(tuple(ROWS))
SOURCE = lamp(planckian(3200), lux=1000.0)
BARE = prepare(SOURCE, RACK, white_of(TARGET, []))


def predicted(*gels):
    return predict_stack(BARE, LIMITS, RACK, list(gels)).after


def steps(one, other):
    """How far two whites are apart, in steps of 0.0011 Δu′v′."""
    u, v = measure(one).uv - measure(other).uv
    return float(np.hypot(u, 1.5 * v)) / 0.0011


def found_behind(*gels, warmer=0.0, stops=0.0, green=0.0):
    """Return what a meter reads that is so much off the prediction for a stack."""
    true = predicted(*gels)
    cct = 1e6 / (1e6 / true.cct + warmer)
    return Reading(cct=cct, duv=true.duv + green / 1000, lux=true.lux * 2**stops)


def test_a_sheet_of_several_that_is_not_up_is_asked_about_where_that_explains_it_best():
    stack = ["CTB 1/8", "Minus green 1/8", "Minus green 1/8"]
    source = lamp(planckian(4000, slope=-0.2), kind="led-white")
    found = read(planckian(4000, slope=-0.2), stack[:2]).model_copy(update={"gels": stack})
    check = checked(hung_on(source, stack, found))
    assert (check.mistake.of, check.mistake.instead) == ("Minus green 1/8", "")
    assert plain(check_first(check)) == "Is one not up? It reads as without ⅛ minus green."
    taps = [(tap.words, dict(tap.fields)) for tap in ways_wrong(check, Work(gels=stack))]
    assert [(plain(words), fields["instead"]) for words, fields in taps] == [
        ("All are up", "Minus green 1/8"),
        ("⅛ minus green was not up", "none"),
    ]


def asked(found, apart, allowed=100.0, hung=("CTB full",), lux=True):
    then = predicted(*hung)
    kept = Predicted(cct=then.cct, duv=then.duv, lux=then.lux if lux else None, uncertainty_steps=1.0)
    work = Work(stage=Stage.HUNG, gels=list(hung), predicted=kept, read_behind=found)
    return mistake(BARE, work, kept, found, measure(found), apart, allowed, IN_USE)


class TestColour:
    FOUND = found_behind("CTB 3/4", warmer=-5.0)
    AWAY = steps(FOUND, Reading(cct=predicted("CTB 3/4").cct, duv=predicted("CTB 3/4").duv))

    def test_it_comes_within_a_third_of_the_way_to_what_was_predicted(self):
        assert self.AWAY > 2
        got = asked(self.FOUND, apart=3 * self.AWAY * 1.02)
        assert (got.of, got.instead) == ("CTB full", "CTB 3/4")
        assert asked(self.FOUND, apart=3 * self.AWAY * 0.98) is None

    def test_and_within_what_is_allowed(self):
        assert asked(self.FOUND, 100.0, allowed=self.AWAY * 1.02).instead == "CTB 3/4"
        assert asked(self.FOUND, 100.0, allowed=self.AWAY * 0.98) is None

    @pytest.mark.parametrize("hung", ["CTB 1/8", "CTB 1/4", "CTB full"])
    @pytest.mark.parametrize("really", ["CTB 1/8", "CTB 1/4", "CTB 1/2", "CTB 3/4", "CTB full"])
    def test_of_all_fractions_the_nearest_is_named(self, hung, really):
        got = asked(found_behind(really), apart=300.0, hung=(hung,))
        if hung != really:
            assert (got.of, got.instead) == (hung, really)

    def test_no_other_family_is_looked_at(self):
        found, then = found_behind("CTO 1/8"), predicted("Plus green 1/8")
        apart = steps(found, Reading(cct=then.cct, duv=then.duv))
        assert asked(found, apart=apart, hung=("Plus green 1/8",)) is None

    @pytest.mark.parametrize("hung", ["Plus green 1/8", "Minus green 1/8"])
    def test_the_opposite_green_of_the_same_fraction_is(self, hung):
        other = {"Plus green 1/8": "Minus green 1/8", "Minus green 1/8": "Plus green 1/8"}[hung]
        got = asked(found_behind(other, green=0.3), apart=9.0, hung=(hung,))
        assert (got.of, got.instead) == (hung, other)

    def test_the_gel_is_asked_about_before_the_sign_of_duv(self):
        """The reading is right, and “It was Duv +…” would falsify it."""
        source = hung_on(lamp(planckian(5600)), ["Plus green 1/8"], Reading(cct=5600, duv=-0.0030))
        found = checked(source)
        assert found.mistake.instead == "Minus green 1/8"
        assert check_first(found).startswith("Check the gel")


class TestAnotherFamily:
    """⅛ plus green was said to hang beside the full CTB, and ¼ CTO did."""

    SAID = ("CTB full", "Plus green 1/8")

    def head(self, **read_so):
        light = planckian(3200)
        found = read(light, ["CTB full", "CTO 1/4"]).model_copy(update={"gels": [*self.SAID], **read_so})
        return plan(hung_on(lamp(light, lux=None), [*self.SAID], found)).alone

    def test_it_is_offered_with_the_reading_that_is_metered_again(self):
        check = self.head().check
        assert check.mistake is None and not check.gel_doubted
        assert plain(check_first(check)).endswith("Or is it ¼ CTO, not ⅛ plus green?")
        as_read, tap = list(ways_wrong(check, self.head().source.work))[:2]
        assert as_read.words.endswith("is right")
        assert (tap.about, tap.words) == ("gel", "It was ¼\N{NO-BREAK SPACE}CTO")

    def test_not_where_somebody_looked(self):
        again = self.head(gels_checked=True).check.far_off
        assert again is None or again.mistake is None

    @pytest.mark.parametrize(("typed", "gel"), [(0.4, 2.0), (2.0, 0.4)])
    def test_what_fits_better_is_offered_first(self, typed, gel):
        head = self.head()
        other = replace(head.check.far_off.mistake, away=gel)
        slip = Slip(Slips.SWAPPED, 5434.0, -0.0009, away=typed)
        check = replace(head.check, far_off=FarOff(slip, other))
        said = plain(check_first(check))
        _, *taps = [tap.about for tap in ways_wrong(check, head.source.work)]
        assert (said.index("Or 5") < said.index("Or is it")) is (typed < gel)
        assert taps == (["reading", "gel"] if typed < gel else ["gel", "reading"])


@pytest.mark.parametrize(
    ("kind", "of", "instead", "lined"),
    [
        ("fluorescent-triband", "Minus green 1/4", "Minus green 1/8", True),
        ("fluorescent-triband", "Minus green 1/8", "Minus green 1/4", False),
        ("led-white", "Minus green 1/4", "Minus green 1/8", False),
    ],
)
def test_narrow_lines_may_weaken_a_gel_for_green(kind, of, instead, lined):
    """What lies beside its bands it lets pass: common practice, no source."""
    tube = lamp(planckian(4000, slope=-0.2), kind=kind)
    bare = prepare(tube, RACK, white_of(TARGET, []))
    then, read_as = (predict_stack(bare, LIMITS, RACK, [name]).after for name in (of, instead))
    found = Reading(cct=read_as.cct, duv=read_as.duv, gels=[of])
    kept = Predicted(cct=then.cct, duv=then.duv, uncertainty_steps=1.0)
    work = Work(stage=Stage.HUNG, gels=[of], predicted=kept, read_behind=found)
    other = mistake(bare, work, kept, found, measure(found), 100.0, 60.0, IN_USE)
    assert (other.of, other.instead, other.or_lines) == (of, instead, lined)
    check = replace(checked(hung_on(tube, [of], found)), mistake=other, slip=None, far_off=None)
    check = replace(check, settled=False, on_edge=False, other_sign=None, apart=9.0, allowed=1.0)
    assert check_first(check).endswith("Or narrow lines weaken the gel.") is lined


TUBES = Source(name="Tubes", kind="fluorescent", reading=Reading(cct=4110, duv=0.011, lux=500))
BOTH = ["CTB 1/2", "Minus green 1/8"]


def test_what_the_lines_of_a_tube_may_do_is_no_gel_that_is_not_up():
    """The tubes' lines go green under blue: both sheets were up."""
    check = checked(hung_on(TUBES, BOTH, Reading(cct=5240, duv=0.0087, gels=BOTH)))
    assert check.allowed < check.apart < 1.5 * check.allowed
    assert check.mistake is None
    assert not check.odd
    assert not check.waits


def test_further_off_the_gel_is_asked_about_and_the_lines_with_it():
    check = checked(hung_on(TUBES, BOTH, Reading(cct=5300, duv=0.0122, gels=BOTH)))
    assert check.apart > 1.5 * check.allowed
    said = "Check the gel: it reads like ⅛ plus green, not ⅛ minus green. Or narrow lines weaken the gel."
    assert plain(check_first(check)) == said
    check = replace(check, mistake=replace(check.mistake, instead=""))
    said = "Is one not up? It reads as without ⅛ minus green. Or narrow lines weaken the gel."
    assert plain(check_first(check)) == said


@pytest.mark.parametrize(("away", "first"), [(0.2, "5"), (1.2, "Check the gel")])
def test_a_slip_that_fits_visibly_better_goes_before_the_gel(away, first):
    """A sheet is never quite its label: within half of the doubt, the gel stays first."""
    found = checked(hung_on(lamp(planckian(5600)), ["Plus green 1/8"], Reading(cct=5600, duv=-0.0030)))
    slip = Slip(Slips.SWAPPED, 5060.0, -0.003, away=away)
    check = replace(found, slip=slip, allowed=4.0, mistake=replace(found.mistake, away=3.0))
    assert check_first(check).startswith(first)
    as_said, then, *_ = ways_wrong(check, Work(stage=Stage.HUNG, gels=["Plus green 1/8"]))
    assert as_said.words.startswith("It is"), "what changes a reading never goes first"
    assert then.about == ("reading" if first == "5" else "gel")


class TestOnTheTruck:
    """Between 3/4 and 1/2, nearer to 3/4: what is not on the truck is likeliest only if nothing else is."""

    def named(self, **gone):
        rows = [row.model_copy(update=gone.get(row.name.split()[-1].replace("/", "_"), {})) for row in ROWS]
        rack = gel_arrays_of(tuple(rows))
        then = predicted("CTB full")
        kept = Predicted(cct=then.cct, duv=then.duv, uncertainty_steps=1.0)
        found = found_behind("CTB 3/4", warmer=8.0).model_copy(update={"lux": None})
        work = Work(stage=Stage.HUNG, gels=["CTB full"], predicted=kept, read_behind=found)
        return mistake(BARE, work, kept, found, measure(found), 300.0, 100.0, rack)

    @pytest.mark.parametrize("gone", [{"on": False}, {"stock": 0}])
    def test_another_that_explains_it_goes_before(self, gone):
        assert (self.named().instead, self.named().on_truck) == ("CTB 3/4", True)
        got = self.named(**{"3_4": gone})
        assert (got.instead, got.on_truck) == ("CTB 1/2", True)

    def test_alone_it_is_named_as_not_there(self):
        got = self.named(**{name: {"on": False} for name in ("3_4", "1_2", "1_4", "1_8")})
        assert (got.instead, got.on_truck) == ("CTB 3/4", False)


class TestLight:
    """Its light is no further off than the plan's own, or within 0.2 stop, two readings of one light."""

    def apart(self, stops):
        """Read as warm as behind 3/4, and so many stops off what 3/4 lets through."""
        return asked(found_behind("CTB 3/4", stops=stops), apart=30.0)

    def off(self):
        """How much more light 3/4 lets through than the full CTB."""
        return float(np.log2(predicted("CTB 3/4").lux / predicted("CTB full").lux))

    def test_within_a_fifth_of_a_stop_it_is(self):
        assert 0.2 < self.off() < 0.6
        assert self.apart(0.0) is not None and self.apart(0.19) is not None

    def test_as_bright_as_planned_it_is_not(self):
        """As bright as behind the full one, or darker: then 3/4 explains less than the plan."""
        assert self.apart(-self.off()) is None
        assert self.apart(-self.off() - 0.3) is None
        assert self.apart(-0.19) is not None

    def test_much_brighter_both_are_far_off_and_it_is_the_nearer(self):
        assert self.apart(1.0) is not None

    def test_without_light_colour_alone_decides(self):
        dark = found_behind("CTB 3/4", stops=-2).model_copy(update={"lux": None})
        assert asked(dark, apart=30.0).instead == "CTB 3/4"
        assert asked(found_behind("CTB 3/4", stops=-2), apart=30.0, lux=False).instead == "CTB 3/4"


@pytest.mark.parametrize(
    ("hung", "off", "says"),
    [
        ("CTB full", {"warmer": 24, "stops": 0.31}, "24 mired warmer and 0.3 stop brighter"),
        ("CTB 1/8", {"warmer": -24, "stops": -0.31}, "24 mired cooler and 0.3 stop darker"),
        ("CTB 1/8", {"warmer": 2, "green": 1.6}, "2 CC greener"),
        ("CTB 1/8", {"warmer": 4, "green": -1.6}, "4 mired warmer and 2 CC more magenta"),
        ("CTB 1/4", {"warmer": 2, "green": 0.4, "stops": 0.05}, "2 mired warmer"),
        (
            "CTB 1/4",
            {"warmer": 3, "green": 1.0, "stops": 0.12},
            "3 mired warmer, 1 CC greener and 0.1 stop brighter",
        ),
    ],
)
def test_it_says_how_the_reading_differs_leaving_out_what_nobody_tells(hung, off, says):
    found = found_behind(hung, **off)
    got = asked(found if "stops" in off else found.model_copy(update={"lux": None}), 300.0, hung=(hung,))
    assert plain(got.reads) == says


def test_a_reading_that_cannot_be_is_asked_about_and_nothing_is_told_for_the_case_that_it_is_right():
    """It read 5 010 K behind two sheets, then 7 750 K behind one of them: “add the other, then a bit off”."""
    bare, both = Reading(cct=6210, duv=0.0052), ["CTO 1/4", "Minus green 1/8"]
    before = Reading(cct=5010, duv=0.0027, gels=both)
    odd = Reading(cct=7750, duv=0.0058, gels=both[:1])
    work = Work(stage=Stage.HUNG, gels=both[:1], read_bare=bare, read_behind=odd)
    key = Source(name="Key", kind="discharge", reading=bare, readings=[bare, before, odd], work=work)
    head = plan(key, target=Target(cct=4800, locus="daylight")).alone
    assert head.check.odd and "¼ CTB, not ¼ CTO?" in plain(check_first(head.check))
    assert head.due is None and head.swap is None
