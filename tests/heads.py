"""An invented head with its test, and what a meter said of it: three levels, bare and with a dish."""

from collections.abc import Mapping

from advisor.model import HeadReading, HeadTest, Kind, KnownHead
from advisor.store.known_heads.heads import HeadStore

PANEL = KnownHead(name="Panel 3", kind=Kind.LED_WHITE, group="Panels")
TEST = HeadTest(
    levels=[100, 50, 10], modifiers=["", "dish"], distance=3.0, minutes_on=20, meter="the old one"
)


def read(
    level: float, modifier: str = "", cct: float = 5813, duv: float = -0.0014, **more: object
) -> HeadReading:
    """Return a reading of the head; as it is at full where nothing else is said."""
    return HeadReading.model_validate({"cct": cct, "duv": duv, "level": level, "modifier": modifier, **more})


READINGS = (
    read(100, lux=2000, watts=120, ra=96, r9=88),
    read(50, cct=5790, duv=-0.0010, lux=1000, watts=64),
    read(10, cct=5640, duv=0.0031, lux=200),
    read(100, "dish", cct=5701, duv=0.0007, lux=4000),
)
"""What was read, in the order of the test; the dish only at full."""


def keep_tested(heads: HeadStore) -> tuple[int, int]:
    """Keep the head with its test and readings, and return the ids of both."""
    head_id = heads.add_head(PANEL)
    test_id = heads.begin_test(head_id, TEST)
    for reading in READINGS:
        heads.take_reading(test_id, reading)
    return head_id, test_id


def keep_alike(heads: HeadStore, levels: Mapping[str, Mapping[int, float]]) -> dict[str, int]:
    """Keep tungsten heads, each with a test of its CCT [K] at some levels [%]; return their ids by name."""
    ids = {}
    for name, whites in levels.items():
        ids[name] = heads.add_head(KnownHead(name=name, kind=Kind.TUNGSTEN))
        test = HeadTest(levels=list(whites), distance=3.0, minutes_on=20)
        heads.add_test(ids[name], test, [read(level, cct=cct, duv=0.0003) for level, cct in whites.items()])
    return ids
