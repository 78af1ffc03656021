"""Spectra that cannot be used, each with its place, its value and what is allowed."""

import re
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import STEADY

from advisor.imports import read_spectra, sniff
from advisor.model import Refused, Spectrum
from tests.imports.spectral_writers import LIGHT, columns, rows, scaled, tm27, wavelengths
from tests.thorough import cases

LINES = columns([LIGHT]).splitlines()


def with_line(at, text):
    return "\n".join([*LINES[: at - 1], text, *LINES[at:]])


@pytest.mark.parametrize(
    ("text", "where", "says", "allowed"),
    [
        (scaled(0.1, "g"), "line 1, column 2", "the wavelength 38 is none of light", "wavelengths in nm"),
        ("380,1\n500,2\n780,1", "line 1", "3 samples", "at least 16"),
        ("\n".join(LINES[:40]), "line 1", "from 380 to 575 nm", "to 700 nm or above"),
        ("\n".join(LINES[10:]), "line 1", "from 430 to 780 nm", "from 400 nm or below"),
        ("\n".join(LINES[::6]), "line 1", "14 samples", "at least 16"),
        (
            "".join(f"{380 + 24 * i},1\n" for i in range(20)),
            "line 1, column 2",
            "stand 24 nm apart",
            "1 to 20 nm",
        ),
        (
            "\n".join(LINES[:20] + LINES[26:]),
            "line 21, column 2",
            "gap of 35 nm, from 475 to 510 nm",
            "10 nm apart",
        ),
        (with_line(21, "470.5,1\n480,1"), "line 21, column 2", "470.5 nm comes after 475 nm", "increase"),
        (with_line(21, "475,1"), "line 21, column 2", "475 nm is there twice, first on line 20", "once"),
        (with_line(21, "480,-0.3"), "line 21, column 2", "at 480 nm is negative, -0.3", "0.5 %"),
        (with_line(21, "480,1e90"), "line 21, column 2", "1e+90 at 480 nm is too large", "1e+30"),
        (with_line(21, "480,1,2"), "line 21", "3 cells and the others have 2", "semicolons"),
        (with_line(21, "page two"), "line 21", "no row of a wavelength and its values", "numbers only"),
        (scaled(1, "g").replace(" ", " -"), "line 1, column 2", "at 380 nm is negative", "0 or more"),
        ("".join(f"{w},0\n" for w in wavelengths(LIGHT)), "line 1", "zero everywhere", "some light"),
        (
            "".join(f"{w},1e-40\n" for w in wavelengths(LIGHT)),
            "line 1",
            "largest value is 1e-40",
            "some light",
        ),
        (
            columns([LIGHT], decimal=","),
            "line 1",
            "second half of a number with a decimal comma",
            "semicolons",
        ),
        (columns([LIGHT, LIGHT], ["only one"]), "line 2", "3 cells and the headings 2", "as many headings"),
        (
            "nm,nm,value\n" + "380,380,1\n" * 3,
            "text",
            "columns 1 and 2 both hold wavelengths",
            "one column",
        ),
        ("nm,note\n380,a\n385,b\n", "line 2", "no column of numbers", "16 rows"),
        ("".join(f"{w}" + ",1" * 51 + "\n" for w in wavelengths(LIGHT)), "text", "51 spectra", "at most 50"),
        ("1,1\n" * 20_001, "text", "20001 lines", "at most 20000"),
        (rows([LIGHT]).splitlines()[0], "text", "no values under the wavelengths on line 1", "a row"),
        (
            rows([LIGHT]).rstrip() + ",1",
            "line 2",
            "the row has 82 cells and the line of wavelengths 81",
            "as many",
        ),
        (rows([LIGHT]) + '"1,2', "line 3", "quotation marks do not pair", "whole cell"),
        (rows([LIGHT] * 51), "text", "51 spectra", "at most 50"),
        ("name,CCT,Duv\nKey,5600,0\n", "text", "a table of readings, not of spectra", "two columns"),
        ("CCT,Duv\n5600,0\n3200,0\n", "text", "a table of readings, not of spectra", "two columns"),
        ("5600 K, 0.003, 900 lx", "text", "a table of readings, not of spectra", "two columns"),
        (
            "".join(
                f"{w} {float(w == 500.5)}\n"
                for w in [*range(380, 500, 3), 500.1, 500.5, 500.9, *range(502, 781, 3)]
            ),
            "line 1",
            "zero everywhere",
            "some light",
        ),
        (
            "\t".join(f"{300 + i / 40}nm" for i in range(20_001)) + "\n" + "1\t" * 20_001,
            "text",
            "line 1 has 185 007 characters",
            "at most 20 000 in a line",
        ),
        ("index,note,nm,value\n1,a,380,1\n2,b\n", "line 3", "the wavelength is missing", "in nm"),
        ("Hello", "text", "there is no spectrum in the text", "two columns"),
        ("", "text", "there is no text", "at least one"),
        ("<p>380,1</p><table>", "text", "web page", "copy"),
        (b"\x89PNG\x1a\n\x00", "text", "control character", "plain text"),
        (b"PK\x03\x04", "text", "spreadsheet", "plain text"),
    ],
)
def test_refused_with_place_value_and_what_is_allowed(text, where, says, allowed):
    with pytest.raises(Refused) as refused:
        read_spectra(text)
    problem = refused.value.problems[0]
    assert problem.where == where
    assert says in problem.says
    assert allowed in problem.allowed


@pytest.mark.parametrize("cell", ["abc", "NaN", "inf", "1e999", "5 W", "saturated"])
def test_a_cell_that_is_no_number_is_left_out_with_a_word(cell):
    (found,) = read_spectra(with_line(21, f"480,{cell}"))
    assert found.notes == [f"no number at 480 nm ({cell}): left out, a straight line in its place"]
    assert (found.spectrum.step, len(found.spectrum.values)) == (LIGHT.step, len(LIGHT.values))
    assert found.spectrum.values[20] == pytest.approx((LIGHT.values[19] + LIGHT.values[21]) / 2)
    assert found.spectrum.values[:20] == pytest.approx(LIGHT.values[:20])


def test_two_such_cells_side_by_side_are_a_gap():
    with pytest.raises(Refused) as refused:
        read_spectra("\n".join(re.sub(r"^(48[05]\.0),.*", r"\1,over", line) for line in LINES))
    assert "gap of 15 nm, from 475 to 490 nm" in refused.value.problems[0].says


def test_many_bad_cells_are_told_at_once_up_to_a_number():
    with pytest.raises(Refused) as refused:
        read_spectra("\n".join(r.replace(",", ",x") if i % 8 == 7 else r for i, r in enumerate(LINES)))
    assert [p.where for p in refused.value.problems][:2] == ["line 8, column 2", "line 16, column 2"]
    with pytest.raises(Refused) as refused:
        read_spectra("\n".join(r.replace(",", ",x") if i % 2 else r for i, r in enumerate(LINES)))
    assert len(refused.value.problems) == 21
    assert refused.value.problems[-1].says == "20 more of the same kind follow"


def test_fifty_megabytes_are_refused_unread():
    for data in ("x" * 50_000_000, b"<?xml version='1.0'?>" + b" " * 50_000_000):
        with pytest.raises(Refused) as refused:
            read_spectra(data)
        assert "50 000 0" in refused.value.problems[0].says
        assert sniff(data) == "readings"


MEGA = 1_000_000
SHAPES = {
    "digits": "1" * MEGA,
    "commas": "380" + "," * (MEGA - 10),
    "ones in a row": "1," * (MEGA // 2),
    "short rows": "1,1\n" * (MEGA // 4),
    "rows of increasing numbers": "".join(f"{i},1\n" for i in range(120_000)),
    "wide rows": ("400," * 249 + "1\n") * 999,
    "wavelengths in a row": ("380nm," * 160_000),
    "rows beneath wavelengths": ",".join(f"{w}nm" for w in range(380, 781))
    + "\n"
    + ("1," * 400 + "1\n") * 1200,
    "letters before numbers": ("a" * 19 + "380nm,") * 38_000,
    "spaces": "380" + " " * (MEGA - 10) + "x",
    "spaces and tabs": "380\n" + " \t" * (MEGA // 2 - 9),
    "headings": "nm " * (MEGA // 3),
    "figures": "Ra: 95\n" * 140_000 + "380,1\n385,1\n",
    "SSI": "SSI P3200 (" * (MEGA // 11 - 1),
    "quotes": '"' * MEGA,
    "open elements": "<a>" * (MEGA // 3),
    "samples": tm27([(380 + i / 1000, 1) for i in range(17_000)]),
    "text in an element": tm27([(380, "1" * 900_000)]),
    "attributes": "<IESTM2714 " + " ".join(f'a{i}="1"' for i in range(90_000)) + "/>",
}


@pytest.mark.parametrize("shape", SHAPES)
def test_a_megabyte_made_to_hurt_comes_to_an_end(shape):
    data = SHAPES[shape]
    assert len(data) <= MEGA
    start = time.monotonic()
    sniff(data)
    try:
        read_spectra(data)
    except Refused as refused:
        assert len(refused.problems) <= 21
    # A guard against a hang, not a measurement; these take about a second at most.
    assert time.monotonic() - start < 60


PIECES = st.sampled_from(
    [
        *(
            "380",
            "385",
            "390,5",
            "0.5",
            "−1",
            "1e-3",
            "NaN",
            "nm",
            "Wavelength",
            "380nm",
            "385nm",
            "390 nm",
            "CCT",
        ),
        *("Ra: 95", "SSI P3200", "name", ",", ";", "\t", "  ", " ", "\n", "\n\n", '"', "#", "|", "-"),
        *(
            "<IESTM2714>",
            "<SpectralDistribution>",
            '<SpectralData wavelength="380">',
            "</SpectralData>",
            "<",
            ">",
            "&",
        ),
        *("\n".join(LINES), columns([LIGHT], mark=";", decimal=","), rows([LIGHT]).strip()),
    ]
)


@given(st.text() | st.lists(PIECES, max_size=40).map("".join) | st.binary())
@settings(STEADY, max_examples=cases(400))
def test_nothing_raises_anything_but_refused(data):
    assert sniff(data) in ("spectra", "readings")
    try:
        found = read_spectra(data)
    except Refused as refused:
        assert all(p.where and p.says and p.allowed for p in refused.problems)
    else:
        assert found
        assert len({s.name.casefold() for s in found}) == len(found)


@given(st.lists(PIECES, max_size=8).map("".join), st.lists(PIECES, max_size=8).map("".join))
@settings(STEADY, max_examples=cases(200))
def test_text_around_a_spectrum_raises_nothing_but_refused(before, after):
    for text in (before + "\n" + "\n".join(LINES) + "\n" + after, before + "\n" + rows([LIGHT]) + after):
        try:
            read_spectra(text)
        except Refused as refused:
            assert all(p.where and p.says and p.allowed for p in refused.problems)


@st.composite
def lights(draw):
    """Make spectra as a text can hold them: even steps, some light, nothing too faint or too strong."""
    step = draw(st.sampled_from([1.0, 2.0, 2.5, 5.0, 10.0, 20.0]))
    start = draw(st.sampled_from([300.0, 360.0, 380.0, 400.0]))
    count = draw(st.integers(int((700 - start) / step) + 1, int((850 - start) / step)))
    value = st.floats(0, 1e6)
    drawn = draw(st.lists(value, min_size=9, max_size=9))
    values = [drawn[i % 9] for i in range(count)]
    values[draw(st.integers(0, count - 1))] = draw(st.floats(1e-3, 1e6))
    return Spectrum(start=start, step=step, values=values)


WRITERS = {
    "columns": lambda s: columns([s]),
    "columns, semicolons, decimal commas": lambda s: columns([s], ["Key"], mark=";", decimal=","),
    "columns, tabs": lambda s: columns([s, s], ["Key", "Fill"], mark="\t"),
    "rows": lambda s: rows([s], ["Key"]),
    "rows, semicolons, decimal commas": lambda s: rows([s, s], ["Key", "Fill"], mark=";", decimal=","),
    "rows, bare wavelengths": lambda s: rows([s], unit="", mark="\t"),
    "TM-27-14": lambda s: tm27(list(zip(wavelengths(s), s.values, strict=True))),
}


@pytest.mark.parametrize("layout", WRITERS)
@given(light=lights())
@settings(STEADY, max_examples=cases(40))
def test_a_spectrum_survives_being_written_and_read(layout, light):
    text = WRITERS[layout](light)
    assert sniff(text) == "spectra"
    for found in read_spectra(text):
        assert found.spectrum == light
