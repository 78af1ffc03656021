"""A head whose gel loses more light than its limit: its page and its row say so while the gel hangs."""

import pytest

from advisor.model import Kind, LightSet, Limits, Reading, Source, Stage, Target, Work


@pytest.fixture
def hung(stores):
    """A practical with a full CTB that was confirmed, invented."""
    bare, behind = Reading(cct=2700, duv=0.0, lux=300), Reading(cct=4290, duv=0.001, lux=90)
    gels = ["CTB full", "Plus green 1/8"]
    work = Work(stage=Stage.CONFIRMED, gels=gels, read_bare=bare, read_behind=behind)
    lamp = Source(name="Table lamp", kind=Kind.TUNGSTEN, reading=bare, work=work)
    number = stores.sets.create_set(LightSet(name="Attic", target=Target(cct=4300), sources=[lamp]))
    return number, stores.sets.get_set(number).sources[0].id


@pytest.mark.parametrize(("most", "says"), [(None, False), (1.5, True), (2.5, False)])
def test_it_is_said_while_it_hangs(stores, get, hung, most, says):
    number, head = hung
    stores.sets.update_set(number, limits=Limits(max_stops=most))
    for page in (get(f"/sets/{number}"), get(f"/sources/{head}")):
        assert ("your limit is" in page.text) is says
        assert ("Loses 1." in page.text) is says


def test_what_is_only_planned_is_out_of_date_instead(stores, get, hung):
    number, head = hung
    stores.sets.change_source(head, {"work": Work(stage=Stage.PLANNED, gels=["CTB full", "Plus green 1/8"])})
    stores.sets.update_set(number, limits=Limits(max_stops=1.5))
    page = get(f"/sources/{head}")
    assert "your limit is" not in page.text and "1.5 stops lost at most" in page.text
