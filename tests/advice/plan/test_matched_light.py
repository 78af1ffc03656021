"""A set that goes to the white of one of its sources goes to the light that this has by now.

The window and the bulb are invented: CIE daylight and a Planckian radiator, behind sheets that are as their
labels say.
"""

import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.plan import make
from advisor.advice.readings.target import white_of
from advisor.colour.observer.chromaticity import steps_apart
from advisor.colour.observer.loci import daylight
from advisor.model import AdviceRequest, Reach, Reading, Setting, Source, Stage, Target, Work
from tests.advice.lamps import SHIPPED, lamp, looked, plan, planckian, read

MORNING, NOON = 5250.0, 5900.0
TO_WINDOW = Target(source="Window")


def window(*later, gels=("CTO 1/4",)):
    """A window that was read bare and behind gel in the morning, and behind the same gel at noon."""
    bare = read(daylight(MORNING), lux=900.0)
    behind = [looked(read(daylight(cct), gels, lux=900.0)) for cct in (MORNING, NOON)]
    work = Work(stage=Stage.HUNG, gels=gels, read_bare=bare, read_behind=behind[-1])
    source = Source(name="Window", kind="daylight", reading=later[-1] if later else bare, work=work)
    return source.model_copy(update={"readings": [bare, *behind, *later]})


def bulb():
    return lamp(planckian(3200.0)).model_copy(update={"name": "Bulb"})


def test_the_target_is_the_light_that_the_page_of_the_window_tells():
    there = plan(window(), bulb(), target=TO_WINDOW)
    own = there.heads[0]
    assert own.worked_out and own.white.cct == pytest.approx(NOON, rel=0.01)
    assert steps_apart(there.target.uv, own.white.uv) < 0.5
    bare = next(stack for stack in own.advice.stacks if not stack.gels)
    assert bare.miss.steps == pytest.approx(0.0, abs=0.01), "bare, it is what all others go to"


def test_others_go_where_they_would_with_the_window_read_bare_at_noon():
    known = plan(window(read(daylight(NOON), lux=900.0)), bulb(), target=TO_WINDOW)
    guessed = plan(window(), bulb(), target=TO_WINDOW)
    assert guessed.heads[1].first.gels == known.heads[1].first.gels


def panel(**read):
    """A panel that was set to 4 450 K and read so, and once more with its green dial turned."""
    turned = Reading(cct=4420, duv=-0.0062, dial=Setting(cct=4450, green=-2))
    was = Reading(cct=4405, duv=0.0004, dial=Setting(cct=4450))
    work = Work(stage=Stage.CONFIRMED, dial=Setting(cct=4450), read_behind=was, **read)
    reach = Reach(cct_from=2700, cct_to=6500, green_from=-5, green_to=5)
    first = Reading(cct=5520, duv=0.0006, dial=Setting(cct=5600))
    own = {"reading": turned, "readings": [first, was], "reach": reach, "work": work}
    return Source(name="Panel", kind="led-white", **own)


@pytest.mark.parametrize(("turned", "cct", "duv"), [(False, 4405, 0.0004), (True, 4420, -0.0062)])
def test_a_panel_is_matched_as_it_was_read_as_set_or_as_it_was_turned(turned, cct, duv):
    """What only teaches the dials moves no target; once somebody set them back, it is as it was set."""
    read = {"read_turned": panel().reading} if turned else {}
    there = plan(panel(**read), bulb(), target=Target(source="Panel"))
    assert (there.target.cct, there.target.duv) == (cct, duv)


def test_a_program_that_asks_is_told_the_same_as_the_page():
    """The API's whole way goes by the same light: the morning's would be six hundred kelvins lower."""
    there = plan(window(), bulb(), target=TO_WINDOW)
    request = AdviceRequest(
        target=TO_WINDOW, sources=[window(), bulb()], accuracy=there.limits.accuracy.model_dump()
    )
    told = advise(request, SHIPPED).sources[1]
    assert told.needed.mired == pytest.approx(there.heads[1].advice.needed.mired, abs=1.0)
    assert abs(told.needed.mired) == pytest.approx(1e6 / 3200.0 - 1e6 / NOON, abs=3.0)


def test_a_tint_and_an_offset_go_by_the_light_of_now_too():
    there = plan(window(), bulb(), target=Target(source="Window", duv_offset=0.004, tint=3.5))
    plain = plan(window(), bulb(), target=TO_WINDOW)
    assert there.target.duv - plain.target.duv == pytest.approx(0.004 + 3.5 / 1000.0, abs=1e-6)


def test_a_window_of_which_the_light_stayed_is_matched_as_read():
    bare = Reading(cct=5222.0, duv=0.003)
    source = window().model_copy(update={"reading": bare, "readings": [bare], "work": None})
    there = plan(source, bulb(), target=TO_WINDOW)
    assert there.target.cct == white_of(TO_WINDOW, [source]).cct == 5222.0


@pytest.mark.parametrize(("later", "times"), [((), 2), ((NOON,), 1)])
def test_the_window_is_made_ready_once_for_each_white_that_it_is_brought_to(later, times, monkeypatch):
    """What it reads by now does not depend on where it goes: only a target that moved asks it anew."""
    asked, ready_each = [], make.ready_each

    def counted(some, white, *rest):
        asked.extend((source.name, white.cct) for source, _ in some)
        return ready_each(some, white, *rest)

    monkeypatch.setattr(make, "ready_each", counted)
    plan(window(*(read(daylight(cct), lux=900.0) for cct in later)), bulb(), target=TO_WINDOW)
    assert len(asked) == len(set(asked)) == times + 1
