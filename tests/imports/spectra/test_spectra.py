"""Spectra in columns and rows. Every spectrum and figure here is invented."""

import numpy as np
import pytest

from advisor.imports import read_readings, read_spectra, sniff
from advisor.model import Spectrum
from tests.imports.spectral_writers import LIGHT, columns, rows, scaled, wavelengths

FAINT = LIGHT.model_copy(update={"values": [v / 3 + 0.01 for v in LIGHT.values]})
PLAIN = columns([LIGHT])


def one(text):
    (found,) = read_spectra(text)
    return found


@pytest.mark.parametrize(
    "text",
    [
        PLAIN,
        columns([LIGHT], mark=", "),
        columns([LIGHT], mark=";"),
        columns([LIGHT], mark=";", decimal=","),
        columns([LIGHT], mark="\t", decimal=","),
        columns([LIGHT], mark=" | "),
        columns([LIGHT], mark="   "),
        columns([LIGHT], mark=" "),
        columns([LIGHT], mark=" ", decimal=","),
        columns([LIGHT], ["Intensity"]),
        columns([LIGHT], ["W/m²/nm"], mark="\t"),
        columns([LIGHT], ["Relative power"], mark=";", decimal=","),
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\n\n"),
        PLAIN.replace(".0,", " nm,"),
        "# 1\n#\n" + PLAIN,
        "index,wavelength,value\n" + "".join(f"{i},{r}\n" for i, r in enumerate(PLAIN.split())),
        columns([LIGHT], mark=";").replace(";0", ';"0').replace("\n", '"\n').replace('1.0"', "1.0"),
        rows([LIGHT]),
        rows([LIGHT], unit=" nm"),
        rows([LIGHT], unit=""),
        rows([LIGHT], unit="", mark="\t", decimal=","),
        rows([LIGHT], unit="", mark=" "),
        rows([LIGHT], mark="; ", decimal=","),
        rows([LIGHT]).replace("380.0nm", "SPD 380nm [W/m²/nm]"),
    ],
)
def test_one_spectrum_in_many_shapes(text):
    found = one(text)
    assert found.name == "Spectrum"
    assert found.spectrum == LIGHT
    assert (found.figures, found.ssi) == ({}, {})
    assert sniff(text) == "spectra"
    assert sniff(text.encode("utf-16")) == "spectra"


@pytest.mark.parametrize(
    ("text", "note"),
    [
        (scaled(1e-3, ".4f"), "the wavelengths, 0.38 to 0.78, are in µm"),
        (scaled(1e-3, ".3f").replace(".", ",").replace(" ", ";"), "the wavelengths, 0.38 to 0.78, are in µm"),
        (scaled(1e-9, "g"), "the wavelengths, 3.8e-07 to 7.8e-07, are in metres"),
        (scaled(10, "g"), "the wavelengths, 3800 to 7800, are in ångström"),
        ("\n".join(PLAIN.splitlines()[::-1]), "the wavelengths fall, from 780 to 380 nm: turned round"),
    ],
)
def test_wavelengths_in_other_units_and_falling_ones_are_told_and_taken(text, note):
    found = one(text)
    assert found.spectrum == LIGHT
    assert found.notes[0] == note
    assert sniff(text) == "spectra"


def test_steps_of_20_nm_are_taken_with_a_word():
    found = one("".join(f"{w},{1 + i}\n" for i, w in enumerate(range(400, 701, 20))))
    assert found.spectrum == Spectrum(start=400, step=20, values=[1.0 + i for i in range(16)])
    assert found.notes == [
        "the values are whole numbers of 0 to 16: relative ones will do, but steps this coarse cost accuracy "
        "where the light is weak",
        "steps of 20 nm: lines narrower than that are not seen",
    ]


@pytest.mark.parametrize(
    "text",
    [
        columns([LIGHT, FAINT], ["Key", "Fill"]),
        columns([LIGHT, FAINT], ["Key", "Fill"], mark=";", decimal=","),
        columns([LIGHT, FAINT], ["Key", "Fill"], mark="  "),
        columns([LIGHT, FAINT], ["Key", "Fill"]).replace("\n", "\nnm,W/m²/nm,W/m²/nm\n", 1),
        "name,Key,Fill\n" + columns([LIGHT, FAINT]),
        "name,Key,Fill\nnm,W/m²/nm,W/m²/nm\n" + columns([LIGHT, FAINT]),
        rows([LIGHT, FAINT], ["Key", "Fill"]),
        rows([LIGHT, FAINT], ["Key", "Fill"], unit="", mark="\t"),
        rows([LIGHT, FAINT], ["Key", "Fill"]).replace("name", ""),
    ],
)
def test_several_spectra_have_their_names(text):
    assert [(s.name, s.spectrum) for s in read_spectra(text)] == [("Key", LIGHT), ("Fill", FAINT)]
    assert sniff(text) == "spectra"


@pytest.mark.parametrize("between", ["", "\n", "\n\n"])
def test_spectra_one_beneath_the_other_are_told_apart(between):
    found = read_spectra(PLAIN + between + columns([FAINT]))
    assert [s.spectrum for s in found] == [LIGHT, FAINT]
    named = read_spectra("Key\n" + PLAIN + between + "Fill\nCCT: 3200 K\n" + columns([FAINT]))
    assert [(s.name, s.figures) for s in named] == [("Key", {}), ("Fill", {"cct": 3200})]


def test_spectra_of_one_name_and_of_none_are_told_apart():
    named = read_spectra(rows([LIGHT, FAINT, LIGHT], ["Key", "key", "Key"]))
    assert [s.name for s in named] == ["Key", "key (2)", "Key (3)"]
    assert [s.name for s in read_spectra(columns([LIGHT, FAINT]))] == ["Spectrum 1", "Spectrum 2"]


def test_a_spectrum_takes_its_name_from_a_title_or_heading():
    assert one("# Invented head, bare\n" + PLAIN).name == "Invented head, bare"
    assert one(columns([LIGHT], ["Window left"])).name == "Window left"
    assert one("Name: Desk lamp\n\n" + PLAIN).name == "Desk lamp"
    assert len(one("n" * 200 + "\n" + PLAIN).name) == 74


FIGURES = (
    "Lamp: Key\nCCT: 5600 K\nDuv: 0,0032\nRa: 95,5\nR9 80\nTM-30 Rf: 91\nRg: 101\nIlluminance: 900 lx\n"
    "SSI [D55]: 84\nSSI P3200: 31\nSSI: 70\n"
)


@pytest.mark.parametrize(
    "text",
    [FIGURES + "\n" + PLAIN, columns([LIGHT], ["Value"], mark=";") + "\n" + FIGURES, FIGURES + rows([LIGHT])],
)
def test_the_meters_own_figures_are_kept(text):
    found = one(text)
    assert found.name == "Key"
    expected = {"cct": 5600, "duv": 0.0032, "ra": 95.5, "r9": 80, "rf": 91, "rg": 101, "lux": 900}
    assert found.figures == expected
    assert found.ssi == {"D5500": 84, "P3200": 31}
    assert found.notes == []


def test_figures_stand_in_the_columns_or_rows_of_their_spectra():
    text = "name,Key,Fill\nCCT,5600,3200\nRa,95,\nSSI D55,80,20\n" + columns([LIGHT, FAINT])
    key, fill = read_spectra(text)
    assert (key.name, key.figures, key.ssi) == ("Key", {"cct": 5600, "ra": 95}, {"D5500": 80})
    assert (fill.name, fill.figures, fill.ssi) == ("Fill", {"cct": 3200}, {"D5500": 20})
    lines = rows([LIGHT, FAINT], ["Key", "Fill"]).splitlines()
    head, *below = (
        line.replace(",", f",{more},", 1) for line, more in zip(lines, ("fc,Rf", "2,90", "1,"), strict=True)
    )
    key, fill = read_spectra("\n".join([head, *below]))
    assert key.figures == {"lux": pytest.approx(2 / 0.3048**2), "rf": 90}
    assert fill.figures == {"lux": pytest.approx(1 / 0.3048**2)}


def test_figures_that_belong_to_no_one_or_are_out_of_range_are_left_out_with_a_note():
    assert one("Ra: 950\n" + PLAIN).notes == ["line 1: Ra 950 is out of range, and is left out"]
    for found in read_spectra("Ra: 95\nR9: 9\n" + columns([LIGHT, FAINT])):
        assert found.figures == {}
        assert found.notes == ["line 1: it is not clear to which spectrum Ra belongs, so it is left out"]


@pytest.mark.parametrize("step", [1.0, 2.0, 2.5, 4.0, 10.0])
@pytest.mark.parametrize(("first", "last"), [(400, 700), (380, 780), (360, 830)])
def test_regular_steps_of_1_to_10_nm(step, first, last):
    at = np.arange(first, last + 0.01, step)
    light = Spectrum(start=at[0], step=step, values=np.round(1 + np.sin(at / 50) ** 2, 6).tolist())
    found = one(columns([light]))
    if at[-1] >= 700:
        assert (found.spectrum, found.notes) == (light, [])


@pytest.mark.parametrize("count", [97, 121])
def test_wavelengths_rounded_in_print_are_even(count):
    at = 380 + np.arange(count) * 10 / 3
    text = "".join(f"{w:.1f} {1 + i % 7:.1f}\n" for i, w in enumerate(at))
    found = one(text).spectrum
    assert (found.start, found.step, len(found.values)) == (380, pytest.approx(10 / 3), count)
    assert found.values == [1 + i % 7 for i in range(count)]


def test_a_row_without_values_is_told():
    text = rows([LIGHT], ["Key"])
    units = ",".join(["", *["W/nm"] * 81])
    found = one(text.replace("\n", f"\n{units}\n", 1) + "Page 2,of 2\n" + text.splitlines()[0])
    assert (found.name, found.spectrum) == ("Key", LIGHT)
    assert found.notes == ["line 2 is left out: it holds no values", "line 4 is left out: it holds no values"]


def test_a_missing_row_is_filled_by_a_straight_line():
    lines = PLAIN.splitlines()
    found = one("\n".join(lines[:20] + lines[21:]))
    expected = list(LIGHT.values)
    expected[20] = (expected[19] + expected[21]) / 2
    assert found.spectrum.values == pytest.approx(expected, rel=1e-12)
    assert (found.spectrum.start, found.spectrum.step) == (380, 5)
    assert ["5 to 10 nm" in n and "steps of 5 nm" in n for n in found.notes] == [True]


def test_an_empty_cell_is_a_missing_sample_of_that_column():
    lines = columns([LIGHT, FAINT], ["Key", "Fill"]).splitlines()
    lines[21] = lines[21].rpartition(",")[0] + ",-"
    key, fill = read_spectra("\n".join(lines))
    assert (key.spectrum, key.notes) == (LIGHT, [])
    assert len(fill.notes) == 1
    assert fill.spectrum.values[20] == pytest.approx((FAINT.values[19] + FAINT.values[21]) / 2)


def test_uneven_steps_become_1_nm():
    at = np.array([400.2, *np.cumsum([3.0, 5.5, 4.0, 6.5] * 16) + 400.2, 705.0, 712.4])
    values = np.linspace(1, 2, len(at)).round(3)
    found = one("".join(f"{w:.1f};{v}\n" for w, v in zip([398.0, *at], [1.0, *values], strict=True)))
    spectrum = found.spectrum
    assert (spectrum.start, spectrum.step, spectrum.end) == (398, 1, 712)
    expected = np.interp(wavelengths(spectrum), [398.0, *at], [1.0, *values])
    assert spectrum.values == pytest.approx(expected.tolist(), rel=1e-12)
    assert "steps of 1 nm" in found.notes[0]


def test_steps_below_1_nm_are_averaged_and_no_light_is_lost():
    at = np.arange(380, 780.01, 0.5)
    line = np.where(at == 546.5, 40.0, 0.0) + np.where(abs(at - 600) < 0.1, 10.0, 0.0) + 0.5
    found = one("".join(f"{w} {v}\n" for w, v in zip(at, line, strict=True)))
    assert (found.spectrum.start, found.spectrum.step, found.spectrum.end) == (380, 1, 780)
    assert sum(found.spectrum.values) - 0.5 * 401 == pytest.approx((40 + 10) * 0.5, rel=1e-9)
    assert found.notes == ["steps of 0.5 nm are averaged to steps of 1 nm"]


def test_what_the_eye_does_not_see_is_left_out():
    at = range(200, 2501)
    found = one("".join(f"{w}\t1.5\n" for w in at))
    assert (found.spectrum.start, found.spectrum.end) == (300, 1000)
    assert found.notes == ["what lies outside 300 to 1000 nm is left out: the eye does not see it"]


def test_slightly_negative_values_are_noise():
    found = one(
        "".join(f"{w} {v - 0.006:.6f}\n" for w, v in zip(wavelengths(LIGHT), LIGHT.values, strict=True))
    )
    assert min(found.spectrum.values) == 0
    (note,) = found.notes
    assert note.startswith("2 slightly negative values are taken as 0 (the lowest, -0.00168 at 780 nm")


def test_bytes_of_an_8_bit_scale_are_relative_values():
    found = one(
        "".join(
            f"{w} {round(v * 255 / 1.7)}\n" for w, v in zip(wavelengths(LIGHT), LIGHT.values, strict=True)
        )
    )
    (note,) = found.notes
    assert "whole numbers of 0 to" in note
    assert found.spectrum.values == [round(v * 255 / 1.7) for v in LIGHT.values]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "name,CCT,Duv\nKey,5600,0\n",
        "CCT,Duv,lux\n5600,0.003,100\n5700,0.003,200\n5900,0.003,300\n",
        "lux;CCT;Duv\n400;5600;0\n500;5600;0\n600;5600;0\n",
        "x,y\n" + "".join(f"0.{300 + i},0.33\n" for i in range(12)),
        "CCT,Ra," + ",".join(f"R{i}" for i in range(1, 16)) + "\n5600,90" + ",80" * 15,
        "5600 K, 0.003, 900 lx",
        "CCT: 5600\nDuv: 0.003\n",
        "1,5600,0.003\n2,5700,0.001\n3,5800,0.002\n",
        "<html><body>380,1",
        "\x00",
        PLAIN + " " * 1_000_000,
    ],
)
def test_what_is_no_spectrum_counts_as_readings(text):
    assert sniff(text) == "readings"


def test_readings_that_sniff_says_are_readings_are_read():
    text = "name,CCT,Duv,Ra\nKey,5600,0,95\n"
    assert sniff(text) == "readings"
    assert read_readings(text).sources[0].reading.ra == 95
