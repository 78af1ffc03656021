"""The gel table that is shipped."""

import json
import re
from math import log10
from pathlib import Path

import pytest

from advisor.imports import read_gels, write_gels
from advisor.model import Known

ROOT = Path(__file__).parents[3]
TEXT = (ROOT / "gels" / "generic.csv").read_text(encoding="utf-8")
GELS = {gel.name: gel for gel in read_gels(TEXT).rows}
#: Common practice, no source, from memory: what the trade reckons with. [MK⁻¹]
CTO = {"1/8": 20, "1/4": 40, "1/2": 80, "full": 134}
CTB = {"1/8": -18, "1/4": -35, "1/2": -70, "full": -134}
#: The same of green. [CC]
GREEN = {"1/8": 3.5, "1/4": 7.5, "1/2": 15, "full": 30}


def published(quantity):
    entries = json.loads((ROOT / "tests" / "references" / "mired.json").read_text(encoding="utf-8"))
    return [e for e in entries if e["quantity"] == quantity]


def test_it_is_read_and_written_without_loss():
    table = read_gels(TEXT)
    assert len(table.rows) == 2 * 5 + 2 * 4 + 5 + 2 + 2
    assert read_gels(write_gels(table)) == table


def test_every_row_has_a_note_and_is_in_plenty():
    assert all(gel.note and gel.stock is None for gel in GELS.values())


def test_three_quarters_which_few_trucks_have_are_off_and_all_others_on():
    assert [gel.name for gel in GELS.values() if not gel.on] == ["CTO 3/4", "CTB 3/4"]
    assert {gel.family for gel in GELS.values() if gel.fraction == "3/4"} == {"CTO", "CTB"}


def test_every_row_is_generic_and_as_sure_as_that():
    assert {gel.known for gel in GELS.values()} == {Known.GENERIC}
    sure = {gel.family: gel.off_percent for gel in GELS.values()}
    assert sure == {
        "CTO": 25,
        "CTB": 12,
        "Plus green": 12,
        "Minus green": 12,
        "ND": 3,
        "Single scrim": 3,
        "Double scrim": 3,
        "Diffusion": 12,
    }


def test_every_column_is_explained_above():
    header = next(line for line in TEXT.splitlines() if not line.startswith("#"))
    for column in [*header.split(","), "reference", "percent", "spectrum"]:
        assert any(line.startswith(f"# {column}") for line in TEXT.splitlines())


def mired_shift(start, end):
    return 1e6 / end - 1e6 / start


def test_the_arithmetic_of_the_mired_is_the_published_one():
    entries = published("mired shift from one CCT to another")
    assert len(entries) >= 4
    for entry in entries:
        value = entry["value"]
        assert mired_shift(value["from"], value["to"]) == pytest.approx(
            value["shift"], abs=entry["tolerance"]
        )


@pytest.mark.parametrize("fraction", [*CTO, "3/4"])
def test_cto_and_ctb_do_what_the_trade_reckons_with_and_their_notes_say(fraction):
    cto, ctb = GELS[f"CTO {fraction}"], GELS[f"CTB {fraction}"]
    assert (cto.mired, ctb.mired) == (CTO.get(fraction, 107), CTB.get(fraction, -102))
    assert cto.cc == ctb.cc == 0
    assert cto.stops is None and ctb.stops is None
    for gel, start in ((cto, 5600), (ctb, 3200)):
        said = re.search(rf"{start} K becomes (\d+) K", gel.note)
        assert float(said[1]) == pytest.approx(1e6 / (1e6 / start + gel.mired), abs=5)


def test_the_full_ones_take_daylight_to_tungsten_and_back():
    assert GELS["CTO full"].mired == pytest.approx(mired_shift(5600, 3200), abs=0.1)
    assert GELS["CTB full"].mired == pytest.approx(mired_shift(3200, 5600), abs=0.1)


@pytest.mark.parametrize("fraction", GREEN)
def test_greens_mirror_each_other(fraction):
    plus, minus = GELS[f"Plus green {fraction}"], GELS[f"Minus green {fraction}"]
    assert (plus.cc, minus.cc) == (GREEN[fraction], -GREEN[fraction])
    assert plus.mired == minus.mired == 0
    assert plus.stops is None and minus.stops is None


@pytest.mark.parametrize("density", ["0.15", "0.3", "0.6", "0.9", "1.2"])
def test_nd_costs_its_density_in_stops(density):
    gel = GELS[f"ND {density}"]
    assert gel.neutral
    assert gel.stops == pytest.approx(float(density) / log10(2), abs=0.005)


def test_nd_0_3_is_a_stop_as_published():
    (entry,) = published("0.30 density in stops")
    assert GELS["ND 0.3"].stops == pytest.approx(entry["value"]["stops"], abs=0.005)


def test_diffusion_costs_light():
    diffusions = [GELS["Diffusion 1/2"], GELS["Diffusion full"]]
    assert [gel.stops for gel in diffusions] == [1.0, 1.5]
    assert all(gel.neutral for gel in diffusions)


def test_the_table_says_once_that_no_source_stands_behind_it_and_no_row_does():
    """Notes stand on pages: what the figures rest on is told by About the numbers, and by the file's head."""
    assert "common practice, no source" in TEXT
    assert not [gel.name for gel in GELS.values() if "practice" in gel.note or "memory" in gel.note]
