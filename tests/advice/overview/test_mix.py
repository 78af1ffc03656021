"""The mixture at the subject, against independent colour arithmetic, and which source spoils it most."""

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import reference

from advisor.advice.overview.mix import left_out, mix, tristimulus
from advisor.advice.overview.ratios import at_subject
from advisor.advice.plan.light import uv_behind
from advisor.advice.plan.make import make_plan
from advisor.colour.observer.chromaticity import delta_uv_prime, uv_of_xy
from advisor.model import Limits, Reading, Role, Source, Target
from tests.advice.rows import neutral, nominal, source

TABLE = nominal() + neutral()
ON_TARGET = {"kind": "daylight", "cct": 5600.0, "duv": 0.0033}


def plan(*sources, target=None):
    return make_plan(sources, target or Target(cct=5600), Limits(), TABLE)


def at(name, xy, lux, **extra):
    return Source(name=name, reading=Reading(xy=tuple(xy), lux=lux), **extra)


def xy_by_library(*lights):
    """Return x, y of lights, each (x, y, lux), added by the library's own x, y, Y arithmetic."""
    return colour.XYZ_to_xy(sum(colour.xyY_to_XYZ(light) for light in lights))


class TestMixture:
    @given(st.floats(0.01, 1e5), st.floats(0.01, 1e5))
    def test_two_illuminants_against_the_library(self, one, other):
        a, d65 = reference("cie-xy-A")["value"], reference("cie-xy-D65")["value"]
        got = tristimulus(uv_of_xy(np.array([a, d65])), np.array([one, other])).sum(axis=0)
        assert got == pytest.approx(colour.xyY_to_XYZ([*a, one]) + colour.xyY_to_XYZ([*d65, other]), rel=1e-9)

    def test_a_worked_example(self):
        # E (1/3, 1/3) at 100 lx: 100, 100, 100. x 0.4, y 0.4 at 100 lx: 100, 100, 50. The sum is 200, 200,
        # 150: x = y = 200/550.
        got = mix(plan(at("E", (1 / 3, 1 / 3), 100), at("Warm", (0.4, 0.4), 100)), gelled=False)
        assert (got.lux, got.parts) == (pytest.approx(200), (0, 1))
        assert got.uv == pytest.approx(uv_of_xy(np.array([4 / 11, 4 / 11])), abs=1e-12)

    def test_the_brighter_counts_for_more(self):
        a, d65 = reference("cie-xy-A")["value"], reference("cie-xy-D65")["value"]
        got = mix(plan(at("Lamp", a, 100), at("Window", d65, 900)), gelled=False)
        want = xy_by_library([*a, 100], [*d65, 900])
        assert got.uv == pytest.approx(uv_of_xy(want), abs=1e-9)
        cct, duv = colour.temperature.uv_to_CCT_Ohno2013(got.uv)
        assert got.cct == pytest.approx(cct, abs=1.0)
        assert got.duv == pytest.approx(duv, abs=2e-5)

    def test_one_source_is_its_own_mix(self):
        made = plan(source("Window", cct=6800.0, duv=0.004, lux=900))
        got = mix(made, gelled=False)
        assert (got.cct, got.duv) == (pytest.approx(6800), pytest.approx(0.004))
        assert got.spoiler is None
        assert got.words.startswith("obvious")

    def test_once_the_plan_hangs_it_is_made_of_what_is_behind_the_gels(self):
        made = plan(
            source("Lamp", "tungsten", 3200.0, 0.0, lux=800), source("Window", cct=6800.0, duv=0.004, lux=500)
        )
        got = mix(made, gelled=True)
        lights = [
            [*colour.UCS_uv_to_xy(uv_behind(made, i)), head.best.after.lux]
            for i, head in enumerate(made.heads)
        ]
        assert got.uv == pytest.approx(uv_of_xy(xy_by_library(*lights)), abs=1e-9)
        assert got.lux == pytest.approx(at_subject(made, gelled=True).lux)
        assert got.steps < 5 < mix(made, gelled=False).steps

    def test_off_target_in_steps_and_words(self):
        made = plan(source("Lamp", "tungsten", 3200.0, 0.0, lux=800))
        got = mix(made, gelled=False)
        assert got.steps == pytest.approx(
            float(delta_uv_prime(made.heads[0].white.uv, made.target.uv)) / 0.0011
        )
        # 5 600 K to 3 200 K is one full CTO; the daylight locus lies an eighth of green above
        assert got.words == "obvious: about a full CTB too warm, about an eighth too magenta"

    def test_matched_says_no_more(self):
        got = mix(plan(source("Window", cct=5600.0, duv=0.0033, lux=10)), gelled=False)
        assert got.steps < 0.3 and got.words == "matches"

    def test_patches_are_the_same_where_the_mix_is_the_target(self):
        made = plan(source("A", cct=5000.0, lux=10), target=Target(source="A"))
        got = mix(made, gelled=False)
        assert got.light == got.target
        far = mix(plan(source("A", "tungsten", 2800.0, 0.0, lux=10)), gelled=False)
        red, blue = int(far.light[1:3], 16), int(far.light[5:7], 16)
        assert red > blue + 40  # warm light to an eye that is set to daylight

    def test_too_far_from_white_is_said(self):
        # the straight line from candle red to the bluest white runs far below the curved Planckian locus
        red = source("Red", "unknown", 1000.0, 0.0, lux=100)
        blue = source("Blue", "unknown", 25000.0, -0.02, lux=100)
        made = plan(red, blue)
        got = mix(made, gelled=False)
        assert (got.cct, got.duv) == (None, None)
        assert got.words == "obvious: too far from white to have a CCT"
        assert got.steps > 20
        alone = mix(plan(red, blue, target=Target(source="Nobody")), gelled=False)
        assert alone.words == "too far from white to have a CCT"


class TestWhoTakesPart:
    def test_lights_elsewhere_do_not(self):
        made = plan(
            source("A", cct=5600.0, lux=10), source("B", "tungsten", 2800.0, 0.0, lux=999, on_subject=False)
        )
        assert mix(made, gelled=False).parts == (0,)
        assert left_out(made) == []

    def test_those_without_lux_or_white_are_named(self):
        made = plan(
            source("A", cct=5600.0, lux=10),
            source("Dark"),
            at("Unreal", (0.5, 0.51), 70),
            source("Far", on_subject=False),
        )
        assert mix(made, gelled=True).parts == (0,)
        assert [(o.i, o.name, o.why) for o in left_out(made)] == [
            (1, "Dark", "has no lux"),
            (2, "Unreal", "reads too far from white"),
        ]

    def test_one_that_nobody_read_at_its_level_is_no_colour_without_a_white(self):
        panel = source("Panel", cct=4470.0, lux=1500).model_copy(update={"level": 50.0})
        made = plan(source("A", cct=5600.0, lux=10), panel)
        assert [(o.name, o.why) for o in left_out(made)] == [("Panel", "was not read as it is used now")]

    def test_nothing_to_mix(self):
        for made in (plan(), plan(source("Dark")), plan(source("Far", lux=10, on_subject=False))):
            assert mix(made, gelled=False) is None and mix(made, gelled=True) is None

    def test_without_a_target_there_is_a_mix_but_no_distance(self):
        made = plan(source("A", cct=5600.0, duv=0.001, lux=10), target=Target(source="Nobody"))
        got = mix(made, gelled=False)
        assert (got.cct, got.duv) == (pytest.approx(5600), pytest.approx(0.001))
        assert (got.steps, got.light, got.target, got.spoiler, got.words) == (None, None, None, None, "")
        assert mix(made, gelled=True) is None


class TestSpoiler:
    def test_the_one_without_which_the_mix_is_nearest(self):
        made = plan(
            source("Window", **ON_TARGET, lux=500),
            source("Tubes", "fluorescent", 4200.0, 0.008, lux=100),
            source("Practical", "tungsten", 2700.0, 0.0, lux=20),
        )
        got = mix(made, gelled=False)
        assert (got.spoiler.i, got.spoiler.name) == (1, "Tubes")
        without = mix(plan(*(h.source for h in made.heads if h.source.name != "Tubes")), gelled=False)
        assert got.spoiler.steps == pytest.approx(without.steps)
        assert got.spoiler.nearer == pytest.approx(got.steps - without.steps)

    def test_within_the_tolerance_nothing_spoils_it(self):
        made = plan(
            source("Window", lux=1000, **ON_TARGET), source("Tubes", "fluorescent", 4100.0, 0.012, lux=50)
        )
        steps = mix(made, gelled=False).steps
        assert mix(made, gelled=False, tolerance=steps - 0.1).spoiler.name == "Tubes"
        assert mix(made, gelled=False, tolerance=steps + 0.1).spoiler is None

    def test_the_key_never_spoils_it(self):
        key = source("Key", cct=6500.0, duv=0.004, lux=1000, role=Role.KEY)
        made = plan(key, source("Fill", lux=300, **ON_TARGET))
        assert mix(made, gelled=False).spoiler is None

    def test_a_faint_one_far_off_spoils_less_than_a_bright_one_near(self):
        made = plan(
            source("Key", **ON_TARGET, lux=500),
            source("Practical", "tungsten", 2700.0, 0.0, lux=1),
            source("Panel", "led-white", 5000.0, 0.0, lux=400),
        )
        assert mix(made, gelled=False).spoiler.name == "Panel"

    def test_none_where_each_holds_the_others_in_place(self):
        # one cooler and one warmer, about as far: either by itself lies further off than both together
        made = plan(source("Cool", cct=6800.0, duv=0.004, lux=100), source("Warm", cct=4700.0, lux=100))
        assert mix(made, gelled=False).spoiler is None

    def test_none_where_all_are_alike(self):
        made = plan(*(source(name, "tungsten", 3200.0, 0.0, lux=100) for name in "ABC"))
        assert mix(made, gelled=False).spoiler is None

    def test_after_the_plan_it_may_be_another(self):
        tubes = source("Tubes", "fluorescent", 4200.0, 0.008, lux=100)
        kept = source("Left", "tungsten", 2700.0, 0.0, lux=30, aim={"leave": True})
        made = plan(source("Window", **ON_TARGET, lux=500), tubes, kept)
        assert mix(made, gelled=False).spoiler.name == "Tubes"
        assert mix(made, gelled=True).spoiler.name == "Left"

    @pytest.mark.parametrize("order", [(3, 2, 1, 0), (1, 0, 3, 2), (2, 3, 0, 1)])
    def test_the_order_of_the_sources_changes_nothing(self, order):
        heads = [
            source("Window", **ON_TARGET, lux=500),
            source("Tubes", "fluorescent", 4200.0, 0.008, lux=100),
            source("Practical", "tungsten", 2700.0, 0.0, lux=20),
            source("Panel", "led-white", 5200.0, -0.002, lux=300),
        ]
        got = mix(plan(*(heads[i] for i in order)), gelled=False)
        same = mix(plan(*heads), gelled=False)
        assert got.spoiler.name == same.spoiler.name
        assert got.steps == pytest.approx(same.steps, rel=1e-9)
