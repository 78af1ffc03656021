"""‹ and › on a head's page lead to the next heads that need hands; where none does, to the others."""

import re

import pytest

from advisor.model import LightSet, Locus, Reading, Source, Target

WHITE = Target(cct=3200, locus=Locus.PLANCKIAN)


@pytest.fixture
def keep(stores):
    def made(*ccts):
        sources = [
            Source(name=f"Lamp {k}", kind="tungsten", reading=Reading(cct=cct, duv=0))
            for k, cct in enumerate(ccts, 1)
        ]
        return stores.sets.create_set(LightSet(name="Attic", target=WHITE, sources=sources))

    return made


def signs(page):
    """Return where the two lead, and what is said of them."""
    found = re.findall(
        r'href="(/sources/\d+)" data-neighbour="\w+" rel="\w+"\s+aria-label="([^"]+)"', page.html
    )
    return dict(found)


def test_they_lead_to_those_that_need_hands(keep, get):
    keep(2700, 3200, 2800)
    assert signs(get("/sources/1")) == {"/sources/3": "Next that needs you: Lamp 3"}


def test_from_the_last_that_needs_hands_they_lead_to_all_others(keep, get):
    keep(2700, 3200, 3205)
    assert signs(get("/sources/1")) == {"/sources/2": "Next: Lamp 2", "/sources/3": "Before: Lamp 3"}


def test_a_head_alone_has_none(keep, get):
    keep(2700)
    assert signs(get("/sources/1")) == {}
