"""ANSI/IES TM-27-14: the examples that colour-science carries, and documents made to hurt."""

from pathlib import Path

import numpy as np
import pytest
from references import reference

from advisor.colour.observer.cct import cct_duv_of_uv
from advisor.colour.observer.chromaticity import uv_of_xyz, xy_of_uv
from advisor.colour.observer.data import library, observer
from advisor.imports import read_spectra, sniff
from advisor.imports.spectra.tm27 import read_tm27
from advisor.model import Refused
from tests.imports.spectral_writers import LIGHT, samples, tm27

FOLDER = Path(library().__file__).parent


def summed(at, values):
    """x, y, CCT and Duv as the references were made: straight lines to 1 nm, nothing beyond the ends."""
    fine = observer()
    xyz = np.interp(fine.wavelengths, at, values, left=0.0, right=0.0) @ fine.values
    uv = uv_of_xyz(xyz)
    return (*xy_of_uv(uv), *cct_duv_of_uv(uv))


def agrees(entry, at, values):
    x, y, cct, duv = summed(at, values)
    expected, within = entry["value"], entry["tolerance"]
    assert (x, y) == pytest.approx(expected["xy"], abs=within["xy"])
    assert cct == pytest.approx(expected["cct"], abs=within["cct"])
    assert duv == pytest.approx(expected["duv"], abs=within["duv"])


def test_an_example_with_irregular_wavelengths():
    entry = reference("tm27-fluorescent")
    (found,) = read_spectra((FOLDER / entry["value"]["file"]).read_bytes())
    spectrum = found.spectrum
    assert (spectrum.start, spectrum.step, spectrum.end) == (400, 1, 850)
    agrees(entry, spectrum.start + np.arange(len(spectrum.values)), spectrum.values)
    assert "relative" in found.notes[0]
    assert "0.4 to 44.9 nm, the widest from 763.9 nm" in found.notes[1]


def test_an_example_that_ends_too_early_is_read_and_refused_by_its_range():
    entry = reference("tm27-sample")
    data = (FOLDER / entry["value"]["file"]).read_bytes()
    (found,) = read_tm27(data.decode()).distributions
    agrees(entry, [s.wavelength for s in found.samples], [s.value for s in found.samples])
    with pytest.raises(Refused) as refused:
        read_spectra(data)
    says = [(p.where, p.says) for p in refused.value.problems]
    assert says == [("line 15", "the spectrum runs from 400 to 650 nm")]


def test_d65_with_an_unknown_bandwidth():
    entry = reference("tm27-d65")
    d65 = library().SDS_ILLUMINANTS["D65"]
    (found,) = read_spectra(tm27(list(zip(d65.wavelengths, d65.values, strict=True)), bandwidth="Unknown"))
    spectrum = found.spectrum
    agrees(entry, spectrum.start + spectrum.step * np.arange(len(spectrum.values)), spectrum.values)


def test_the_invalid_example_is_refused():
    with pytest.raises(Refused) as refused:
        read_spectra((FOLDER / "io/tests/resources/Invalid.spdx").read_bytes())
    (problem,) = refused.value.problems
    assert (problem.where, problem.says) == ("line 2", "the root element is <item>, not <IESTM2714>")


DOCUMENT = tm27(samples(LIGHT))


@pytest.mark.parametrize(
    "data",
    [
        DOCUMENT,
        DOCUMENT.encode(),
        DOCUMENT.encode("utf-16"),
        "\ufeff\n  " + DOCUMENT.partition("\n")[2],
        DOCUMENT.replace("utf-8", "iso-8859-1"),
        DOCUMENT.replace('"1.0" encoding="utf-8"', '"1"'),
        tm27(samples(LIGHT), prefix="ies:"),
        DOCUMENT.replace(' xmlns="iestm2714"', ""),
        DOCUMENT.replace("<Header>", "<!-- <SpectralData>9</SpectralData> --><Header>"),
        DOCUMENT.replace(">0.", "> 0."),
        DOCUMENT.replace("<SpectralDistribution>", "").replace("</SpectralDistribution>", ""),
        DOCUMENT.replace("Invented light", "Unknown").replace(
            "</Header>", "<CatalogNumber>Invented light</CatalogNumber></Header>"
        ),
    ],
)
def test_one_document_in_many_shapes(data):
    (found,) = read_spectra(data)
    assert (found.name, found.spectrum) == ("Invented light", LIGHT)
    assert found.notes == ["read as ANSI/IES TM-27-14, and the quantity is relative"]
    assert sniff(data) == "spectra"


def test_a_transmittance_says_that_it_is_no_light():
    (found,) = read_spectra(tm27(samples(LIGHT), quantity="transmittance"))
    assert found.notes[1] == "transmittance belongs to a filter or a surface: this is no light"


def test_several_distributions_are_several_spectra():
    body = DOCUMENT[DOCUMENT.index("<SpectralDistribution>") : DOCUMENT.index("</IESTM2714>")]
    found = read_spectra(DOCUMENT.replace(body, body * 2))
    assert [(s.name, s.spectrum) for s in found] == [("Invented light", LIGHT), ("Invented light (2)", LIGHT)]
    with pytest.raises(Refused, match="more than 50 spectra"):
        read_spectra(DOCUMENT.replace(body, "<SpectralDistribution/>" * 51))


@pytest.mark.parametrize(
    "declared",
    ["version='1.0'", 'version="1"', 'version="1.1" encoding="utf-16" standalone="no"', 'version = "2.0"\n'],
)
def test_the_version_of_xml_that_a_document_names_changes_nothing(declared):
    rest = DOCUMENT.partition("?>")[2]
    (found,) = read_spectra(f"<?xml {declared}?>{rest}")
    assert found.spectrum == LIGHT
    with pytest.raises(Refused) as refused:
        read_spectra(f"\n<?xml {declared}?>\n<IESTM2714>\n<a></b></IESTM2714>")
    assert refused.value.problems[0].where == f"line {4 + declared.count(chr(10))}"


@pytest.mark.parametrize(
    "declared", ["", "version", "version='a b'", "encoding='utf-8'", 'version="1.0" x="y"']
)
def test_a_declaration_that_is_none_is_refused(declared):
    rest = DOCUMENT.partition("?>")[2]
    for text in (f"<?xml {declared}?>{rest}", f'<?xml version="1.0"?><?xml {declared}?>{rest}'):
        with pytest.raises(Refused, match="not well-formed"):
            read_spectra(text)


LAUGHS = "".join(f'<!ENTITY l{i + 1} "{f"&l{i};" * 10}">' for i in range(9))
UNSAFE = {
    "billion laughs": f'<!DOCTYPE a [<!ENTITY l0 "ha">{LAUGHS}]><IESTM2714>&l9;</IESTM2714>',
    "quadratic": f'<!DOCTYPE a [<!ENTITY b "{"b" * 50_000}">]><IESTM2714>{"&b;" * 50_000}</IESTM2714>',
    "an entity of a file": '<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hostname">]><IESTM2714>&b;</IESTM2714>',
    "an entity of a page": '<!DOCTYPE a [<!ENTITY b SYSTEM "http://127.0.0.1:9/">]><IESTM2714>&b;</IESTM2714>',
    "a parameter entity": '<!DOCTYPE a [<!ENTITY % b SYSTEM "file:///etc/hostname">%b;]><IESTM2714/>',
    "an external document type": '<!DOCTYPE a SYSTEM "http://127.0.0.1:9/a.dtd"><IESTM2714/>',
    "a plain document type": "<!DOCTYPE IESTM2714><IESTM2714/>",
}


@pytest.mark.parametrize("attack", UNSAFE)
@pytest.mark.parametrize("encode", [str, str.encode, lambda t: t.encode("utf-16")])
def test_entities_are_refused(attack, encode):
    with pytest.raises(Refused) as refused:
        read_spectra(encode('<?xml version="1.0"?>' + UNSAFE[attack]))
    (problem,) = refused.value.problems
    assert "document type or entities" in problem.says
    assert "without <!DOCTYPE" in problem.allowed


@pytest.mark.parametrize(
    ("data", "where", "says"),
    [
        ("\n\n<IESTM2714>\n<a></b></IESTM2714>", "line 4", "not well-formed: mismatched tag"),
        ("<IESTM2714>\n&b;</IESTM2714>", "line 2", "not well-formed: undefined entity"),
        ("<IESTM2714>", "line 1", "not well-formed: no element found"),
        ("<" * 90, "line 1", "not well-formed"),
        ("<IESTM2714/>", "file", "no SpectralData"),
        (
            tm27(samples(LIGHT)).replace("</IESTM2714>", "\n<SpectralDistribution/></IESTM2714>"),
            "line 87",
            "the spectrum has no samples",
        ),
        ("<reading><cct>5600</cct></reading>", "line 1", "the root element is <reading>, not <IESTM2714>"),
        (tm27([("", 1), *samples(LIGHT)]), "line 5", "SpectralData has no attribute wavelength"),
        (DOCUMENT.replace(' wavelength="400.0"', ""), "line 9", "SpectralData has no attribute wavelength"),
        (tm27([("x", 1), *samples(LIGHT)]), "line 5, wavelength", "'x' is not a number"),
        (tm27([(375, "nan"), *samples(LIGHT)]), "line 5", "'nan' is not a number"),
        (tm27([(375, ""), *samples(LIGHT)]), "line 5", "is empty"),
        (tm27([(380, 1), *samples(LIGHT)]), "line 6", "380 nm is there twice, first on line 5"),
        (tm27([(w, -v) for w, v in samples(LIGHT)]), "line 5", "at 380 nm is negative"),
        (tm27([(w, 0) for w, _ in samples(LIGHT)]), "line 4", "zero everywhere"),
        (tm27(samples(LIGHT)[:20] + samples(LIGHT)[26:]), "line 25", "a gap of 35 nm, from 475 to 510 nm"),
        (
            tm27([(380, 1)] * 10).replace("<SpectralData", "<Data").replace("</SpectralData", "</Data"),
            "file",
            "no SpectralData",
        ),
    ],
)
def test_documents_that_cannot_be_used(data, where, says):
    with pytest.raises(Refused) as refused:
        read_spectra(data)
    problem = refused.value.problems[0]
    assert problem.where == where
    assert says in problem.says
    assert problem.allowed


def test_too_many_samples_are_refused():
    data = tm27([]).replace("\n\n", '\n<SpectralData wavelength="1">1</SpectralData>' * 20_001 + "\n")
    with pytest.raises(Refused, match="more than 20000 samples"):
        read_tm27(data)


def test_depth_does_no_harm():
    deep = "<a>" * 15_000 + "</a>" * 15_000
    (found,) = read_spectra(DOCUMENT.replace("<Header>", deep + "<Header>"))
    assert found.spectrum == LIGHT
