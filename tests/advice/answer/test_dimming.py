"""ND for a source that may not stand so far over the key: in the one ranking, with the colour."""

import math

import pytest

from advisor.advice.answer.advise import advise
from advisor.advice.answer.key_limit import dimmed
from advisor.advice.common_white.find import common_whites
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.advice.stacks.prediction import prepare
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import (
    Gel,
    Limits,
    Predicted,
    Reach,
    Reading,
    Refused,
    Role,
    Setting,
    Stage,
    Target,
    WantedOffset,
    Work,
)
from tests.advice.rows import FULL_CTO, asking, neutral, nominal, source

SHIPPED = shipped_gels().rows
COLOUR = nominal()
ON_TARGET = {"cct": 5600.0, "duv": 0.0033}


def key(lux=1000.0, name="Key", **extra):
    """Return a key that needs no gel."""
    return source(name, lux=lux, role=Role.KEY, **ON_TARGET, **extra)


def window(lux, limit=1.0, **extra):
    return source("Window", lux=lux, over_key=limit, **{"cct": 6800.0, "duv": 0.004, **extra})


def over(*sources, keys=None):
    """Return how far each source stands over its limit, the keys bare or giving `keys`. [lx]"""
    gel_arrays, white = gel_arrays_of(tuple(COLOUR)), white_of(Target(cct=5600), [])
    given = [s.reading.lux for s in sources if s.role is Role.KEY] if keys is None else keys
    return [bare.over for bare in dimmed([prepare(s, gel_arrays, white) for s in sources], given)]


def advised(*sources, rows=SHIPPED, **limits):
    return advise(asking(*sources, **limits), rows).sources


class TestHowMuch:
    @pytest.mark.parametrize(
        ("limit", "stops"),
        # 8 000 lx stand 3 stops over 1 000 lx
        [(1.0, 2.0), (0.0, 3.0), (-1.5, 4.5), (2.5, 0.5), (3.0, 0.0), (4.0, -1.0)],
    )
    def test_down_to_the_limit(self, limit, stops):
        assert over(key(), window(8000, limit)) == [None, pytest.approx(stops)]
        answer = advised(key(), window(8000, limit))[1]
        assert answer.least_stops == pytest.approx(max(stops, 0.0))

    def test_the_key_counts_behind_its_own_stack(self):
        assert over(key(), window(8000), keys=[500.0]) == [None, pytest.approx(3.0)]

    def test_several_keys_add_up(self):
        assert over(key(), key(3000, "Other"), window(8000, 0.0)) == [None, None, pytest.approx(1.0)]

    def test_without_the_lux_of_one_key_nothing_is_asked_for(self):
        assert over(key(), key(None, "Other"), window(8000)) == [None, None, None]

    def test_without_a_key_or_its_own_lux_nothing_is_asked_for(self):
        assert over(window(8000)) == [None]
        assert over(key(), window(None)) == [None, None]
        assert advised(window(8000))[0].least_stops == 0.0

    def test_without_a_limit_nothing_is_asked_for(self):
        assert over(key(), source(lux=8000)) == [None, None]

    def test_the_key_keeps_no_limit_of_its_own(self):
        assert over(key(over_key=-2.0), source(lux=1)) == [None, None]


class TestRanking:
    @pytest.mark.parametrize("limit", [1.0, 0.0, -1.0])
    def test_nd_hangs_with_the_colour(self, limit):
        _, answer = advised(key(), window(8000, limit, cct=7200.0))
        best = answer.stacks[0]
        assert answer.least_stops == pytest.approx(3.0 - limit)
        assert any(gel.startswith("ND") for gel in best.gels)
        assert any(gel.startswith("CTO") for gel in best.gels)
        # A stop too few counts for ten too many: it is kept, to what tells two lights apart.
        assert best.stops >= answer.least_stops - 0.05
        assert best.after.lux / 1000 <= 2**limit * 2**0.05
        assert best.miss.steps <= 3
        assert best.layers <= 3

    def test_no_limit_and_no_nd(self):
        for answer in advised(key(), source(lux=8000)):
            assert not any(gel.startswith(("ND", "Diff")) for stack in answer.stacks for gel in stack.gels)

    def test_only_the_one_that_is_too_bright_gets_nd(self):
        answers = advised(key(), window(8000), source("Other", lux=90000))
        assert [any(g.startswith("ND") for s in a.stacks for g in s.gels) for a in answers] == [
            False,
            True,
            False,
        ]

    def test_diffusion_is_not_hung_for_the_light_that_it_costs(self):
        _, answer = advised(key(), window(8000), rows=[*COLOUR, *neutral()])
        hung = {gel for stack in answer.stacks for gel in stack.gels}
        assert "ND 0.3" in hung and "Diffusion 1/2" not in hung

    def test_without_nd_in_the_table_there_are_still_colour_stacks(self):
        _, answer = advised(key(), window(8000), rows=COLOUR)
        assert answer.least_stops == pytest.approx(2.0)
        assert any("CTO 1/4" in stack.gels for stack in answer.stacks)

    def test_nd_that_is_switched_off_or_left_out_does_not_hang(self):
        off = [row.model_copy(update={"on": row.family != "ND"}) for row in SHIPPED]
        for answers in (
            advised(key(), window(8000), rows=off),
            advised(key(), window(8000), exclude_families=["ND"]),
        ):
            assert not any(gel.startswith("ND") for stack in answers[1].stacks for gel in stack.gels)

    def test_its_stock_is_kept(self):
        scarce = [Gel(family="ND", fraction="0.3", stops=1.0, stock=1), *COLOUR]
        _, answer = advised(key(), window(16000), rows=scarce)
        most = max(stack.gels.count("ND 0.3") for stack in answer.stacks)
        assert most == 1
        plenty = [scarce[0].model_copy(update={"stock": None}), *COLOUR]
        _, answer = advised(key(), window(16000), rows=plenty)
        assert max(stack.gels.count("ND 0.3") for stack in answer.stacks) > 1

    @pytest.mark.parametrize("layers", [0, 1, 2])
    def test_the_most_layers_are_kept(self, layers):
        _, answer = advised(key(), window(8000), max_layers=layers)
        assert max(stack.layers for stack in answer.stacks) == layers

    def test_a_limit_to_the_light_lost_counts_what_is_lost_beyond_what_has_to_be(self):
        _, answer = advised(key(), window(8000), max_stops=0.5)
        assert any(gel.startswith("ND") for gel in answer.stacks[0].gels)
        assert all(stack.stops <= 2.5 + 1e-3 for stack in answer.stacks)

    def test_a_source_that_is_left_alone_gets_none(self):
        _, answer = advised(key(), window(8000, aim=WantedOffset(leave=True)))
        assert [stack.gels for stack in answer.stacks] == [[]]


class TestKey:
    def test_it_gives_what_is_left_behind_its_first_choice(self):
        warm = source("Key", "tungsten", 3200.0, 0.0, lux=1000, role=Role.KEY)
        first, answer = advised(warm, window(8000))
        left = first.stacks[0].after.lux
        assert left < 600
        assert answer.least_stops == pytest.approx(math.log2(8000 / left) - 1.0, abs=1e-3)

    def test_it_gives_what_is_left_behind_what_was_decided(self):
        decided = key(work=Work(gels=["ND 0.6"]))
        answer = advised(decided, window(8000))[1]
        # ND 0.6 costs 1.99 stops by its row
        assert answer.least_stops == pytest.approx(2.0 + 1.99, abs=0.01)

    def test_it_gives_what_was_found_behind_what_hangs(self):
        found = Reading(cct=5500, duv=0.003, lux=250, gels=["ND 0.6"])
        hung = Work(
            stage=Stage.HUNG,
            gels=["ND 0.6"],
            predicted=Predicted(cct=5600, duv=0.0033, lux=252, uncertainty_steps=1),
            read_behind=found,
        )
        assert advised(key(work=hung), window(8000))[1].least_stops == pytest.approx(4.0)

    def test_a_decision_that_cannot_hang_any_more_gives_way_to_the_first_choice(self):
        lost = key(work=Work(gels=["Sunset full"]))
        assert advised(lost, window(8000))[1].least_stops == pytest.approx(2.0, abs=0.02)

    def test_one_without_lux_asks_for_nothing(self):
        _, answer = advised(key(None), window(8000))
        assert answer.least_stops == 0.0
        assert not any(gel.startswith("ND") for stack in answer.stacks for gel in stack.gels)


class TestShared:
    def test_a_decided_source_keeps_its_sheets(self):
        rows = [*nominal(stock=1), *neutral()]
        hung = source("Other", cct=6800.0, duv=0.004, work=Work(gels=["CTO 1/4"]))
        answers = advised(hung, window(900), rows=rows, share_stock=True)
        assert (answers[0].allocated.stack.gels, answers[0].allocated.words) == (
            ["CTO 1/4"],
            "It was decided already.",
        )
        assert "CTO 1/4" not in answers[1].allocated.stack.gels
        assert answers[1].stacks[0].gels == ["CTO 1/4"]  # alone it would take it

    def test_nd_is_shared_out_too(self):
        rows = [Gel(family="ND", fraction="0.6", stops=2.0, stock=1), *COLOUR]
        other = window(8000).model_copy(update={"name": "Other"})
        answers = advised(key(), window(8000), other, rows=rows, share_stock=True)
        assert sum(a.allocated.stack.gels.count("ND 0.6") for a in answers) == 1

    def test_a_limit_goes_by_what_the_key_gets_of_the_stock(self):
        """The key wants a sheet that is decided for another: without it the key gives more."""
        rows = [Gel(family="CTB", fraction="full", mired=-FULL_CTO, stock=1), *neutral()]
        warm = source("Key", "tungsten", 3200.0, 0.0, lux=1000, role=Role.KEY)
        other = source("Other", "tungsten", 3200.0, 0.0, work=Work(gels=["CTB full"]))
        room = window(4000, **ON_TARGET)
        alone = advised(warm, room, rows=rows)
        shared = advised(warm, other, room, rows=rows, share_stock=True)
        assert alone[0].stacks[0].gels == ["CTB full"] and shared[0].allocated.stack.gels == []
        # Behind a full CTB the key gives some 350 lx; without it all of its 1 000: 2 stops under 4 000.
        assert alone[1].least_stops > 2.0
        assert shared[2].least_stops == pytest.approx(1.0)
        assert shared[2].allocated.stack.gels == ["ND 0.3"]
        assert shared[2].stacks[0].gels == ["ND 0.3"]

    def panel(self, **extra):
        """Return an adjustable head at its daylight end."""
        reading = Reading(cct=5480, duv=-0.0021, lux=410, dial=Setting(cct=5600))
        other = Reading(cct=3260, duv=-0.0012, lux=455, dial=Setting(cct=3200))
        made = source("Panel", "led-white", **extra)
        return made.model_copy(
            update={"reading": reading, "readings": [other], "reach": Reach(cct_from=2700, cct_to=6500)}
        )

    def test_a_dialled_head_takes_what_goes_with_its_setting(self):
        answers = advised(self.panel(), window(900), rows=SHIPPED, share_stock=True)
        assert answers[0].allocated.words == "Set on its dials."
        assert answers[0].allocated.stack == answers[0].stacks[0]

    def test_what_was_decided_for_a_dialled_head_goes_before_its_first_choice(self):
        rows = nominal(stock=1)
        decided = self.panel(work=Work(stage=Stage.HUNG, gels=["CTO 1/4"], dial=Setting(cct=6500)))
        answers = advised(decided, window(900), rows=rows, share_stock=True)
        got = answers[0].allocated
        assert (got.stack.gels, got.stack.dial, got.words) == (
            ["CTO 1/4"],
            Setting(cct=6500),
            "It was decided already.",
        )
        assert "CTO 1/4" not in answers[1].allocated.stack.gels


class TestWhites:
    def test_light_that_has_to_be_lost_for_the_keys_sake_costs_nothing(self):
        """A window 3 stops over the key that may stand 1 over it: ND for 2 stops counts as layers alone."""
        key = source("Key", "daylight", 5600.0, 0.0033, lux=1000.0, role=Role.KEY)
        bound = source("Window", "daylight", 5600.0, 0.0033, lux=8000.0, over_key=1.0)
        rows = [*COLOUR, Gel(family="ND", fraction="0.6", stops=2.0)]
        present = common_whites([key, bound], Target(cct=5600), Limits(), rows).present
        [nd] = [part for part in present.parts if part.layers]
        assert (nd.stack.gels, nd.layers) == (["ND 0.6"], 1)
        free = bound.model_copy(update={"over_key": None})
        bare = common_whites([key, free], Target(cct=5600), Limits(), rows).present
        # LAYER_IN_STEPS: half a step a layer; its own 2 stops would count for 4 more.
        assert present.value == pytest.approx(bare.value + 0.5, abs=0.05)


def test_a_limit_beyond_what_can_be_is_refused():
    with pytest.raises((Refused, ValueError), match="Stops over the key 11 is out of range"):
        window(8000, 11)
