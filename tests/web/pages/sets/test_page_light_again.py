"""A head whose bare light nobody read, and which was read with its lux behind two stacks."""

import pytest

from advisor.model import Kind, LightSet, Reading, Role, Source, Target


@pytest.fixture
def strip(stores):
    """Keep an invented set: a strip whose first reading was of its colour alone."""
    source = Source(
        name="Counter strip", kind=Kind.LED_WHITE, role=Role.KEY, reading=Reading(cct=3350, duv=0.0025)
    )
    return stores.sets.create_set(LightSet(name="Bar (invented)", target=Target(cct=4300), sources=[source]))


@pytest.fixture
def send(strip, press):
    return lambda action, *gels: press(action, gels if action == "hung" else None)


@pytest.fixture
def meter(strip, post):
    return lambda cct, duv, lux: post(
        "/sources/1/reading", {"cct": cct, "duv": duv, "lux": lux, "behind": "hung"}
    )


def test_the_light_of_what_hangs_again_is_what_was_read_behind_it(send, meter, get, strip):
    send("hung", "CTB 1/2")
    meter(4060, 0.0021, 54.1)
    send("hung", "CTB 1/2", "CTB 1/8")
    meter(4420, 0.0018, 45.7)
    send("hung", "CTB 1/2")
    page = send("confirm")
    assert "54.1 lx" in page.text
    light = get(f"/sets/{strip}/light")
    assert "read it again with its lux" not in light.text
    assert "54.1 lx" in light.text
