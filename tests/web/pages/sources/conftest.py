"""A lamp that hangs behind gels, and is metered there."""

import pytest

from advisor.model import Kind
from tests.advice.lamps import read as meter
from tests.web.mending import LAMP


@pytest.fixture
def lamp(stage, stores):
    """A backlight that wants a full CTB, with what it gives."""
    now = stores.sets.get_source(1)
    reading = now.source.reading.model_copy(update={"lux": 1000.0})
    stores.sets.update_source(1, now.source.model_copy(update={"reading": reading, "kind": Kind.TUNGSTEN}))
    return 1


@pytest.fixture
def hang(lamp, post, stores):
    def do(*gels):
        stack = '{"gels": ["' + '", "'.join(gels) + '"]}'
        seen = stores.sets.get_source(lamp).revision
        return post(f"/sources/{lamp}/work", {"action": "hung", "stack": stack, "revision": seen})

    return do


@pytest.fixture
def metered(lamp, post):
    """Meter the lamp behind gels, as behind what is said to hang."""

    def do(*gels, cct=None, lux=True):
        read = meter(LAMP, gels, lux=1000.0)
        fields = {"cct": f"{cct or read.cct:.0f}", "duv": f"{read.duv:.4f}", "behind": "hung"}
        return post(f"/sources/{lamp}/reading", fields | ({"lux": f"{read.lux:.0f}"} if lux else {}))

    return do
