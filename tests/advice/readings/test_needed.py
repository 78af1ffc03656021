"""The plan of sources with very many readings is the same with those of them that are needed alone."""

import json
import random
from dataclasses import replace

import numpy as np
import pytest

from advisor.advice.plan.make import make_plan
from advisor.advice.readings.needed import needed_readings
from advisor.model import AsTested, Limits, Reach, Reading, Setting, Source, Stage, StandMove, Target, Work
from advisor.model.sets.whole import with_readings
from tests.advice.lamps import SHIPPED

NAMES = ("CTO 1/4", "CTO 1/2", "CTB 1/4", "Minus green 1/4", "Plus green 1/8")
GELS = [gel for gel in SHIPPED if gel.name in NAMES]
LIMITS = Limits(max_layers=1)
KINDS = ("daylight", "tungsten", "led-white", "led-mix", "unknown")
TESTS = ("2026-03-01T08:00:00.000Z", "2026-04-01T08:00:00.000Z")
MANY = 150


def plainly(reading):
    return json.loads(reading.model_dump_json(exclude_defaults=True))


def metered(rng, at, spread, **also):
    """A reading as a meter prints it, now and then of a lamp that is another one by now."""
    cct, duv = rng.gauss(at[0], spread * at[0]), rng.gauss(at[1], spread / 10)
    if rng.random() < 0.03:
        cct, duv = cct * 1.15, duv + 0.006
    lux = rng.choice((None, round(rng.uniform(100, 900))))
    if rng.random() < 0.02:
        also |= {"xy": (0.41, 0.39)}
        return Reading(lux=lux, **also)
    return Reading(cct=round(cct, -1), duv=round(duv, 3), lux=lux, **also)


class Invented:
    """A source that was read all day in some of the ways in which a source may be, and its readings."""

    def __init__(self, seed):
        rng = random.Random(seed)
        self.at = rng.choice((2300, 3200, 4300, 5600, 6500)), rng.uniform(-0.004, 0.008)
        spread = rng.choice((0.002, 0.01, 0.05))
        dials, tested, gelled, moved = (rng.random() < 0.3 for _ in range(4))
        levels = rng.sample((None, 20.0, 50.0, 100.0), rng.randint(1, 2))
        modifiers = rng.choice((("",), ("dish", "Dish")))
        settings = [Setting(cct=cct, green=rng.choice((0, 2))) for cct in rng.sample((3200, 4300, 5600), 2)]
        self.readings = []
        for count in range(rng.choice((MANY // 4, MANY))):
            also = {"level": rng.choice(levels), "modifier": rng.choice(modifiers)}
            if dials:
                also["dial"] = rng.choice(settings)
            if tested and count < 12:
                also["tested_at"] = TESTS[count // 6]
            elif gelled and rng.random() < 0.08:
                also["gels"] = [rng.choice(NAMES)]
            if moved and count > MANY // 5:
                also["as_far"] = 1.5
            self.readings.append(metered(rng, self.at, spread, **also))
        self.fields = {"name": f"Head {seed}", "kind": rng.choice(KINDS), "level": rng.choice((None, 50, 70))}
        self.fields |= {"modifier": "dish"} if rng.random() < 0.3 else {}
        self.fields |= {"as_far": 1.5} if moved else {}
        self.fields |= {"stand": StandMove(times=2, done=True)} if moved and rng.random() < 0.5 else {}
        self.fields |= {"reach": Reach(cct_from=2700, cct_to=6500)} if dials else {}
        self.fields |= {"test": AsTested(head="H", doubt_steps=2.0)} if tested else {}
        if rng.random() < 0.5:
            gels = [rng.choice(NAMES)]
            bare = rng.choice([r for r in self.readings if not r.gels])
            behind = metered(rng, self.at, 0.03, gels=gels, level=bare.level)
            stage = rng.choice((Stage.PLANNED, Stage.HUNG))
            found = behind if stage is Stage.HUNG else None
            self.fields["work"] = Work(stage=stage, gels=gels, read_bare=bare, read_behind=found)

    def source(self, which):
        bare = Source(reading=Reading(cct=5600, duv=0), **self.fields)
        return with_readings([bare], [[self.readings[k] for k in which]])[0]

    def with_all(self):
        return self.source(range(len(self.readings)))

    def with_needed(self, each_white=False):
        written = [plainly(reading) for reading in self.readings]
        return self.source(needed_readings(written, each_white or "work" in self.fields))


def told(plan):
    """All that a plan says but for the readings that count for nothing in it."""

    def without(source):
        return source.model_copy(update={"readings": []})

    said = []
    for head in plan.heads:
        change = head.changed and replace(head.changed, source=without(head.changed.source))
        said.append(repr(replace(head, source=without(head.source), changed=change)))
    with np.printoptions(precision=17, threshold=10_000):
        bares = [(i, bare.over, bare.left_out, bare.white, bare.doubt) for i, bare in plan.prepared.items()]
        return [*said, repr((plan.target, plan.problems, bares))]


@pytest.mark.parametrize("seed", range(4))
def test_a_plan_is_the_same_with_the_readings_that_are_needed(seed):
    each = [Invented(10 * seed + k) for k in range(10)]
    plans = [make_plan([getattr(one, which)() for one in each], Target(cct=5600), LIMITS, GELS)
             for which in ("with_all", "with_needed")]  # fmt: skip
    assert told(plans[0]) == told(plans[1])


def kept(readings, each_white=False):
    """What is left of readings, each told by its CCT."""
    return [readings[k].cct for k in needed_readings([plainly(r) for r in readings], each_white)]


def at(cct, **also):
    return Reading(cct=cct, duv=0.001, **also)


def test_of_those_that_were_taken_alike_the_newest_two_are():
    assert kept([at(5000 + k) for k in range(9)]) == [5007, 5008]
    levels = [at(5000 + k, level=50 + 50 * (k % 2)) for k in range(9)]
    assert kept(levels) == [5005, 5006, 5007, 5008]
    for early, late in (({"modifier": "dish"}, {}), ({"as_far": 2.0}, {}), ({"level": 50}, {"level": None})):
        readings = [at(5000 + k, **(early if k < 3 else late)) for k in range(9)]
        assert kept(readings) == [5001, 5002, 5007, 5008]


def test_the_newest_with_its_light_is():
    assert kept([at(5000 + k, lux=500 if k in (2, 4) else None) for k in range(9)]) == [5004, 5007, 5008]


def test_each_behind_gels_is_with_the_bare_ones_before_it_and_one_of_each_white():
    readings = [*map(at, (5000, 5000, 5010, 5020)), at(4000, gels=["CTO 1/4"]), *map(at, (5030, 5030, 5030))]
    assert kept(readings) == [5000, 5010, 5020, 4000, 5030, 5030]
    lit = [at(5000, lux=k) for k in (100, 200, 300)] + [at(5100), at(5200)]
    assert kept(lit, each_white=True) == [5000, 5000, 5100, 5200], "two of one white that say other things"


def test_what_is_no_plain_white_is():
    odd = [at(24000), Reading(xy=(0.41, 0.39)), Reading(cct=5000, duv=0.04), at(5600, tested_at=TESTS[0])]
    assert kept([*odd, *(at(5000 + k) for k in range(9))]) == [24000, None, 5000, 5600, 5007, 5008]


def test_so_many_that_note_the_dials_are():
    """72 settle how the dials do, and what says the same as one of them says nothing more."""
    dialled = [at(5000 + k, dial=Setting(cct=5600)) for k in range(160)]
    assert kept(dialled) == [5087 + k for k in range(73)]
    assert kept([one for one in dialled for _ in range(2)]) == [5087, *(5088 + k // 2 for k in range(144))]
