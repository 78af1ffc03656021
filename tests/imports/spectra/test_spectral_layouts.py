"""Spectra as crews send them, written by somebody who had not read the importer; the truth beside them."""

import json
from pathlib import Path

import numpy as np
import pytest

from advisor.imports import read_spectra, sniff

LAYOUTS = sorted((Path(__file__).parents[1] / "layouts" / "spectra").glob("*.txt"))
FIGURES = ("cct", "duv", "lux")


@pytest.mark.parametrize("path", LAYOUTS, ids=lambda path: path.stem)
def test_what_is_truly_in_a_text_is_read_and_nothing_else(path):
    truth = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    text = path.read_text(encoding="utf-8")
    assert sniff(text) == "spectra"
    found = read_spectra(text)
    assert len(found) == len(truth["spectra"])
    for own, each in zip(found, truth["spectra"], strict=True):
        assert own.name == each.get("name", "Spectrum")
        at = own.spectrum.start + own.spectrum.step * np.arange(len(own.spectrum.values))
        assert np.interp(each["nm"], at, own.spectrum.values) == pytest.approx(each["values"], abs=1e-12)
    told = {own.name: own.figures for own in found if own.figures}
    assert told == {r["name"]: {k: r[k] for k in FIGURES if k in r} for r in truth["readings"]}


def test_per_cent_signs_behind_values_are_taken_off():
    lines = "\n".join(f"{w}nm {w / 10:.1f}%" for w in range(380, 781, 5))
    [found] = read_spectra(f"Panel\n{lines}\n")
    assert found.name == "Panel"
    assert found.spectrum.values[:2] == pytest.approx([38.0, 38.5])


def test_an_illuminance_alone_on_its_line_is_a_figure_and_no_title():
    lines = "\n".join(f"{w},{w / 1000}" for w in range(380, 781, 5))
    [found] = read_spectra(f"Key light\nCCT: 5480 K\n850 lx\n\nnm,value\n{lines}\n")
    assert (found.name, found.figures) == ("Key light", {"cct": 5480, "lux": 850})
