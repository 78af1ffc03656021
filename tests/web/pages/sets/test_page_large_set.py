"""The page of a set with many heads: folded by what they do in the shot, or by their names."""

import re

import pytest

from advisor.model import Kind, LightSet, Reading, Role, Source, Target, WantedOffset

COUNT = 60


@pytest.fixture
def studio(stores):
    """Keep a set of 60 heads alike, with these roles in turn, and return its id."""

    def keep(*roles):
        sources = [
            Source(
                name=f"Lamp {n}",
                kind=Kind.TUNGSTEN,
                reading=Reading(cct=3200, duv=0),
                role=roles[n % len(roles)],
            )
            for n in range(COUNT)
        ]
        return stores.sets.create_set(LightSet(name="Studio", target=Target(cct=5600), sources=sources))

    return keep


def summaries(page):
    return re.findall(r"<summary data-live=[^>]*>(.*?)</summary>", page.html)


def test_without_roles_it_is_folded_by_names(studio, get):
    page = get(f"/sets/{studio(Role.OTHER)}")
    assert summaries(page) == [
        "Lamp 0 to Lamp 24: 25 to hang",
        "Lamp 25 to Lamp 49: 25 to hang",
        "Lamp 50 to Lamp 59: 10 to hang",
    ]
    assert page.text.count("To hang: ") == COUNT
    assert page.html.count('class="strip"') == 0


def test_each_count_of_the_headline_leads_to_a_row_in_a_fold(studio, stores, get):
    set_id = studio(Role.OTHER)
    last = stores.sets.get_set(set_id).sources[-1]
    stores.sets.update_source(last.id, last.source.model_copy(update={"aim": WantedOffset(leave=True)}))
    page = get(f"/sets/{set_id}")
    assert "59 to hang" in page.text and "1 left alone" in page.text
    for count in ("first-hang", "first-leave"):
        assert f"#{count}" in page.html
        assert page.html.count(f'id="{count}"') == 1


def test_with_roles_it_is_folded_by_them(studio, get):
    page = get(f"/sets/{studio(Role.KEY, Role.FILL, Role.PRACTICAL)}")
    assert summaries(page) == [
        "Key, Lamp 0 to Lamp 57: 20 to hang",
        "Fill, Lamp 1 to Lamp 58: 20 to hang",
        "Practicals, Lamp 2 to Lamp 59: 20 to hang",
    ]


def test_a_small_set_is_not_folded(sample, get):
    assert summaries(get(f"/sets/{sample}")) == []
