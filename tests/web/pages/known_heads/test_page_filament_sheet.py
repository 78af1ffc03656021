"""A sheet of tungsten tells no green that is the meter's; the lamp is invented."""

import html
import re

from advisor.model import HeadTest, Kind, KnownHead
from tests.heads import read

LAMP = KnownHead(name="Fresnel 1", kind=Kind.TUNGSTEN, nominal=3200)
DIMMED = read(20, cct=2655, duv=-0.0009)
"""On the locus in truth: a meter is off by so much nine times in ten."""


def plain(text):
    return html.unescape(text).replace("\xa0", " ").replace("\u202f", " ")


def keep(stores, kind=Kind.TUNGSTEN, dimmed=DIMMED):
    head = stores.heads.add_head(LAMP.model_copy(update={"kind": kind}))
    test = stores.heads.begin_test(head, HeadTest(levels=[100, 20]))
    for one in (read(100, cct=3160, duv=0.0006), dimmed):
        stores.heads.take_reading(test, one)
    return test


def hung(page):
    return [plain(one) for one in re.findall(r'data-is="Hang, Planckian" class="hang">([^<]*)<', page.html)]


def test_a_filament_a_meter_put_beside_its_locus_gets_no_green(stores, get):
    page = get(f"/tests/{keep(stores)}/sheet")
    assert hung(page)[1] == "½ CTB"
    assert "magenta" not in page.text and "plus green" not in page.text
    assert "2 655 K" in plain(page.text) and "−0.0009" in page.text  # what was read stays as it was read


def test_just_after_the_reading_no_green_is_said_either(stores, get):
    page = get(f"/tests/{keep(stores)}?at=0&said=1")
    said = re.search(r'<p role="status">20[^<]*', page.html)[0]
    assert "Beside full: " in said and "magenta" not in said


def test_a_bulb_with_a_colour_of_its_own_is_told_as_it_reads(stores, get):
    page = get(f"/tests/{keep(stores, dimmed=read(20, cct=2655, duv=-0.0052))}/sheet")
    assert "magenta" in page.text and "plus green" in hung(page)[1]


def test_of_an_led_the_same_duv_is_its_own(stores, get):
    page = get(f"/tests/{keep(stores, kind=Kind.LED_WHITE)}/sheet")
    assert "magenta" in page.text
