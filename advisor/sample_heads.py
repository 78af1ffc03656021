"""Three heads of our own invention with their tests, for the sample set. No reading was ever taken."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from .model import HeadReading, HeadTest, Kind, KnownHead, Reach, Setting
from .model.basis.base import utc_text
from .model.sets.head_file import FiledHead, FiledReading, FiledTest

GROUP = "Invented sample"
PAR, PANEL, FRESNEL = (f"{name} (invented)" for name in ("Par 575 no. 2", "Panel 2", "Fresnel 650 no. 1"))
_NOTE = "Everything about this head is invented, its readings included."
_APART = timedelta(seconds=40)
"""Between two readings of a test: about as fast as one reads them."""

_Rows = Mapping[str, Sequence[tuple[float, float, float, float]]]
"""By modifier: levels [%], CCT [K], Duv and illuminance [lx]."""


def sample_heads(at: datetime) -> list[FiledHead]:
    """Return three invented heads of three kinds, each tested at three levels, with two modifiers."""
    return [_par(at), _panel(at + timedelta(hours=1)), _fresnel(at + timedelta(hours=2))]


def _par(at: datetime) -> FiledHead:
    """Return a discharge head near the end of its hours: green, and more so dimmed."""
    rows = {
        "": ((100, 5870, 0.0062, 3350), (75, 5990, 0.0071, 2480), (50, 6230, 0.0089, 1560)),
        "diffusion frame": ((100, 5790, 0.0066, 860), (75, 5900, 0.0075, 640), (50, 6130, 0.0093, 400)),
    }
    head = KnownHead(name=PAR, kind=Kind.DISCHARGE, group=GROUP, nominal=5600, note=_NOTE)
    return _filed(head, HeadTest(**_asked(rows), distance=5.0, minutes_on=20), _readings(rows, watts=640), at)


def _panel(at: datetime) -> FiledHead:
    """Return an adjustable head that drifts green below 20 %, at both ends of its CCT alike."""
    cold = {
        "": ((100, 5480, -0.0021, 1120), (20, 5450, -0.0016, 226), (5, 5330, 0.0043, 55)),
        "softbox": ((100, 5360, -0.0013, 590), (20, 5330, -0.0008, 119), (5, 5220, 0.0050, 29)),
    }
    warm = {
        "": ((100, 3260, -0.0012, 1210), (20, 3245, -0.0008, 243), (5, 3200, 0.0041, 59)),
        "softbox": ((100, 3220, -0.0006, 640), (20, 3205, -0.0002, 128), (5, 3160, 0.0046, 31)),
    }
    dials = [Setting(cct=5600), Setting(cct=3200)]
    head = KnownHead(
        name=PANEL,
        kind=Kind.LED_WHITE,
        group=GROUP,
        reach=Reach(cct_from=2700, cct_to=6500, green_from=-10, green_to=10),
        note=f"{_NOTE} Bicolour, with a green dial from -10 to 10.",
    )
    readings = [
        reading
        for modifier in cold
        for dial, rows in zip(dials, (cold, warm), strict=True)
        for reading in _readings({modifier: rows[modifier]}, watts=120, dial=dial)
    ]
    return _filed(head, HeadTest(**_asked(cold), dials=dials, distance=3.0, minutes_on=30), readings, at)


def _fresnel(at: datetime) -> FiledHead:
    """Return a tungsten head, which warms as it is dimmed."""
    rows = {
        "": ((100, 3190, -0.0003, 1540), (60, 2900, 0.0001, 640), (30, 2640, 0.0004, 215)),
        "diffusion frame": ((100, 3160, -0.0002, 580), (60, 2880, 0.0002, 242), (30, 2620, 0.0005, 81)),
    }
    head = KnownHead(name=FRESNEL, kind=Kind.TUNGSTEN, group=GROUP, nominal=3200, note=_NOTE)
    return _filed(head, HeadTest(**_asked(rows), distance=3.5, minutes_on=15), _readings(rows, watts=650), at)


def _asked(rows: _Rows) -> dict[str, Any]:
    return {"levels": [row[0] for row in next(iter(rows.values()))], "modifiers": list(rows)}


def _readings(rows: _Rows, watts: float, dial: Setting | None = None) -> list[HeadReading]:
    return [
        HeadReading(
            level=level,
            modifier=modifier,
            dial=dial,
            cct=cct,
            duv=duv,
            lux=lux,
            watts=watts if level == 100 else None,
        )
        for modifier, some in rows.items()
        for level, cct, duv, lux in some
    ]


def _filed(head: KnownHead, test: HeadTest, readings: Sequence[HeadReading], at: datetime) -> FiledHead:
    filed = [
        FiledReading(taken_at=utc_text(at + k * _APART), reading=reading)
        for k, reading in enumerate(readings)
    ]
    return FiledHead(head=head, tests=[FiledTest(begun_at=utc_text(at), test=test, readings=filed)])
