"""What was decided for a head, after a swap and for another white."""

import numpy as np
import pytest

from advisor.advice.plan.light import uv_behind
from advisor.advice.plan.needs import Needs, needs_of
from advisor.advice.plan.questions import by_hand
from advisor.colour.observer.cct import uv_of_cct_duv
from advisor.colour.observer.chromaticity import delta_uv_prime
from advisor.model import Stage, Target
from advisor.web.pictures.light_path import light_path_of
from advisor.web.wording.work import doing
from tests.advice.decided import hung_as
from tests.advice.lamps import hung, lamp, looked, plan, planckian, read
from tests.web.page import plain


def uv_after(entry):
    return uv_of_cct_duv(np.array(entry.after.cct), np.array(entry.after.duv))


class TestAfterASwap:
    """A lamp that read 3 200 K bare, and behind its gels showed that it is none of that."""

    @pytest.fixture
    def swapped(self):
        gels = ["CTB full"]
        source = hung(lamp(planckian(3200)), gels, looked(read(planckian(2950), gels)))
        result = plan(source).alone.swap.result
        return hung_as(source, result), result

    def test_the_picture_goes_by_what_was_seen(self, swapped):
        source, promised = swapped
        made = plan(source)
        by_bare_alone = uv_after(by_hand(made, 0, promised.gels))
        assert float(delta_uv_prime(uv_after(promised), by_bare_alone)) / 0.0011 > 3
        assert float(delta_uv_prime(uv_behind(made, 0), uv_after(promised))) / 0.0011 < 0.05
        stacks = made.alone.best, by_hand(made, 0, promised.gels)
        shown = [light_path_of(made, 0, stack) for stack in stacks]
        assert shown[0].after != shown[1].after

    def test_with_a_new_bare_reading_it_goes_by_that(self, swapped):
        source, promised = swapped
        read_again = source.model_copy(update={"reading": read(planckian(3000))})
        made = plan(read_again)
        assert not made.alone.known
        by_bare_alone = uv_after(by_hand(made, 0, promised.gels))
        assert float(delta_uv_prime(uv_behind(made, 0), by_bare_alone)) / 0.0011 < 0.2


class TestForAnotherWhite:
    WARM = Target(cct=3200, locus="planckian")

    def kept(self, stage, gels=("CTO full", "CTO 1/8")):
        """A daylight source whose stack to 3 200 K was decided when that was wanted."""
        source = lamp(planckian(5600), "unknown")
        return hung_as(source, by_hand(plan(source, target=self.WARM), 0, list(gels)), stage)

    def test_a_plan_for_it_holds(self):
        head = plan(self.kept(Stage.PLANNED), target=self.WARM).alone
        assert not head.outdated and doing(head).startswith("Planned: hang")
        assert needs_of(head) is Needs.HANG

    def test_a_plan_for_another_says_so(self):
        head = plan(self.kept(Stage.PLANNED), target=Target(cct=4300, locus="planckian")).alone
        assert head.outdated and head.change is None
        said = plain(doing(head))
        assert said.startswith("Planned: hang full CTO and ⅛ CTO. Out of date, now hang")
        assert needs_of(head) is Needs.HANDS

    def test_what_hangs_is_changed_as_little_as_can_be(self):
        """Of the first and those that look the same, the one with the fewest gels to take off and to add."""
        source = self.kept(Stage.HUNG)
        made = plan(source, target=Target(cct=4300, locus="planckian"))
        head, swap = made.alone, made.alone.swap
        assert swap.some and not head.outdated
        first, *others = head.advice.stacks
        alike = [first, *(stack for stack in others if stack.same_as == 0)]

        def touched(stack):
            hanging, wanted = list(source.work.gels), list(stack.gels)
            both = [g for g in set(hanging) for _ in range(min(hanging.count(g), wanted.count(g)))]
            return len(hanging) + len(wanted) - 2 * len(both)

        assert len(swap.off) + len(swap.on) == min(touched(stack) for stack in alike)
