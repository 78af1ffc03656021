"""Spectra with a line for each value, beside readings or alone. All of it is invented."""

import json

import pytest

from advisor.imports import read_spectra, sniff
from advisor.imports.anything import read_anything
from advisor.model import Refused
from tests.imports.spectral_writers import LIGHT, wavelengths

FAINT = LIGHT.model_copy(update={"values": [round(v * v, 4) for v in LIGHT.values]})
SPECTRA = {"Key": LIGHT, "Fill": FAINT}
READINGS = {"Key": (5480.0, 0.0031, 850.0), "Fill": (3190.0, -0.001, 300.0)}


def pairs(name):
    return zip(wavelengths(SPECTRA[name]), SPECTRA[name].values, strict=True)


def long_form(form):
    return [
        form.format(name=name, at=f"{at:g}", value=value) for name in SPECTRA for at, value in pairs(name)
    ]


def by_wavelength(mark):
    return [
        mark.join((f"{at:g}", name, str(value)))
        for (at, value), (_, other) in zip(pairs("Key"), pairs("Fill"), strict=True)
        for name, value in (("Key", value), ("Fill", other))
    ]


def told_once(mark):
    lines = long_form("{name}|{at}|{value}")
    seen: set[str] = set()
    return [line.replace("|", mark) for line in (_without(line, seen) for line in lines)]


def _without(line, seen):
    name, _, rest = line.partition("|")
    shown = "" if name in seen else name
    seen.add(name)
    return f"{shown}|{rest}"


@pytest.mark.parametrize(
    "lines",
    [
        ["source,nm,E", *long_form("{name},{at},{value}")],
        ["nm\tlight\tpower", *by_wavelength("\t")],
        ["Quelle;Wellenlänge (nm);Wert", *told_once(";")],
        [
            "Bench, Tuesday",
            "",
            "| lamp | λ | value |",
            "|---|---|---|",
            *long_form("| {name} | {at} | {value} |"),
        ],
        long_form("{name} {at} {value}"),
        long_form("{name}, {at} nm, {value}"),
    ],
)
def test_a_line_for_each_value_gives_a_spectrum_for_each_source(lines):
    text = "\n".join(lines)
    assert sniff(text) == "spectra"
    found = {each.name: each.spectrum for each in read_spectra(text)}
    assert list(found) == list(SPECTRA)
    for name, spectrum in SPECTRA.items():
        assert (found[name].start, found[name].step) == (spectrum.start, spectrum.step)
        assert found[name].values == pytest.approx(spectrum.values)


def test_figures_beside_each_value_are_the_sources():
    rows = [
        f"{name};{at:g};{v};{READINGS[name][0]:g};{READINGS[name][1]}"
        for name in SPECTRA
        for at, v in pairs(name)
    ]
    found = read_spectra("\n".join(["name;wavelength;value;CCT;Duv", *rows]))
    assert [(each.name, each.figures["cct"], each.figures["duv"]) for each in found] == [
        (name, *READINGS[name][:2]) for name in SPECTRA
    ]
    assert [each.notes for each in found] == [[], []]


@pytest.mark.parametrize("above", [["source,nm,E"], []])
def test_a_line_without_a_number_is_told(above):
    lines = [line.replace("Key,480,", "Key,480,over #") for line in long_form("{name},{at},{value}")]
    key, fill = read_spectra("\n".join([*above, *lines]))
    assert "no number at 480 nm" in key.notes[0]
    assert fill.notes == []


def test_each_spectrum_beneath_readings_goes_to_the_reading_of_its_name():
    both = [f"{at:g},{a},{b}" for (at, a), (_, b) in zip(pairs("Key"), pairs("Fill"), strict=True)]
    told = [f"{name},{cct},{duv},{lux}" for name, (cct, duv, lux) in READINGS.items()]
    paste = read_anything("\n".join(["Name,CCT (K),Duv,Lux", *told, "", "nm,Key,Fill", *both]))
    found = {row.source.name: row.source.reading for row in paste.rows if row.source is not None}
    assert list(found) == list(SPECTRA)
    for name, reading in found.items():
        assert (reading.cct, reading.duv, reading.lux) == READINGS[name]
        assert reading.spectrum is not None
        assert reading.spectrum.values == pytest.approx(SPECTRA[name].values)


@pytest.mark.parametrize(
    "text",
    [
        "Key 5480 0.0031\nFill 3190 -0.001\n" * 8,
        "name,CCT,Duv\n" + "".join(f"Head {i},{3000 + 100 * i},0.001\n" for i in range(12)),
        "".join(f"Row {i} 45{i} 30\n" for i in range(10)),
    ],
)
def test_readings_and_other_lines_are_no_spectra(text):
    assert sniff(text) == "readings"


@pytest.mark.parametrize(
    "text",
    [
        "Key, 380 to 780 nm in steps of 5 nm\n" + "\n".join(map(str, LIGHT.values)),
        "Key 380-780 nm\n" + ", ".join(map(str, LIGHT.values)),
        "Key " + " ".join(f"{at:g}:{value}" for at, value in pairs("Key")),
    ],
)
def test_wavelengths_that_are_said_once_or_in_one_line(text):
    (found,) = read_spectra(text)
    assert (sniff(text), found.name) == ("spectra", "Key")
    assert (found.spectrum.start, found.spectrum.step) == (380, 5)
    assert found.spectrum.values == pytest.approx(LIGHT.values)


@pytest.mark.parametrize("step", ["in steps of 10 nm", "every 2 nm"])
def test_a_step_that_is_said_and_does_not_fit_is_refused(step):
    with pytest.raises(Refused):
        read_spectra(f"Key, 380 to 780 nm {step}\n" + "\n".join(map(str, LIGHT.values)))


def test_lists_of_several_sources_keep_their_figures():
    blocks = [
        f"Source: {name}\nCCT: {READINGS[name][0]:g}\nDuv: {READINGS[name][1]}\n"
        f"nm: {', '.join(f'{at:g}' for at, _ in pairs(name))}\n"
        f"values: {', '.join(str(v) for _, v in pairs(name))}"
        for name in SPECTRA
    ]
    found = read_spectra("\n\n".join(blocks))
    assert [(f.name, f.figures["cct"], f.figures["duv"]) for f in found] == [
        (name, *READINGS[name][:2]) for name in SPECTRA
    ]
    assert [f.spectrum.values for f in found] == [pytest.approx(s.values) for s in SPECTRA.values()]


def test_figures_in_json_stand_beside_the_spectrum():
    records = [
        {
            "name": name,
            "cct": READINGS[name][0],
            "duv": READINGS[name][1],
            "spectrum": [list(p) for p in pairs(name)],
        }
        for name in SPECTRA
    ]
    found = read_spectra(json.dumps(records))
    assert [(f.name, f.figures) for f in found] == [
        (name, {"cct": READINGS[name][0], "duv": READINGS[name][1]}) for name in SPECTRA
    ]


def test_json_sources_are_called_by_their_keys_and_keep_their_figures():
    lights = {
        name: {
            "cct": READINGS[name][0],
            "duv": READINGS[name][1],
            "spd": {f"{at:g}": v for at, v in pairs(name)},
        }
        for name in SPECTRA
    }
    found = read_spectra(json.dumps({"lights": lights}))
    assert [(f.name, f.figures) for f in found] == [
        (name, {"cct": READINGS[name][0], "duv": READINGS[name][1]}) for name in SPECTRA
    ]


def test_spectra_side_by_side_with_wavelengths_of_their_own():
    both = zip(pairs("Key"), pairs("Fill"), strict=True)
    rows = [f"{at:g},{a},,{other:g},{b}" for (at, a), (other, b) in both]
    found = read_spectra("\n".join(["Wavelength,Key [W/m²/nm],,Wavelength,Fill [W/m²/nm]", *rows]))
    assert [f.name for f in found] == list(SPECTRA)
    assert [f.spectrum.values for f in found] == [pytest.approx(s.values) for s in SPECTRA.values()]


def test_a_message_of_readings_over_several_spectra():
    told = [f"{name} {cct:g} {duv:+}" for name, (cct, duv, _) in READINGS.items()]
    blocks = ["\n".join([name, *(f"{at:g} {value}" for at, value in pairs(name))]) for name in SPECTRA]
    paste = read_anything("\n\n".join(["\n".join(told), *blocks]))
    found = {row.source.name: row.source.reading for row in paste.rows if row.source is not None}
    assert {name: (r.cct, r.duv) for name, r in found.items()} == {n: READINGS[n][:2] for n in SPECTRA}
    assert all(found[name].spectrum.values == pytest.approx(SPECTRA[name].values) for name in SPECTRA)


def test_a_spectrum_in_the_table_of_a_web_page():
    rows = "".join(f"<tr><td>{at:g}</td><td>{value}</td></tr>" for at, value in pairs("Key"))
    paste = read_anything(f"<table><tr><th>nm</th><th>Key</th></tr>{rows}</table>")
    (row,) = paste.rows
    assert row.source is not None
    assert row.source.name == "Key"
    assert row.source.reading.spectrum.values == pytest.approx(LIGHT.values)
