"""JSON that says what gels do and gives their curves too, in whichever way: nothing of it is dropped."""

import json

import pytest

from advisor.imports.gels.draft import draft_gels

WAVES = list(range(400, 701, 20))
ORANGE = [round(0.5 + 0.02 * i, 3) for i in range(16)]
BLUE = [round(0.9 - 0.03 * i, 3) for i in range(16)]


def _pairs(values):
    return [list(pair) for pair in zip(WAVES, values, strict=True)]


def _objects(values):
    return [{"nm": w, "t": v} for w, v in zip(WAVES, values, strict=True)]


def _two(of):
    return {
        "gels": [
            {"gel": "1/2 CTO", "mired": 81, "sheets": 3, **of(ORANGE)},
            {"gel": "1/4 CTB", "mired": -35, "sheets": 2, **of(BLUE)},
        ]
    }


@pytest.mark.parametrize(
    "tree",
    [
        _two(lambda values: {"curve": _pairs(values)}),
        _two(lambda values: {"transmission": _objects(values)}),
        _two(lambda values: {"curve": {"nm": WAVES, "t": values}}),
        _two(lambda values: {"t": values, "nm": WAVES}),
        _two(lambda values: {"curve": {str(w): v for w, v in zip(WAVES, values, strict=True)}}),
        _two(lambda values: {"curve": {"start": 400, "step": 20, "values": values}}),
        _two(lambda values: {"from_nm": 400, "step_nm": 20, "transmittance": values}),
        {"wavelengths": WAVES, **_two(lambda values: {"t": values})},
        {
            "1/2 CTO": {"mired": 81, "sheets": 3, "curve": _pairs(ORANGE)},
            "1/4 CTB": {"mired": -35, "sheets": 2, "curve": _pairs(BLUE)},
        },
        [
            {"family": "CTO", "fraction": "1/2", "mired": 81, "sheets": 3, "curve": _pairs(ORANGE)},
            {"family": "CTB", "fraction": "1/4", "mired": -35, "sheets": 2, "curve": _pairs(BLUE)},
        ],
    ],
)
def test_each_gel_has_its_figures_and_its_curve(tree):
    draft = draft_gels(json.dumps(tree, indent=1))
    assert [(g.name, g.mired, g.stock) for g in draft.gels] == [("CTO 1/2", 81, 3), ("CTB 1/4", -35, 2)]
    curves = [g.transmittance for g in draft.gels]
    assert [(c.start, c.step, list(c.values)) for c in curves] == [(400, 20, ORANGE), (400, 20, BLUE)]
    assert not draft.asked


def test_a_curve_said_as_density_beside_figures_is_one():
    density = [round(0.3 - 0.01 * i, 3) for i in range(16)]
    tree = [{"gel": "1/2 CTO", "mired": 81, "density": _pairs(density)}]
    [row] = draft_gels(json.dumps(tree)).to_mend
    assert "headed as density" in row.wrong[0].says
