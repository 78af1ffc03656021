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


GRID = KnownHead(
    name="Panel 9",
    kind=Kind.LED_WHITE,
    reach=Reach(cct_from=2800, cct_to=6500, green_from=-100, green_to=100),
)
"""An invented panel: 100 on its green dial are 0.014 in Duv, and its cloth makes it 0.0016 greener."""


def grid_read(cct, green=0, modifier="", level=100):
    duv = 0.0037 + 0.00014 * green + (0.0016 if modifier else 0) + (0.0004 if level < 100 else 0)
    return read(level, modifier, cct=cct - 40, duv=duv, dial=Setting(cct=cct, green=green))


def grid_tests(stores):
    """Test it with its green dial at 0, bare and with its cloth, and at +50 bare; return both tests."""
    head = stores.heads.add_head(GRID)
    ccts = (3200, 5600)
    plain = [
        grid_read(cct, modifier=cloth, level=level)
        for cloth in ("", "softbox")
        for cct in ccts
        for level in (100, 30)
    ]
    turned = [grid_read(cct, 50) for cct in ccts]
    dials = [[Setting(cct=cct, green=green) for cct in ccts] for green in (0, 50)]
    asked = (
        HeadTest(levels=[100, 30], modifiers=["", "softbox"], dials=dials[0]),
        HeadTest(levels=[100], dials=dials[1]),
    )
    return [
        stores.heads.add_test(head, test, some) for test, some in zip(asked, (plain, turned), strict=True)
    ]


def test_a_sheet_goes_by_what_the_heads_other_test_says_of_the_dials(stores, get):
    plain, turned = (get(f"/tests/{test}/sheet") for test in grid_tests(stores))
    for page in (plain, turned):
        assert "Read it at another green" not in page.text and "assumed" not in page.text
        assert "minus green" not in page.text
    # By 0.0037 with 0.00014 for one of the dial; behind cloth by 0.0053, and dimmed by 0.0004 more.
    bare, bare_low, soft, soft_low = (
        int(re.search(r"green −(\d+), beyond its readings$", one)[1]) for one in hung(plain) if "5 6" in one
    )
    assert 22 <= bare <= 30 and 25 <= bare_low <= 33 and 33 <= soft <= 43 and 36 <= soft_low <= 46
    assert all("green −" in one for one in hung(turned))
