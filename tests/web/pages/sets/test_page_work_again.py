"""The page of a set works out again only what changed, and writes out what it follows from no more often."""

from collections import Counter

import pytest

from advisor.advice.stacks.kept import Kept
from advisor.model import Kind, LightSet, Reading, Source, Target
from advisor.web.pages.sets import sets as page
from advisor.web.pictures import chromaticity_diagram
from advisor.web.plans import kept

COUNT = 3


@pytest.fixture
def read_often(stores):
    """Keep a set of heads that were read twice, and return its id."""
    bare = [Reading(cct=3200 + 10 * i, duv=0, lux=300, level=100) for i in range(COUNT)]
    lower = [Reading(cct=3100 + 10 * i, duv=0, lux=200, level=50) for i in range(COUNT)]
    sources = [
        Source(name=f"Lamp {i}", kind=Kind.TUNGSTEN, reading=one, readings=[other])
        for i, (one, other) in enumerate(zip(bare, lower, strict=True))
    ]
    return stores.sets.create_set(LightSet(name="Hall", target=Target(cct=5600), sources=sources))


@pytest.fixture
def counted(monkeypatch):
    """Count calls of functions, by their names."""
    calls = Counter()

    def count(of, name):
        function = getattr(of, name)

        def counting(*given, **named):
            calls[name] += 1
            return function(*given, **named)

        monkeypatch.setattr(of, name, counting)

    count.calls = calls
    return count


def test_a_page_writes_each_source_out_a_few_times_however_many_there_are(read_often, counted, get):
    """Once for each source, the page of sixty took five times as long."""
    counted(Source, "model_dump_json")
    get(f"/sets/{read_often}")
    assert 0 < counted.calls["model_dump_json"] <= 3 * COUNT


def test_after_a_change_of_one_source_one_is_planned(read_often, get, stores, monkeypatch):
    get(f"/sets/{read_often}")
    of_all, lots = kept._HEADS.of_all, []

    def watched(keys, make, **named):
        return of_all(keys, lambda places: lots.append(len(places)) or make(places), **named)

    monkeypatch.setattr(kept._HEADS, "of_all", watched)
    first = stores.sets.get_set(read_often).sources[0]
    stores.sets.add_reading(first.id, Reading(cct=2950, duv=0, lux=300, level=100))
    get(f"/sets/{read_often}")
    assert set(lots) == {1}


def test_a_set_that_is_read_all_day_keeps_the_work_of_its_last_readings_alone(
    read_often, app, stores, monkeypatch
):
    """Of 540 readings the work of each was kept, and the server grew by 47 MB in ten minutes."""
    monkeypatch.setattr(kept, "_HEADS", Kept())
    monkeypatch.setattr(page, "_KEPT", Kept())
    lamp = stores.sets.get_set(read_often).sources[0].id
    held = []
    for n in range(12):
        stores.sets.add_reading(lamp, Reading(cct=2900 + n, duv=0, lux=300, level=100))
        with app.app_context():
            page._drawn_set(read_often)
        held.append((len(kept._HEADS), len(page._KEPT)))
    assert held[6] > held[0] and held[-1] == held[-4]


def test_the_diagram_is_drawn_where_it_is_shown(read_often, counted, get):
    counted(chromaticity_diagram, "planckian_line")
    get(f"/sets/{read_often}")
    assert counted.calls["planckian_line"] == 0
    assert "u′" in get(f"/sets/{read_often}?view=plane").text
    assert counted.calls["planckian_line"] == 1
