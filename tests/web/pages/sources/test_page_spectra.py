"""Spectra through the paste page, and what a head's page shows of them. Every light is invented."""

import io
import re

import pytest

from advisor.advice.pictures.rendering import render
from advisor.advice.plan.make import make_plan
from advisor.model import Reading, Source
from tests.imports.spectral_writers import LIGHT, columns, rows, samples, tm27
from tests.web.page import Page

ASKED = "Nothing names this spectrum."
WARM = LIGHT.model_copy(update={"values": [v * (0.4 + i / 60) for i, v in enumerate(LIGHT.values)]})


def make_plan_of(stores):
    now = stores.sets.get_set(1)
    rows = stores.gels.in_force().table.rows
    return make_plan([s.source for s in now.sources], now.target, now.limits, rows)


@pytest.fixture
def paste(sample, post):
    return lambda text="", data=None, file=b"": post(
        f"/sets/{sample}/paste", {**(data or {}), "text": text}, file=file
    )


@pytest.fixture
def save(paste, stores):
    """Paste, save what stands on the page, and return the new sources."""

    def run(text="", file=b"", **changed):
        page = paste(text, file=file)
        done = paste(page.fields["text"], {**page.fields, **dict(page.ticked), **changed, "save": "yes"})
        assert done.status == 200, done.alerts
        return stores.sets.get_set(1).sources[6:]

    return run


@pytest.mark.parametrize(
    ("text", "names"),
    [
        (columns([LIGHT]), ["Spectrum"]),
        (columns([LIGHT], ["Soft box"]), ["Soft box"]),
        (columns([LIGHT, WARM], ["Soft box", "Lamp"]), ["Soft box", "Lamp"]),
        (columns([LIGHT], ["Soft box"], mark=";", decimal=","), ["Soft box"]),
        (rows([LIGHT, WARM], ["Soft box", "Lamp"], mark="\t"), ["Soft box", "Lamp"]),
        (tm27(samples(LIGHT)), ["Invented light"]),
    ],
)
def test_what_was_understood_is_shown_then_saved_with_its_spectrum(paste, save, stores, text, names):
    page = paste(text)
    assert page.heading == f"{len(names)} of {len(names)} rows understood"
    assert page.text.count(", spectrum") >= len(names)
    assert [page.fields[f"name-{n}"] for n in range(1, len(names) + 1)] == names
    assert len(stores.sets.get_set(1).sources) == 6
    saved = save(text)
    assert [s.source.name for s in saved] == names
    assert saved[0].source.reading.spectrum.values == pytest.approx(LIGHT.values)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_a_file_of_columns_is_taken(save, encoding):
    [source] = save(file=columns([LIGHT], ["Soft box"]).encode(encoding))
    assert source.source.reading.spectrum == LIGHT


@pytest.mark.parametrize(
    "text",
    [
        "nm,value\n" + "".join(f"{nm:g},{v}\n" for nm, v in reversed(samples(LIGHT))),
        "nm,value\n" + "".join(f"{nm / 1000:g},{v}\n" for nm, v in samples(LIGHT)),
    ],
    ids=["falling", "in µm"],
)
def test_falling_wavelengths_and_micrometres_are_taken(save, text):
    [source] = save(text)
    assert source.source.reading.spectrum == LIGHT


def test_a_tm27_file_is_taken(save):
    [source] = save(file=tm27(samples(LIGHT)).encode())
    assert source.source.reading.spectrum == LIGHT


def test_a_name_and_a_kind_can_be_given_before_saving(save):
    [source] = save(columns([LIGHT]), **{"name-1": "Soft box", "kind-1": "led-white"})
    assert (source.source.name, source.source.kind) == ("Soft box", "led-white")


def bad(change):
    values = dict(samples(LIGHT))
    change(values)
    return "nm,value\n" + "".join(f"{nm:g},{v}\n" for nm, v in values.items())


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (columns([LIGHT], ["a"]).replace("400.0,", "395.0,"), "395 nm is there twice"),
        (
            bad(lambda v: [v.pop(float(nm)) for nm in range(500, 560, 5)]),
            "a gap of 65 nm, from 495 to 560 nm",
        ),
        (bad(lambda v: v.update({500.0: -0.4})), "the value at 500 nm is negative, -0.4"),
        (bad(lambda v: v.update({float(nm): "x" for nm in range(500, 600, 5)})), "'x'"),
        ("nm,value\n400,1\n500,1\n700,1\n", "3 samples"),
        (bad(lambda v: v.update(dict.fromkeys(v, 0))), "zero everywhere"),
        (
            '<!DOCTYPE a [<!ENTITY b "c"><!ENTITY d "&b;&b;&b;">]><IESTM2714>&d;</IESTM2714>',
            "a document type or entities",
        ),
        (
            '<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hostname">]><IESTM2714>&b;</IESTM2714>',
            "a document type or entities",
        ),
        ("<IESTM2714><open></IESTM2714>", ""),
    ],
)
def test_a_bad_spectrum_is_told_and_given_back_and_nothing_is_saved(paste, stores, text, says):
    page = paste(text)
    assert page.status == 422
    assert any(says in alert for alert in page.alerts), page.alerts
    assert "Allowed: " in page.alerts[0]
    assert page.fields["text"].strip() == text.strip()
    assert len(stores.sets.get_set(1).sources) == 6


def test_a_spectrum_that_is_no_white_is_told_in_its_row(paste):
    red = bad(lambda v: v.update({nm: float(nm > 660) for nm in v}))
    page = paste(red)
    assert page.heading == "0 of 1 rows understood"
    assert "the spectrum is" in page.alerts[0]


def test_whole_numbers_of_0_to_255_are_taken_and_remarked_upon(paste):
    top = max(LIGHT.values)
    page = paste(bad(lambda v: v.update({nm: round(255 * x / top) for nm, x in v.items()})))
    assert page.heading == "1 of 1 rows understood"


class TestHeadsPage:
    @pytest.fixture
    def page(self, save, get):
        [source] = save("Ra: 71\nCCT: 5100\nDuv: 0.011\n" + columns([LIGHT], ["Soft box"]))
        return get(f"/sources/{source.id}")

    def test_the_figures_are_those_of_the_spectrum_bare_and_gelled(self, page, stores):
        now = stores.sets.get_set(1)
        sources = [s.source for s in now.sources]
        plan = make_plan(sources, now.target, now.limits, stores.gels.in_force().table.rows)
        best = plan.heads[6].best
        assert best.gels
        lights = [render(plan.prepared[6], plan.gel_arrays, gels, "D5600") for gels in ([], best.gels)]
        for label, value in (("Ra", "ra"), ("Rf", "rf"), ("Rg", "rg")):
            both = [getattr(light.rendition, value) for light in lights]
            assert re.search(rf"{label} ?{both[0]:.0f} {both[1]:.0f}\b", page.text), label
        assert re.search(r"SSI is against D(5600|5599)\.", page.text)
        assert "R1 to R15" in page.text

    def test_both_curves_are_drawn_within_the_plot(self, page):
        curves = re.findall(r'<polyline( class="bare")? points="([^"]*)"', page.html)
        assert [name for name, _ in curves] == [' class="bare"', ""]
        points = [[tuple(map(float, p.split(","))) for p in pts.split()] for _, pts in curves]
        for curve in points:
            assert len(curve) == 81
            assert all(0 <= x <= 360 and 0 <= y <= 120 for x, y in curve)
        assert min(y for _, y in points[0]) == 0  # the bare one's peak is the top
        assert all(g[1] >= b[1] - 0.11 for b, g in zip(*points, strict=True))  # a gel adds no light

    def test_the_meters_own_figures_stand_beside_the_computed_ones(self, page):
        table = page.text[page.text.index("The meter's own figures") :]
        assert re.search(r"CCT ?5 100 K \d", table)
        assert re.search(r"Ra ?71 \d", table)

    def test_a_reading_without_a_spectrum_has_no_panel(self, sample, get):
        assert "<h2>Spectrum</h2>" not in get("/sources/1").html

    def test_read_again_with_its_lux_it_keeps_its_spectrum_and_says_so(self, page, get, post, stores):
        white = make_plan_of(stores).heads[6].white
        typed = {"cct": f"{white.cct + 10:.0f}", "duv": f"{white.duv:.4f}", "lux": "418"}
        assert "still counts" not in page.text
        post("/sources/7/reading", typed)
        after = get("/sources/7")
        assert "<h2>Spectrum</h2>" in after.html
        assert re.search(r"The spectrum of [^.]*still counts, bent to the newest reading\.", after.text)
        assert "The meter's own figures" not in after.text
        head = make_plan_of(stores).heads[6]
        assert head.source.reading.lux == 418
        assert head.white.cct == pytest.approx(white.cct + 10, abs=0.6)

    def test_what_was_metered_behind_the_stack_stands_before_what_was_predicted(
        self, page, get, press, post, stores
    ):
        assert "Gelled, predicted" in page.text and "Gelled, metered" not in page.text
        press("hung", make_plan_of(stores).heads[6].best.gels, number=7)
        post("/sources/7/reading", {"cct": "5480", "duv": "0.0021", "behind": "hung"})
        table = get("/sources/7").text.split("SSI is against")[1]
        assert table.index("Gelled, metered") < table.index("Gelled, predicted")
        assert re.search(r"CCT ?[\d ]+ K ?5 480 K ?[\d ]+ K", table)

    def test_a_new_reading_of_another_light_takes_the_panel_away_and_the_old_one_stays_listed(
        self, page, get, post
    ):
        assert "<h2>Spectrum</h2>" in page.html
        post("/sources/7/reading", {"cct": "5100", "duv": "0.002"})
        after = get("/sources/7")
        assert "<h2>Spectrum</h2>" not in after.html
        assert "2 readings" in after.text
        assert "spectrum" in after.text

    def test_uncertainty_drops_to_the_gels_and_the_meters(self, save, stores, get):
        [measured] = save(columns([LIGHT], ["Soft box"]))
        now = stores.sets.get_set(1)
        sources = [s.source for s in now.sources]
        white = make_plan(sources, now.target, now.limits, []).heads[6].white
        read = Reading(cct=white.cct, duv=white.duv)
        stores.sets.add_source(1, Source(name="The same, by its figures", reading=read))
        both = [get(f"/sources/{n}").html for n in (measured.id, measured.id + 1)]
        told = [float(re.search(r"</td><td>(\d+\.\d)</td>", html.split("Numbers")[1])[1]) for html in both]
        assert told[0] < told[1]


class TestName:
    def test_a_file_names_the_spectrum_that_it_does_not_name_itself(self, sample, client, stores):
        data = {"file": (io.BytesIO(columns([LIGHT]).encode()), "Bar_lamp 2.csv")}
        page = Page(client.post(f"/sets/{sample}/paste", data=data, content_type="multipart/form-data"))
        assert page.fields["name-1"] == "Bar lamp 2" and ASKED not in page.text
        sent = {**page.fields, **dict(page.ticked), "save": "yes"}
        client.post(f"/sets/{sample}/paste", data=sent)
        assert stores.sets.get_set(sample).sources[-1].source.name == "Bar lamp 2"

    def test_several_in_one_file_get_numbers(self, sample, client):
        data = {"file": (io.BytesIO(columns([LIGHT, WARM]).encode()), "bar/Bar.txt")}
        page = Page(client.post(f"/sets/{sample}/paste", data=data, content_type="multipart/form-data"))
        assert [page.fields[f"name-{k}"] for k in (1, 2)] == ["Bar 1", "Bar 2"]

    def test_a_name_in_the_file_counts_more(self, sample, client):
        data = {"file": (io.BytesIO(columns([LIGHT], ["Soft box"]).encode()), "Bar.csv")}
        page = Page(client.post(f"/sets/{sample}/paste", data=data, content_type="multipart/form-data"))
        assert page.fields["name-1"] == "Soft box"

    def test_what_nothing_names_is_asked_about_by_its_field(self, paste):
        page = paste(columns([LIGHT]))
        assert ASKED in page.text and '<details class="change" open' in page.html
        named = paste(page.fields["text"], {**page.fields, **dict(page.ticked), "name-1": "Torch"})
        assert ASKED not in named.text and named.fields["name-1"] == "Torch"
        assert ASKED not in paste(columns([LIGHT], ["Soft box"])).text
