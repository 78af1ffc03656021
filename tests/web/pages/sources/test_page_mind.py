"""What can hurt hands stands where somebody is sent, whoever is at the head and whether anybody is.

The set and its readings are an invented scenario; the cautions are common practice, no source.
"""

import pytest

from advisor.model import LightSet, Reading, Source, Target, WantedOffset

TUBES = "Tubes: off and cool first."


@pytest.fixture
def made(stores, sample):
    """Keep a set with a fluorescent bank, a key and a window that may stand two stops over it."""
    sources = [
        Source(name="Bank", kind="fluorescent", reading=Reading(cct=4100, duv=0.006, lux=300), role="fill"),
        Source(name="Tung A", kind="tungsten", reading=Reading(cct=3200, duv=0.0, lux=4000), role="key"),
        Source(name="Shop", kind="daylight", reading=Reading(cct=6500, duv=0.003, lux=900), over_key=2),
    ]
    set_id = stores.sets.create_set(LightSet(name="Shop", target=Target(cct=5600), sources=sources))
    return stores.sets.get_set(set_id)


def test_a_head_says_before_its_buttons_what_can_hurt(made, get, stores):
    bank = made.sources[0].id
    before, _, after = get(f"/sources/{bank}").text.partition(TUBES)
    assert "Hang" in before and "New reading" in after, "before anything is pressed, and with nobody at it"
    stores.sets.change_source(
        bank, {"aim": WantedOffset(leave=True)}, revision=stores.sets.get_source(bank).revision
    )
    assert TUBES not in get(f"/sources/{bank}").text, "nothing is to be done there"


def test_asked_for_light_says_what_is_hot_above_what_to_plan(made, get):
    text = get(f"/sets/{made.id}/light/asked?f_number=2.8").text
    minded, planned, _ = text.partition("Plan it")
    assert planned and "Tung A. Hot: let it cool before you touch it." in minded.partition("Cautions")[0]


def test_a_limit_of_the_sets_own_stands_in_its_box(made, get):
    window = made.sources[2].id
    page = get(f"/sets/{made.id}/light/asked")
    [box] = [tag for tag in page.html.split("<") if tag.startswith(f'input id="over_key_{window}"')]
    assert 'placeholder="2"' in box and 'value=""' in box
