"""Twenty-five assorted readings: the first line is what a gaffer would hang, from the shipped table.

Each names what may stand first, and why; often one stack, at times two between which nobody would argue. The
reasons are arithmetic with the trade's usual figures (common practice, no source): a quarter CTO 40 MK⁻¹, a
half 80, a full 134; CTB −18, −35, −70 and −134; an eighth of green 3.5 CC. The meter is a set's own.
"""

import pytest

from advisor.advice.answer.advise import advise
from advisor.imports.gels.csv_table import shipped_gels
from advisor.model import AdviceRequest

SHIPPED = shipped_gels().rows
DAY, TUNGSTEN, BETWEEN, COOL = (
    (5600, "daylight"),
    (3200, "planckian"),
    (4300, "planckian"),
    (6500, "daylight"),
)
BARE = ()
READINGS = [
    # source, CCT [K], Duv, target, what may stand first, why
    (
        ("daylight", 7300, 0.0032, DAY), [("CTO 1/4",)],
        "needs 42 MK⁻¹; no plus green, it is as green as the target",
    ),
    (
        ("daylight", 6500, 0.0032, DAY), [("CTO 1/8",)],
        "needs 25: an eighth leaves 5, a quarter overshoots by 15",
    ),
    (
        ("daylight", 6905, 0.0030, COOL), [BARE],
        "9 off: an eighth would leave 11 on the other side, and green cures nothing",
    ),
    (
        ("daylight", 5600, 0.0033, TUNGSTEN), [("CTO full",), ("CTO full", "Minus green 1/8")],
        "a full CTO is made for this",
    ),
    (
        ("daylight", 6800, 0.0040, TUNGSTEN),
        [("CTO 1/2", "CTO 1/2", "Minus green 1/8"), ("CTO full", "CTO 1/4")],
        "needs 165: two halves are 160",
    ),
    (("daylight", 4500, 0.0025, DAY), [("CTB 1/4",)], "needs −44: a quarter leaves 9"),
    (
        ("tungsten", 3172, 0.0, DAY), [("CTB full",), ("CTB full", "Plus green 1/8")],
        "a full CTB is made for this; never two halves",
    ),
    (("tungsten", 3200, 0.0, TUNGSTEN), [BARE], "is on the target"),
    (
        ("tungsten", 2750, -0.0002, TUNGSTEN), [("CTB 1/4", "CTB 1/8")],
        "needs −51: a quarter and an eighth are −53",
    ),
    (("tungsten", 3200, 0.0, BETWEEN), [("CTB 1/2",)], "needs −80: one half, and what is left shows little"),
    (
        ("tungsten", 2700, 0.0, DAY), [("CTB full", "CTB 1/4", "CTB 1/8"), ("CTB full", "CTB 1/2")],
        "needs −192: more than one sheet can",
    ),
    (
        ("led-white", 2700, 0.001, TUNGSTEN), [("CTB 1/2",)],
        "needs −58: nearer to a half than to a quarter, and one sheet",
    ),
    (("led-white", 5600, 0.006, DAY), [("Minus green 1/8",)], "2.7 CC too green: an eighth"),
    (("led-white", 5500, -0.003, DAY), [("Plus green 1/8",), ("Plus green 1/4",)], "6.3 CC too magenta"),
    (
        ("led-white", 5600, 0.004, TUNGSTEN),
        [("CTO full", "Minus green 1/4"), ("CTO full", "Minus green 1/4", "Minus green 1/8")],
        "a full CTO turns white LED green",
    ),
    (
        ("led-white", 6500, 0.005, DAY), [("CTO 1/8",), ("CTO 1/8", "Minus green 1/8")],
        "needs 25 and a touch of magenta",
    ),
    (("led-white", 4000, 0.003, DAY), [("CTB 1/2",)], "needs −71: a half"),
    (
        ("fluorescent", 4100, 0.010, DAY),
        [("CTB 1/2", "CTB 1/8"), ("CTB 1/2", "Minus green 1/8"), ("CTB 1/2", "Minus green 1/4")],
        "needs −65; blue takes out much of the green of tubes",
    ),
    (
        ("fluorescent", 4100, 0.010, TUNGSTEN),
        [
            ("CTO 1/4", "CTO 1/8", "Minus green 1/2"),
            ("CTO 1/2", "Minus green 1/2"),
            ("CTO 1/2", "Minus green 1/2", "Minus green 1/8"),
        ],
        "needs 69 and 10 CC less, and CTO makes tubes greener",
    ),
    (
        ("fluorescent", 3900, 0.012, (4000, "planckian")),
        [("Minus green 1/2",), ("CTB 1/8", "Minus green 1/2")],
        "12 CC too green: a half, which also warms",
    ),
    (("fluorescent-triband", 2950, 0.002, TUNGSTEN), [("CTB 1/4",)], "needs −26: a quarter overshoots by 9"),
    (("discharge", 5800, 0.004, DAY), [BARE], "6 off: nothing is nearer"),
    (("discharge", 5200, 0.002, DAY), [("CTB 1/8",)], "needs −14: an eighth"),
    (
        ("discharge", 4200, 0.012, DAY),
        [("CTB 1/2", "Minus green 1/4"), ("CTB 1/2", "Minus green 1/4", "Minus green 1/8")],
        "needs −60 and 9 CC less",
    ),
    (("led-mix", 4400, -0.004, TUNGSTEN), [("CTO 1/2",), ("CTO 1/2", "Plus green 1/8")], "needs 85 and 4 CC"),
]  # fmt: skip


def first(kind, cct, duv, target):
    request = {
        "target": {"cct": target[0], "locus": target[1]},
        "accuracy": {"meter_cct_percent": 2.0, "meter_duv": 0.001},
        "sources": [{"name": "A", "kind": kind, "reading": {"cct": cct, "duv": duv}}],
    }
    return advise(AdviceRequest.model_validate(request), SHIPPED).sources[0].stacks[0]


@pytest.mark.parametrize(
    ("asked", "may", "why"),
    READINGS,
    ids=[f"{kind} {cct} K {duv:+} to {target[0]} K" for (kind, cct, duv, target), *_ in READINGS],
)
def test_what_stands_first_is_what_one_would_hang(asked, may, why):
    stack = first(*asked)
    assert tuple(sorted(stack.gels)) in [tuple(sorted(gels)) for gels in may], why


def test_there_are_twenty_five():
    assert len(READINGS) == 25


def test_no_first_line_hangs_green_on_what_is_too_green():
    for (kind, cct, duv, target), *_ in READINGS:
        gels = first(kind, cct, duv, target).gels
        if duv >= 0.003 and not any("CTB" in gel for gel in gels):
            assert not any("Plus green" in gel for gel in gels), (kind, cct, duv)
