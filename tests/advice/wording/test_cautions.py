"""Cautions by the kind and power of what is in a set."""

import pytest

from advisor.advice.wording.cautions import cautions
from advisor.model import Kind, Stage, Work
from tests.advice.rows import source

ALWAYS = ["mains", "wet"]
BY_KIND = {
    Kind.TUNGSTEN: ["hot"],
    Kind.DISCHARGE: ["hot", "uv"],
    Kind.FLUORESCENT: ["tubes"],
    Kind.FLUORESCENT_TRIBAND: ["tubes"],
    Kind.DAYLIGHT: ["height"],
    Kind.SODIUM: ["height"],
    Kind.LED_WHITE: [],
    Kind.LED_MIX: [],
    Kind.UNKNOWN: [],
}


def keys(*sources, hidden=()):
    return [caution.key for caution in cautions(sources, hidden)]


@pytest.mark.parametrize("kind", Kind)
def test_each_kind_has_its_own(kind):
    assert keys(source(kind=kind)) == [*BY_KIND[kind], *ALWAYS]


def test_from_some_power_any_lamp_is_hot():
    panel = source(kind="led-white", watts=300)
    assert keys(panel) == ["hot", *ALWAYS]
    assert keys(panel.model_copy(update={"watts": 299.9})) == ALWAYS


def test_a_lamp_of_a_hot_kind_is_hot_at_any_power():
    assert keys(source(kind="tungsten", watts=40.0)) == ["hot", *ALWAYS]


def test_it_names_the_sources_that_it_is_about():
    lamps = [source("Key", "discharge"), source("Window"), source("Back", "tungsten")]
    named = {caution.key: caution.names for caution in cautions(lamps)}
    assert named == {
        "hot": ("Key", "Back"),
        "uv": ("Key",),
        "height": ("Window",),
        "mains": (),
        "wet": (),
    }


def test_a_scrim_is_metal_and_hot_wherever_it_is_or_comes():
    scrim, lamp = ["Double scrim full"], source(kind="tungsten")
    planned = Work(stage=Stage.PLANNED, gels=scrim)
    hangs = Work(stage=Stage.HUNG, gels=[], instead=planned)
    for more in ({"keep": scrim}, {"work": planned}, {"work": hangs}, {"hung": scrim}):
        assert keys(lamp.model_copy(update=more)) == ["hot", "scrims", *ALWAYS]
    assert keys(lamp.model_copy(update={"keep": ["ND 0.3"]})) == ["hot", *ALWAYS]


def test_what_was_put_away_is_left_out():
    lamp = source(kind="discharge")
    assert keys(lamp, hidden=("hot", "wet", "no such")) == ["uv", "mains"]
    assert keys(lamp, hidden=("hot", "uv", *ALWAYS)) == []


def test_the_keys_are_those_of_all_that_there_are():
    every = [source(f"{kind}", str(kind)) for kind in Kind]
    assert tuple(c.key for c in cautions(every)) == ("hot", "uv", "tubes", "height", "mains", "wet")


def test_nothing_here_needs_no_caution():
    assert cautions([]) == []
