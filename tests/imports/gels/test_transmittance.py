"""Measured transmittances. Every curve here is invented."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.imports.gels.transmittance import CurveAs, headed, read_curve
from advisor.model import Refused
from tests.strategies import STEADY

NM = range(380, 785, 5)


def text(value, heading="wavelength,transmittance\n", sep=","):
    """Write 81 rows; `value` is one for all, or made from the wavelength."""
    values = {nm: value(nm) if callable(value) else value for nm in NM}
    return heading + "".join(f"{nm}{sep}{v}\n" for nm, v in values.items())


def faults(data):
    with pytest.raises(Refused) as refused:
        read_curve(data)
    return [(p.where, p.says, p.allowed) for p in refused.value.problems]


@pytest.mark.parametrize(
    "data",
    [
        text(0.8),
        text(80),
        text("80.0"),
        text("80 %", sep=";", heading="nm;T\n"),
        text("0,8", sep=";", heading="nm;T\n"),
        text(80, heading="wavelength,T [%]\n"),
        text(80, heading="wavelength,T in per cent\n"),
        text(0.8, heading=""),
        text(0.8, sep="\t", heading="Wavelength (nm)\tTransmittance\n"),
        text(0.8).encode("utf-16"),
        text(80).replace("\n", "\r\n").encode("utf-8-sig"),
    ],
)
def test_shares_and_percents_of_many_layouts_are_shares(data):
    curve = read_curve(data).first
    assert (curve.start, curve.step, len(curve.values)) == (380, 5, 81)
    assert curve.values == [0.8] * 81


def test_a_dark_filter_in_percent_is_told_by_its_heading():
    # 0.9 alone is a share, and most of the light; with the sign it is a filter of nearly seven stops.
    assert read_curve(text(0.9)).first.values[0] == 0.9
    assert read_curve(text(0.9, heading="wavelength,T %\n")).first.values[0] == pytest.approx(0.009)


def test_a_meters_noise_below_zero_is_none():
    curve = read_curve(text(lambda nm: -0.001 if nm < 400 else 0.9)).first
    assert curve.values[:5] == [0, 0, 0, 0, 0.9]


@pytest.mark.parametrize(
    ("data", "where", "says", "allowed"),
    [
        (text(lambda nm: 104 if nm == 430 else 90), "", "at 430 nm is 104 %", "0 to 100 %"),
        (text(lambda nm: 1.2 if nm == 500 else 0.9), "", "at 500 nm is 1.2", "0 to 1 at every"),
        (text(lambda nm: 1.2 if nm == 500 else 0.9, heading="nm,T %\n")[:9] + "", "text", "no spectrum", ""),
        (text(lambda nm: -20 if nm == 480 else 90), "line 22, column 2", "negative, -20", "0 or more"),
        (text(0), "line 2", "zero everywhere", "some light"),
        (text(0.0001, heading="nm,T\n"), "", "lets no light through", "some light, up to 1"),
        ("".join(f"{nm},0.8\n" for nm in range(450, 655, 5)), "line 1", "runs from 450 to 650", "400 nm"),
        ("".join(f"{nm},0.8\n" for nm in range(380, 790, 50)), "line 1", "9 samples", "at least 16"),
        (
            "nm,a,b\n" + "".join(f"{nm},0.8,0.7\n" for nm in NM),
            "",
            "holds 2 curves",
            "one column of values",
        ),
        ("", "text", "no text", ""),
        ("CCT,Duv\n5600,0\n", "text", "readings, not of spectra", ""),
        ("x" * 1_000_001, "text", "1 000 001 characters", "1 000 000"),
        (b"PK\x03\x04", "text", "spreadsheet or archive", "CSV"),
    ],
)
def test_what_is_no_transmittance_is_refused(data, where, says, allowed):
    found = faults(data)
    assert found[0][0] == where
    assert says in found[0][1]
    assert allowed in found[0][2]


@STEADY
@given(st.lists(st.floats(0.001, 1.0), min_size=81, max_size=81))
def test_percents_and_shares_say_the_same(values):
    share = "wavelength,T\n" + "".join(f"{nm},{v!r}\n" for nm, v in zip(NM, values, strict=True))
    percent = "wavelength,T [%]\n" + "".join(f"{nm},{100 * v!r}\n" for nm, v in zip(NM, values, strict=True))
    assert read_curve(share).first.values == values
    assert read_curve(percent).first.values == pytest.approx(values, rel=1e-12)


def test_densities_are_read_as_such_when_it_is_said():
    ways = read_curve(text(0.3, heading="wavelength,optical density\n")).ways
    assert ways[CurveAs.DENSITY].values == pytest.approx([0.501187] * 81, abs=1e-6)
    assert ways[CurveAs.TRANSMITTANCE].values == [0.3] * 81


@pytest.mark.parametrize(
    "heading", ["nm,density", "nm,Optical Density", "nm;OD", "nm,O.D.", "nm,Absorbance", "nm,D (density)"]
)
def test_a_column_headed_as_density_is_not_taken_for_shares(heading):
    sep = ";" if ";" in heading else ","
    data = text(lambda nm: 0.04 if nm > 600 else 1.8, heading=heading + "\n", sep=sep)
    assert read_curve(data).density
    assert list(read_curve(data).ways)[-1] is CurveAs.DENSITY
    assert headed(read_curve(data)) == "the values, 0.04 to 1.8, are headed as density"


@pytest.mark.parametrize("heading", ["nm,transmittance", "nm,T %", "nm,spectral power density", "nm,Odd one"])
def test_other_headings_name_no_densities(heading):
    assert not read_curve(text(0.8, heading=heading + "\n")).density


def test_percents_are_no_densities():
    assert CurveAs.DENSITY not in read_curve(text(80)).ways


def test_unheaded_values_to_ten_may_be_either():
    ways = read_curve(text(2.0)).ways
    assert ways[CurveAs.TRANSMITTANCE].values == pytest.approx([0.02] * 81)
    assert ways[CurveAs.DENSITY].values == pytest.approx([0.01] * 81)
