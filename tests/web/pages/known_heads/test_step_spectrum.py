"""A spectrum at a step of a head's test: as text, beside what is typed; on the sheet, against other code."""

import re
import warnings

import colour
import pytest
from references import table

from advisor.colour.observer.data import published
from tests.heads import keep_tested

WHITE = "\n".join(f"{nm} {1 + (nm - 380) / 4000:.4f}" for nm in range(380, 785, 5))
"""Nearly the equal-energy spectrum, made up."""


def text_of(name):
    own = published(name)
    return "\n".join(f"{nm:g} {v:g}" for nm, v in zip(own.wavelengths, own.values, strict=True))


@pytest.fixture
def test(stores):
    return keep_tested(stores.heads)[1]


def test_a_spectrum_stands_for_cct_and_duv(test, stores, post):
    page = post(f"/tests/{test}?at=4", {"spectrum_text": WHITE, "lux": "500", "watts": "64", "sure": "yes"})
    assert page.status == 200
    reading = stores.heads.get_test(test).readings[4].reading
    assert (reading.cct, reading.lux, reading.watts, reading.level) == (None, 500, 64, 50)
    assert reading.spectrum.values[:2] == [1.0, 1.0012]


def test_a_step_that_was_read_so_shows_its_spectrum_and_next_takes_no_second_reading(test, stores, post, get):
    post(f"/tests/{test}?at=4", {"spectrum_text": WHITE, "sure": "yes"})
    page = get(f"/tests/{test}?at=4")
    assert page.fields["spectrum_text"].strip().startswith("380 1.0\n")
    count = len(stores.heads.changes(1))
    post(f"/tests/{test}?at=4", {**page.fields, "spectrum_text": page.fields["spectrum_text"].strip()})
    assert len(stores.heads.changes(1)) == count
    post(f"/tests/{test}?at=4", {**page.fields, "lux": "480", "sure": "yes"})
    reading = stores.heads.get_test(test).readings[4].reading
    assert (reading.lux, reading.spectrum.values[1]) == (480, 1.0012)


def test_what_the_text_says_beside_its_spectrum_is_taken_where_nothing_was_typed(test, stores, post):
    text = "CCT,5500\nDuv,0.001\nRa,96\nIlluminance (lx),850\nnm,value\n" + WHITE.replace(" ", ",")
    post(f"/tests/{test}?at=4", {"spectrum_text": text, "ra": "95", "sure": "yes"})
    reading = stores.heads.get_test(test).readings[4].reading
    assert (reading.ra, reading.cct, reading.lux) == (95, 5500, 850)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("hello", "there is no spectrum in the text"),
        ("400 1\n420 2\n440 3\n", "440"),
        ("nm,one,two\n" + WHITE.replace("\n", ",1\n").replace(" ", ",") + ",1", "there are 2 spectra in it"),
        (re.sub(r"(?m)^(4[0-4]\d) .*$", r"\1 dark", WHITE), "line 5"),
    ],
)
def test_what_is_wrong_is_said_at_the_field_which_keeps_the_text(test, stores, post, text, says):
    page = post(f"/tests/{test}?at=4", {"spectrum_text": text, "lux": "500"})
    assert page.status == 422
    at_field = page.html.partition('id="spectrum_text-note"')[2].partition("</details>")[0]
    assert says in at_field
    assert "<details open>\n  <summary>More: its spectrum" in page.html
    assert (page.fields["spectrum_text"].strip(), page.fields["lux"]) == (text.strip(), "500")
    assert 4 not in stores.heads.get_test(test).readings


def test_a_spectrum_that_does_not_fit_is_asked_about_and_kept_with_one_tap(test, stores, post):
    page = post(f"/tests/{test}?at=4", {"spectrum_text": text_of("A")})
    assert "This does not fit" in page.alerts[0]
    assert "Use " not in page.alerts[0]
    post(f"/tests/{test}?at=4", {"spectrum_text": text_of("A"), "sure": "yes"})
    assert stores.heads.get_test(test).readings[4].reading.spectrum is not None


def printed(page):
    """Return CCT, Duv, Ra, Rf and Rg as the sheet prints them."""
    text = page.text.replace("\xa0", " ").replace("\u202f", " ").replace("\u2212", "-")
    white = re.search(r"(\d[\d ]*\d) K, Duv ([+-]?\d\.\d{4})", text)
    figures = [float(re.search(rf"{name} (-?[\d.]+)", text)[1]) for name in ("Ra", "Rf", "Rg")]
    return [float(white[1].replace(" ", "")), float(white[2]), *figures]


LUXPY = {int(row[0]): (row[1], row[3], row[4]) for row in table("luxpy_rendition.csv").tolist()}


@pytest.mark.parametrize("name", ["FL2", "FL11", "F32T8/TL841 (Triphosphor)"])
def test_the_sheet_prints_what_colour_science_and_luxpy_find(test, post, get, name):
    """CCT and Duv by Ohno 2013, Ra by CIE 13.3-1995, Rf and Rg by TM-30-18, of CIE's and measured lamps."""
    post(f"/tests/{test}?at=0", {"spectrum_text": text_of(name), "sure": "yes"})
    cct, duv, ra, rf, rg = printed(get(f"/tests/{test}/sheet"))
    found = by_colour_science(name)
    assert cct == pytest.approx(found[0], abs=0.5 + 0.002 * found[0])
    assert duv == pytest.approx(found[1], abs=0.0003)
    assert (ra, rf, rg) == pytest.approx(found[2:], abs=1.0)
    if name.startswith("FL"):
        assert (ra, rf, rg) == pytest.approx(LUXPY[int(name[2:])], abs=0.5 + 0.4)


def by_colour_science(name):
    """Return CCT, Duv, Ra, Rf and Rg by colour-science's own way, by functions that no page calls."""
    lamps = colour.SDS_ILLUMINANTS if name in colour.SDS_ILLUMINANTS else colour.SDS_LIGHT_SOURCES
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it tells that it fits the spectrum to the observer
        xyz = colour.sd_to_XYZ(lamps[name], observer, method="Integration") / 100
        uv = colour.UCS_to_uv(colour.XYZ_to_UCS(xyz))
        cct, duv = colour.temperature.uv_to_CCT_Ohno2013(uv)
        rendered = colour.quality.colour_fidelity_index_ANSIIESTM3018(lamps[name], additional_data=True)
        ra = colour.colour_rendering_index(lamps[name])
    return cct, duv, ra, rendered.R_f, rendered.R_g
