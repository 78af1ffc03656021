"""A head that is dimmed once it hung: its page goes by what was read so, and says at which level that was."""

import re

from tests.advice.lamps import planckian
from tests.advice.lamps import read as meter

GELS = ("CTB full",)


def dimmed(kelvin):
    """What a meter reads behind the gels of a lamp that was dimmed so far."""
    read = meter(planckian(kelvin), list(GELS))
    return {"cct": f"{read.cct:.0f}", "duv": f"{read.duv:.4f}", "behind": "hung", "level": "60"}


def test_it_is_the_dimmer_and_no_gel_that_the_page_tells_of(hang, metered, post, stores):
    hang(*GELS)
    metered(*GELS, lux=False)
    page = post("/sources/1/reading", dimmed(2850))
    told = page.text.split("New reading")[0]
    assert re.search(r"At 60 % it is another light, changed between \d\d:\d\d and \d\d:\d\d, ", told)
    assert "off its label" not in told
    assert "Use it at 60 %" in page.text and "Bare was at 60 % too" not in page.text


def test_where_nobody_noted_a_level_before_the_dimmer_is_asked_about_and_no_gel(hang, metered, post, stores):
    hang(*GELS)
    page = post("/sources/1/reading", dimmed(2850))
    told = page.text.split("New reading")[0]
    assert "It was read at 60 %. Was it dimmed? Say below at which level it is used." in told
    assert "off its label" not in told and "Check the gel" not in told
    use = {"revision": stores.sets.get_source(1).revision, "use_level": "60", "use_modifier": "as-read"}
    page = post("/sources/1/use", use)
    assert re.search(r"Bare it read 3 200 K, Duv [^,]+, at a level nobody noted", page.text)


def test_in_use_so_it_tells_what_it_reads_bare_there_and_not_at_full(hang, metered, post, stores):
    hang(*GELS)
    metered(*GELS, lux=False)
    post("/sources/1/reading", dimmed(2850))
    use = {"revision": stores.sets.get_source(1).revision, "use_level": "60", "use_modifier": "as-read"}
    page = post("/sources/1/use", use)
    [bare] = re.findall(r"Bare, about (\d \d{3}) K, Duv [^,]+, at 60 %", page.text)
    assert abs(int(bare.replace(" ", "")) - 2850) < 60, "3 200 K is what it read at full"
