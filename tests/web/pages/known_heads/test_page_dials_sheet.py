"""The sheet of an adjustable head says how to set its dials before any gel; the head is invented."""

import re

from advisor.model import HeadTest, Kind, KnownHead, Reach, Setting
from tests.heads import read

TUBE = KnownHead(
    name="Tube", kind=Kind.LED_MIX, reach=Reach(cct_from=2800, cct_to=6500, green_from=-10, green_to=10)
)


def plain(text):
    return text.replace("\xa0", " ").replace("\u202f", " ")


def hung(page):
    found = re.findall(r'data-is="Hang, Planckian" class="hang">([^<]*)<', page.html)
    return [plain(one) for one in found]


def keep(stores, dials):
    test = stores.heads.begin_test(stores.heads.add_head(TUBE), HeadTest(levels=[100], dials=[*dials]))
    for dial, (cct, duv) in dials.items():
        stores.heads.take_reading(test, read(100, cct=cct, duv=duv, dial=dial))
    return test


def test_dials_are_set_before_gel_is_hung(stores, get):
    dials = {Setting(cct=4500): (4300, 0.0), Setting(cct=5600): (5250, 0.0)}
    page = get(f"/tests/{keep(stores, dials)}/sheet")
    warm, cool = hung(page)
    assert re.fullmatch(r"dials 4 [6-9]\d0 K", warm)
    assert re.fullmatch(r"dials (5 9|6 0)\d0 K, beyond its readings", cool)
    assert "Read it at another green too" in page.text  # for the daylight locus


def test_a_green_head_is_set_by_its_green_dial_where_that_was_read(stores, get):
    dials = {Setting(cct=5600): (5600, 0.0045), Setting(cct=5600, green=-10): (5600, -0.0055)}
    page = get(f"/tests/{keep(stores, dials)}/sheet")
    [green, _] = hung(page)
    assert "Read it at another green" not in page.text
    assert re.match(r"dials 5 [56]\d0 K, green −[345]", green)


def test_what_the_dials_do_at_full_holds_where_they_were_not_turned_at_a_lower_level(stores, get):
    """10 on the green dial are 0.0100 in Duv at full. At 10 % it reads 0.0065: 5 to 8 on the dial."""
    own, turned = Setting(cct=5600), Setting(cct=5600, green=-10)
    asked = HeadTest(levels=[100, 10], dials=[own, turned])
    test = stores.heads.begin_test(stores.heads.add_head(TUBE), asked)
    for level, dial, duv in ((100, own, 0.0045), (100, turned, -0.0055), (10, own, 0.0065)):
        stores.heads.take_reading(test, read(level, cct=5600, duv=duv, dial=dial))
    full, low, _ = hung(get(f"/tests/{test}/sheet"))
    assert re.search(r"green −[345]$", full)
    assert re.search(r"green −[5678]$", low)


def test_a_head_that_drifts_to_magenta_gets_more_green_dimmed_than_full(stores, get):
    """An invented panel: 40 on its green dial are 0.0042 in Duv, and dimmed it is 0.0012 more magenta.

    So full needs 19 on the dial for the Planckian locus, and 40 % needs 30.
    """
    panel = TUBE.model_copy(update={"reach": Reach(cct_from=2800, cct_to=6500, green_from=-50, green_to=50)})
    own, more = (Setting(cct=4400, green=green) for green in (0, 40))
    test = stores.heads.begin_test(
        stores.heads.add_head(panel), HeadTest(levels=[100, 40], dials=[own, more])
    )
    rows = ((100, own, -0.0020), (40, own, -0.0032), (100, more, 0.0022))
    for level, dial, duv in rows:
        stores.heads.take_reading(test, read(level, cct=4400, duv=duv, dial=dial))
    full, dimmed, *_ = (
        int(re.search(r"green \+(\d+)$", one)[1]) for one in hung(get(f"/tests/{test}/sheet"))[:2]
    )
    assert 17 <= full <= 21
    assert 27 <= dimmed <= 33
