"""Gel tables as crews send them, written by somebody who had not read the importer; the truth beside them."""

import json
from pathlib import Path

import numpy as np
import pytest

from advisor.advice.teaching.possible_rows import checked
from advisor.imports import read_gels
from advisor.imports.gels.draft import draft_gels
from advisor.model import GelTable
from advisor.resources import folder
from advisor.web.gels.curves import ask_about

LAYOUTS = sorted((Path(__file__).parents[1] / "layouts" / "gels").glob("*.txt"))
SHIPPED: GelTable = read_gels((folder("gels") / "generic.csv").read_bytes())
FIGURES = ("mired", "cc", "stops")


def drafted(path):
    return draft_gels(path.read_text(encoding="utf-8"), check=checked, ask=ask_about, base=SHIPPED)


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
def test_what_is_truly_in_a_table_is_read_and_nothing_else(path):
    truth = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    draft = drafted(path)
    refused = [draft.layout.rows[row.number - 1].text for row in draft.to_mend]
    # A gel that stands twice is asked about: its second row is one to mend.
    asked = [a["about"][0] for a in truth["asked"] if "twice" in a["question"]]
    assert len(refused) == len(truth["refused"]) + len(asked)
    assert set(truth["refused"]) <= set(refused)
    wanted = truth["gels"][: len(truth["gels"]) - len(asked)]
    assert len(draft.gels) == len(wanted)
    for gel, own in zip(draft.gels, wanted, strict=True):
        assert (gel.family.casefold(), gel.fraction) == (own["family"].casefold(), own["fraction"])
        for name in FIGURES:
            if name in own:
                assert getattr(gel, name) == pytest.approx(own[name], abs=0.001)
        if not any(name in own for name in FIGURES) and "curve" not in own:
            assert "base" in {q.likeliest for q in draft.asked} or gel.family == "ND"
        assert gel.stock == own.get("stock")
        if "curve" in own:
            curve = gel.transmittance
            at = np.interp(
                own["curve"]["nm"], curve.start + curve.step * np.arange(len(curve.values)), curve.values
            )
            assert at == pytest.approx(own["curve"]["t"], abs=2e-5)
        if "note" in own:
            assert gel.note == own["note"]


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
def test_what_a_careful_reader_asks_is_asked_with_its_likeliest_answer_first(path):
    truth = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    draft = drafted(path)
    likely = {next(iter(q.ways.values())) for q in draft.asked}
    for asked in truth["asked"]:
        if "likely" in asked:
            assert any(asked["likely"] in way for way in likely)
        else:
            assert draft.to_mend
    # Curves that are headed as densities are asked about although their heading is plain.
    assert bool(truth["asked"]) == bool(draft.asked or draft.to_mend[len(truth["refused"]) :])


@pytest.mark.parametrize(
    "text",
    [
        "Gel: 1/2 CTO\nMired: +81\nSheets: 3\n\nGel: 1/4 CTB\nMired: -35\nSheets: 2\n",
        "Fraction;Mired;Sheets\nCTO\n1/2;81;3\nCTB\n1/4;-35;2\n",
        "Gel;Mired;Sheets\nhalf CTO;81;3\n\nFilter;Bogen;Mired\nViertel CTB;2;-35\n",
        "CTO half = +81 mired, 3 sheets\nCTB quarter = -35 mired, 2 sheets\n",
        "Gel Mired Sheets\n1/2 CTO 81 3\n1/4 CTB -35 2\n",
    ],
)
def test_the_same_two_gels_in_further_shapes(text):
    found = [(g.name, g.mired, g.stock) for g in draft_gels(text).gels]
    assert found == [("CTO 1/2", 81, 3), ("CTB 1/4", -35, 2)]
