"""The vocabulary of headings and of kinds."""

import pytest

from advisor.imports.vocabulary.headings import Field, understand
from advisor.imports.vocabulary.kinds import kind_of
from advisor.model import Kind

FOOT_CANDLE = 1 / 0.3048**2
"""[lx]"""


@pytest.mark.parametrize(
    ("field", "headings"),
    [
        (
            Field.CCT,
            "CCT|cct|C.C.T.|Tcp|T_cp|Tc|CCT (K)|CCT [K]|CCT / K|CCT_K|K|Kelvin|Color Temperature"
            "|Colour temperature|Correlated colour temperature|Correlated Color Temp. (K)"
            "|Colour temperature, Tcp [K]|CCT (measured)",
        ),
        (
            Field.DUV,
            "Duv|DUV|D_uv|d uv|Δuv|∆uv|Δ u,v|delta uv|Delta-uv|dist. from Planckian"
            "|Distance from Planckian locus|Distance from Planckian locus (Duv)",
        ),
        (Field.X, "x|X|CIE x|CIE1931 x|CIE 1931 x|x (CIE 1931)|CIE 1931 2° x|x (2° observer)|chromaticity x"),
        (Field.Y, "y|CIE y|CIE1931 y|y (1931)"),
        (Field.U76, "u'|u′|u’|u‘|u prime|CIE 1976 u'|CIE 1976 u|u (CIE 1976)|CIE1976 u′"),
        (Field.V76, "v'|v′|v’|CIE 1976 v|CIE 1976 v′|v' (UCS 1976)"),
        (Field.U60, "u|CIE 1960 u|u (CIE 1960)|U"),
        (Field.V60, "v|CIE1960 v|v (1960)"),
        (
            Field.LUX,
            "illuminance|Illuminance (lx)|Illuminance lux|E|Ev|E_v [lx]|E (lx)|lux|Lux|lx|Illumination|E / lx"
            "|Illuminance (Ev)",
        ),
        (Field.NAME, "name|Source|Light source|fixture|HEAD|lamp|label|location|Title"),
        (Field.KIND, "kind|Type|technology"),
        (Field.MODIFIER, "modifier|Filter|Filters"),
        (Field.NOTE, "note|Notes|comment|Remarks"),
        (Field.MIRED, "mired|Mired (MK⁻¹)|MK⁻¹"),
        (Field.CC, "CC|CC index|green–magenta|G/M"),
        (
            Field.RA,
            "Ra|CRI|CRI (Ra)|CRI Ra|Ra (CRI)|CIE 13.3 Ra|Colour rendering index|Color rendering index (Ra)",
        ),
        (Field.R9, "R9|R 9|CRI R9|R9 (CRI)|Colour rendering index, R9"),
        (Field.RF, "Rf|TM-30 Rf|Rf (TM-30-18)|ANSI/IES TM-30-20 Rf|Fidelity index (Rf)|Fidelity index"),
        (Field.RG, "Rg|TM-30 Rg|IES TM-30-18 Rg|Gamut index Rg"),
        (Field.SSI, "SSI|SSI P3200|SSI [D55]"),
    ],
)
def test_headings_are_recognised(field, headings):
    for heading in headings.split("|"):
        found = understand(heading)
        assert found is not None, heading
        assert (found.field, found.factor) == (field, 1.0), heading


@pytest.mark.parametrize(
    ("heading", "reference"),
    [
        ("SSI P3200", "P3200"),
        ("SSI_P3200", "P3200"),
        ("SSI[D55]", "D5500"),
        ("SSI (3200 K)", "P3200"),
        ("SSI (5600 K)", "D5600"),
        ("SSI [10000 K]", "D10000"),
        ("SSI vs. tungsten 3200 K", "P3200"),
        ("SSI daylight 5600", "D5600"),
        ("SSI", None),
        ("SSI (T)", None),
        ("SSI 55", None),
        ("SSI D3200", None),
        ("SSI P99999", None),
    ],
)
def test_headings_of_ssi_name_the_reference(heading, reference):
    found = understand(heading)
    assert (found.field, found.reference) == (Field.SSI, reference)


@pytest.mark.parametrize(
    ("heading", "factor"),
    [
        ("Duv ×10⁻³", 1e-3),
        ("Duv (x10^-3)", 1e-3),
        ("Duv [10⁻³]", 1e-3),
        ("Duv x 1000", 1e-3),
        ("Duv*1000", 1e-3),
        ("Δuv ×10³", 1e-3),
        ("Duv × 10^-4", 1e-4),
        ("x ×10⁻³", 1e-3),
        ("CCT ×1000 K", 1e3),
        ("CCT (10³ K)", 1e3),
        ("E (klx)", 1e3),
        ("Ev x1000 [lx]", 1e3),
        ("fc", FOOT_CANDLE),
        ("E [fc]", FOOT_CANDLE),
        ("Foot candles", FOOT_CANDLE),
        ("foot-candle(s)", FOOT_CANDLE),
        ("Illuminance (foot-candles)", FOOT_CANDLE),
    ],
)
def test_headings_carry_units_and_scales(heading, factor):
    found = understand(heading)
    assert found is not None
    assert found.factor == pytest.approx(factor, rel=1e-12)


OTHERS = (
    "|  |R1|R15|R90|CRI Re|TM-30|CIE|SSIM|CCT error|CCT (target)|CCT (lx)|Duv (K)|lux (K)|x10|y10|x (1976)"
    "|u' (1960)|uv|Δu′v′|5600 K|900 lx|2 K|1931 K|0.3127|data|CCT 2|temperature|Name (x)"
)


@pytest.mark.parametrize("heading", [*OTHERS.split("|"), "CCT" * 40])
def test_other_headings_are_not(heading):
    assert understand(heading) is None


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (Kind.TUNGSTEN, "tungsten|Halogen|incandescent|Tungsten-halogen|quartz lamp"),
        (Kind.DISCHARGE, "HMI|hmi|metal halide|Discharge|arc|xenon"),
        (Kind.DAYLIGHT, "daylight|Window|window, north|sky|Sun|sunlight|overcast"),
        (Kind.LED_WHITE, "LED|white led|bi-colour LED|bicolor led|led-white|LED tube|daylight LED"),
        (Kind.LED_MIX, "RGB led|RGBW|colour-mixing|color mixing LED|led-mix|LED (RGB)"),
        (Kind.FLUORESCENT, "fluorescent|tube|office tubes|daylight fluorescent"),
        (
            Kind.FLUORESCENT_TRIBAND,
            "tri-band|triband fluorescent|Triphosphor tube|tri-phosphor|fluorescent-triband",
        ),
        (Kind.SODIUM, "sodium|HPS|high-pressure sodium"),
        (Kind.UNKNOWN, "unknown|Other|not known"),
        (None, "plasma|candle|ledge|sunny|archive|x"),
    ],
)
def test_kinds_are_told_by_words(kind, words):
    for word in words.split("|"):
        assert kind_of(word) is kind, word


def test_every_kind_is_told_by_its_own_name():
    for kind in Kind:
        assert kind_of(kind.value) is kind
        assert kind_of(kind.words) is kind
