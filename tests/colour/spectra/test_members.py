"""What each kind of source is made of: which published spectra, which families, and how much each weighs."""

import numpy as np
import pytest

from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import uv_of_xyz
from advisor.colour.observer.data import published
from advisor.colour.observer.grid import WAVELENGTHS, to_grid, weights
from advisor.colour.observer.loci import daylight, planckian
from advisor.colour.spectra.sources import ensemble
from tests.whites import uv_at

PUBLISHED = {
    "tungsten": ["planckian", "Neodimium Incandescent"],
    "daylight": ["daylight"],
    "discharge": ["HP3", "HP4", "HP5", "Metal Halide", "Mercury"],
    "led-white": ["LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-V1", "LED-V2"],
    "led-mix": ["LED-RGB1"],
    "fluorescent": [
        *(f"FL{i}" for i in (1, 2, 3, 4, 5, 6, 7, 8, 9)),
        *(f"FL3.{i}" for i in (1, 2, 3, 4, 5, 6, 12, 13, 14, 15)),
        *("Cool White FL", "Daylight FL"),
    ],
    "fluorescent-triband": [
        *("FL10", "FL11", "FL12", "Triphosphor FL"),
        *(f"FL3.{i}" for i in (7, 8, 9, 10, 11)),
    ],
    "sodium": ["HP1", "HP2", "HPS", "Super HPS"],
}
"""What each kind is made of: CIE 15:2018, and lamps of the colour-science library's data set."""
FAMILIES = {
    "metal-halide": ("discharge", 0.03),
    "mercury": ("discharge", 0.008),
    "low-pressure-sodium": ("sodium", 1.0),
    "white-led": ("led-white", 1.0),
    "hybrid-led": ("led-white", 0.1),
    "rgb": ("led-mix", 0.3),
    "rgb-amber": ("led-mix", 1.0),
    "rgb-lime": ("led-mix", 1.0),
    "triband": ("fluorescent-triband", 0.1),
}
"""Families with what one of their members weighs, beside 1 of a published spectrum that is not bent."""
OFF = {"metal-halide": 0.010}
"""Those that weigh less off the locus: the Duv at which exp(−1/2) is left."""
SHARES = {
    "tungsten": 0.2, "daylight": 0.15, "discharge": 0.1, "led-white": 0.3, "led-mix": 0.1, "fluorescent": 0.1,
    "fluorescent-triband": 0.05,
}  # fmt: skip
"""How likely each kind is where nobody knows it."""


def family_of(name):
    return name.rpartition(" ")[0]


def kind_of(name):
    own = [kind for kind, names in PUBLISHED.items() if name in names]
    return own[0] if own else FAMILIES[family_of(name)][0]


@pytest.mark.parametrize("kind", PUBLISHED)
def test_a_kind_is_made_of_all_its_published_spectra_and_of_no_others(kind):
    found = set()
    for name in PUBLISHED[kind]:
        own = None if name in ("planckian", "daylight") else to_grid(*published(name))
        uv = uv_at(3200, 0.0) if own is None else uv_of_xyz(own @ weights())
        names = ensemble(kind, uv).names
        assert name in names
        found.update(names)
    assert {name for name in found if kind_of(name) != kind} == set()


def bend_of(name, member, uv):
    """Return how far a member was bent, worked out by least squares from what it was."""
    x = (WAVELENGTHS - 560.0) / 200.0
    if name in ("planckian", "daylight"):
        own = planckian(float(cct_duv_of_uv(uv)[0])) if name == "planckian" else daylight(5600.0)
    else:
        own = to_grid(*published(name))
    lit = own > 1e-4 * own.max()
    design = np.stack([np.ones(lit.sum()), x[lit], x[lit] ** 2], axis=1)
    _, slope, bow = np.linalg.lstsq(design, np.log(member[lit] / own[lit]), rcond=None)[0]
    return np.hypot(slope, bow)


@pytest.mark.parametrize("kind", [kind for kind in PUBLISHED if kind != "daylight"])
@pytest.mark.parametrize(("cct", "duv"), [(2900, 0.004), (4100, -0.003)])
def test_members_weigh_less_the_further_they_were_bent(kind, cct, duv):
    """exp(−bend²/2) in units of 0.3; a member of a family weighs the same whatever it is mixed to.

    But iodides off the locus: exp(−Duv²/2) in units of 0.010.
    """
    uv = uv_at(cct, duv)
    found = ensemble(kind, uv)
    expected = [
        FAMILIES[family_of(name)][1] * np.exp(-0.5 * (duv / OFF.get(family_of(name), np.inf)) ** 2)
        if family_of(name) in FAMILIES
        else (0.1 if name == "Neodimium Incandescent" else 1.0)
        * np.exp(-0.5 * (bend_of(name, member, uv) / 0.3) ** 2)
        for name, member in zip(found.names, found.spectra, strict=True)
    ]
    np.testing.assert_allclose(found.weights, np.array(expected) / sum(expected), rtol=1e-3)


def test_of_no_known_kind_each_weighs_as_is_likely():
    found = ensemble("unknown", uv_at(4000, 0.001))
    total = dict.fromkeys(SHARES, 0.0)
    for name, weight in zip(found.names, found.weights, strict=True):
        total[kind_of(name)] += weight
    assert total == pytest.approx(SHARES, abs=0.01)


def test_few_members_are_kept_those_that_weigh_something():
    kept, each, lightest = [], [], []
    for cct in (2700, 3200, 4000, 5000, 6500):
        for kind in PUBLISHED:
            found = ensemble(kind, uv_at(cct, 0.002))
            kept.append(len(found.names))
            lightest.append(found.weights.min() / found.weights.max())
        names = [kind_of(name) for name in ensemble("unknown", uv_at(cct, 0.002)).names]
        each.append(max(names.count(kind) for kind in SHARES))
    assert max(kept) <= 40 and max(each) == 8
    assert 1e-3 < min(lightest) < 1.3e-3
