"""Teaching a gel: a pair or a curve, what it would change, kept or left, undone. Every gel is invented."""

import re

import pytest

from advisor.advice.rack import rack_of
from advisor.model import Gel, LightSet, Reading, Source, Spectrum, Target
from tests.advice.pairs import gelled, head

CURVE = "nm,T\n" + "".join(f"{nm},{0.3 + (nm - 380) * 0.0015:.4f}\n" for nm in range(380, 785, 5))
NAME = "CTO 1/2"


def gel(stores, name=NAME):
    return next(g for g in stores.gels.in_force().table.rows if g.name == name)


def pair(sheet, kind="tungsten", cct=3200, duv=0.0005, lux="1000", name=NAME):
    """Fill the form with what a meter would read of a head bare and behind one sheet."""
    after = gelled(head(kind, cct, duv), sheet)
    return {
        "name": name,
        "kind": kind,
        "cct": str(cct),
        "duv": str(duv),
        "lux": lux,
        "gelled_cct": f"{after.cct:.0f}",
        "gelled_duv": f"{after.duv:.4f}",
        "gelled_lux": f"{after.lux:.0f}" if lux else "",
    }


@pytest.fixture
def sheet(stores):
    """A half CTO that is a tenth stronger than its label, and greener."""
    return gel(stores).model_copy(update={"mired": 74.0, "cc": 1.5})


@pytest.fixture
def teach(post):
    return lambda form, **files: post("/gels/teach", form, **files)


def kept(page, form):
    """Fill in what the page's button would send."""
    found = re.search(r'name="keep" value="([^"]*)"', page.html)
    return {**form, "version": page.fields["version"], "keep": found[1]}


def same(page, form):
    """Whether everything that was typed still stands in the form."""
    return {k: page.fields.get(k) for k in form} == form


class TestAPair:
    def test_the_old_and_the_new_row_are_shown_and_nothing_is_kept_yet(self, teach, sheet, stores):
        form = pair(sheet)
        page = teach(form)
        assert page.status == 200
        assert page.heading == "½ CTO is off its row"
        assert re.search(r"The row was \d\.\d steps from what was measured\.", page.text)
        assert re.search(
            r"Now \+67 mired 0\.0 CC 0\.\d stops? ?Taught \+74 mired \+1\.5 CC 0\.\d stop", page.text
        )
        assert same(page, form)
        assert stores.gels.in_force().version == 0

    def test_it_is_kept_shown_and_undone(self, teach, post, get, sheet, stores):
        form = pair(sheet)
        before = gel(stores)
        page = teach(kept(teach(form), form))
        assert page.heading == "27 gels, 1 known by a meter"
        assert "½ CTO taught by a pair of readings." in page.text
        taught = gel(stores)
        assert (taught.mired, taught.cc) == (pytest.approx(74, abs=0.4), pytest.approx(1.5, abs=0.1))
        assert taught.stops == pytest.approx(0.45, abs=0.1)
        assert "· taught" in page.text
        assert "were taught by a pair" in get("/gels/edit?name=CTO+1%2F2").text
        undone = post("/gels/back", {"version": page.fields["version"]})
        assert "Shipped table put back." in undone.text
        assert gel(stores) == before
        assert "· taught" not in undone.text

    def test_what_it_changes_in_sets_is_shown(self, teach, stores):
        far = Source(name="Far window", kind="daylight", reading=Reading(cct=6800, duv=0.004))
        stores.sets.create_set(LightSet(name="Attic", target=Target(cct=4400), sources=[far]))
        weak = gel(stores, "CTO 1/2").model_copy(update={"mired": 50.0})
        page = teach(pair(weak, "daylight", 5600))
        assert "What it changes" in page.text
        assert re.search(r"Far window Attic: Hang [^.]* becomes Hang ", page.text)

    def test_a_gel_that_is_as_its_row_says_changes_nothing(self, teach, sample, stores):
        page = teach(pair(gel(stores)))
        assert page.heading == "½ CTO is as its row says"
        assert "No set's best stack changes." in page.text

    def test_what_a_row_cannot_say_is_told(self, teach, stores):
        minus = gel(stores, "Minus green 1/4")
        form = pair(minus, "daylight", 5600, name=minus.name)
        cooler = 1e6 / (1e6 / float(form["gelled_cct"]) - 4.0)
        page = teach({**form, "gelled_cct": f"{cooler:.0f}"})
        assert "a row’s two figures cannot say more" in page.text

    def test_without_both_illuminances_the_old_loss_stays(self, teach, sheet, stores):
        for missing in ("lux", "gelled_lux"):
            form = {**pair(sheet), missing: ""}
            teach({**kept(teach(form), form)})
            assert gel(stores).stops is None
            assert gel(stores).mired == pytest.approx(74, abs=0.4)

    def test_foot_candles_are_taken_in_the_same_unit(self, teach, sheet, stores):
        form = pair(sheet)
        lux = teach(kept(teach(form), form)) and gel(stores).stops
        form = {**form, "lux": "92.9 fc", "gelled_lux": f"{float(form['gelled_lux']) / 10.764:.2f} fc"}
        teach(kept(teach(form), form))
        assert gel(stores).stops == pytest.approx(lux, abs=0.01)

    def test_commas_and_units_are_understood_and_given_back(self, teach, sheet):
        form = {**pair(sheet), "duv": "0,0005", "cct": "3 200 K", "lux": "1.000 lx"}
        page = teach(form)
        assert re.search(r"Taught \+74 mired \+1\.5 CC", page.text)
        assert same(page, form)


class TestRefusals:
    @pytest.mark.parametrize(
        ("change", "says"),
        [
            ({"gelled_lux": "1200"}, "1 200 lx behind the gel is not less than 1 000 lx bare"),
            ({"gelled_lux": "1000"}, "1 000 lx behind the gel is not less than"),
            ({"gelled_lux": "980"}, "0.03 stops lost is too little: this shift costs at least"),
            ({"gelled_cct": "9000", "gelled_duv": "0.02"}, "as no gel of the table moves it"),
            ({"gelled_cct": "3600", "gelled_duv": "-0.001"}, "the light moved as CTB "),
            ({"gelled_cct": ""}, "CCT is empty"),
            ({"gelled_duv": ""}, "Duv is empty"),
            ({"gelled_cct": "hot"}, "CCT 'hot' is not a number"),
            ({"gelled_duv": "0.2"}, "Duv 0.2 is out of range"),
            ({"cct": "500"}, "CCT 500 is out of range"),
            ({"duv": "green"}, "Duv 'green' is not a number"),
            ({"lux": "-5"}, "Illuminance -5 is out of range"),
            ({"gelled_lux": "lots"}, "Illuminance 'lots' is not a number"),
            ({"gelled_cct": "1000", "gelled_duv": "0.03"}, "a colour that no light can have"),
            ({"kind": "candle"}, "kind 'candle' is not known"),
            ({"name": "CTO 9/9"}, "no gel is called 'CTO 9/9' now"),
            ({"name": ""}, "no gel is called '' now"),
        ],
    )
    def test_every_refusal_says_why_and_gives_back_what_was_typed(self, teach, sheet, stores, change, says):
        form = {**pair(sheet), **change}
        page = teach(form)
        assert page.status == 422
        assert says in page.alerts[0]
        assert "Allowed: " in page.alerts[0]
        chosen = {k: v for k, v in form.items() if k not in change or k not in ("kind", "name")}
        assert same(page, chosen)
        assert stores.gels.in_force().version == 0

    def test_another_gel_than_said_can_be_chosen_without_typing_again(self, teach, sheet):
        page = teach(pair(sheet, name="CTB 1/2"))
        assert "the light moved as CTO 1/2 moves it, not CTB 1/2" in page.alerts[0]
        again = teach({**page.fields, "name": "CTO 1/2"})
        assert again.heading == "½ CTO is off its row"

    def test_a_problem_stands_beside_its_field(self, teach, sheet):
        html = teach({**pair(sheet), "gelled_duv": "0.2"}).html
        field = html[html.index('id="gelled_duv-note"') :]
        assert "Duv 0.2 is out of range" in field[:300]

    def test_a_newer_table_is_not_overwritten(self, teach, post, sheet, stores):
        form = pair(sheet)
        seen = teach(form)
        post("/gels/switch", {"name": "CTB 1/4", "on": ""})
        page = teach(kept(seen, form))
        assert page.status == 409
        assert "¼ CTB switched off" in page.alerts[0]
        assert "nothing was overwritten" in page.alerts[0]
        assert same(page, form)
        assert stores.gels.in_force().version == 1
        fitted = teach({**form, "version": page.fields["version"]})
        teach(kept(fitted, form))
        assert gel(stores).mired == pytest.approx(74, abs=0.4)
        assert not gel(stores, "CTB 1/4").on

    def test_a_version_that_is_none_is_never_taken_for_the_one_seen(self, teach, sheet, stores):
        form = pair(sheet)
        page = teach({**kept(teach(form), form), "version": "x"})
        assert page.status == 422
        assert "'x' is no version of the table" in page.alerts[0]
        assert stores.gels.in_force().version == 0

    def test_a_gel_that_was_removed_meanwhile_is_told(self, teach, post, sheet):
        form = pair(sheet)
        seen = teach(form)
        post("/gels/remove", {"name": NAME})
        page = teach(kept(seen, form))
        assert page.status == 422
        assert "no gel is called 'CTO 1/2' now" in page.alerts[0]
        assert page.fields["gelled_cct"] == form["gelled_cct"]

    def test_fields_changed_after_the_row_was_shown_are_shown_again_first(self, teach, sheet, stores):
        form = pair(sheet)
        page = teach({**kept(teach(form), form), "gelled_cct": f"{float(form['gelled_cct']) - 60:.0f}"})
        assert page.status == 200
        assert "changed since the row was shown; nothing is kept yet" in page.alerts[0]
        assert stores.gels.in_force().version == 0
        assert "Keep the taught row" in page.html


class TestTransmittance:
    def form(self, text=""):
        return {"name": NAME, "transmittance": text}

    @pytest.mark.parametrize("percent", [False, True])
    def test_a_pasted_curve_in_shares_or_percent_is_taken(self, teach, stores, percent):
        rows = [line.split(",") for line in CURVE.splitlines()[1:]]
        text = "nm,T %\n" + "".join(f"{nm},{100 * float(v):.2f}\n" for nm, v in rows) if percent else CURVE
        form = self.form(text)
        page = teach(form)
        assert page.fields["transmittance"].strip() == text.strip()
        done = teach(kept(page, form))
        assert "½ CTO taught by its transmittance." in done.text
        assert "· measured" in done.text
        assert gel(stores).transmittance.values[:2] == pytest.approx([0.3, 0.3075])
        assert gel(stores).stops == pytest.approx(0.85, abs=0.15)

    def test_an_uploaded_curve_is_taken_and_survives_the_preview(self, teach, stores):
        page = teach(self.form(), file=CURVE.encode("utf-16"))
        assert page.status == 200
        form = self.form(page.fields["transmittance"])
        teach(kept(page, form))
        assert gel(stores).transmittance is not None

    def test_a_tm27_file_is_taken(self, teach, stores):
        rows = "".join(f'<SpectralData wavelength="{nm}">0.5</SpectralData>' for nm in range(380, 785, 5))
        text = (
            '<?xml version="1.0"?><IESTM2714 xmlns="iestm2714" version="1.0"><Header/><SpectralDistribution>'
            f"<SpectralQuantity>other</SpectralQuantity>{rows}</SpectralDistribution></IESTM2714>"
        )
        page = teach(self.form(), file=text.encode())
        assert page.status == 200, page.alerts
        assert "1.0 stop" in page.text

    def test_a_pair_beside_a_curve_does_not_stand_in_its_way(self, teach, sheet, stores):
        form = {**pair(sheet), "transmittance": CURVE}
        page = teach(form)
        assert same(page, {k: v for k, v in form.items() if k != "transmittance"})
        assert "Taught" in page.text

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            (CURVE.replace("0.3075", "-0.5"), "the value at 385 nm is negative, -0.5"),
            (CURVE.replace("0.3075", "1.04"), "the transmittance at 385 nm is 1.04"),
            (
                CURVE.replace("nm,T", "nm,T %").replace("0.3075", "104"),
                "the transmittance at 385 nm is 104 %",
            ),
            ("\n".join(CURVE.splitlines()[:20]), "19 samples"),
            ("nm,T\n" + "".join(f"{nm},0.5\n" for nm in range(450, 655, 5)), "runs from 450 to 650 nm"),
            (CURVE.replace("\n", ",0.5\n"), "the text holds 2 curves"),
            ("a lovely amber", "no spectrum in the text"),
            (
                "nm,T\n" + "".join(f"{nm},{0.9 if nm > 620 else 0}\n" for nm in range(380, 785, 5)),
                "no longer a white",
            ),
            ("<!DOCTYPE x [<!ENTITY a 'b'>]><IESTM2714>&a;</IESTM2714>", ""),
        ],
    )
    def test_what_is_no_curve_is_told_and_given_back(self, teach, stores, text, says):
        page = teach(self.form(text))
        assert page.status == 422
        assert says in page.alerts[0]
        assert page.fields["transmittance"].strip() == text.strip()
        assert stores.gels.in_force().version == 0

    @pytest.mark.parametrize(
        ("data", "says"),
        [(b"PK\x03\x04", "spreadsheet or archive"), (b"1\n" * 60_000, "120000 characters"), (b"\0\1", "")],
    )
    def test_a_file_that_is_none_is_told_and_the_rest_given_back(self, teach, sheet, data, says):
        form = pair(sheet)
        page = teach(form, file=data)
        assert page.status == 422
        assert says in page.alerts[0]
        assert same(page, form)


class TestWhereItBegins:
    def test_from_a_row_the_gel_is_chosen(self, get):
        page = get("/gels/teach?name=CTO+1%2F2")
        assert page.heading == "Teach ½ CTO"
        assert page.fields["name"] == NAME

    def test_without_a_gel_one_is_chosen_on_the_page(self, get, stores):
        page = get("/gels/teach")
        assert page.heading == "Teach a gel"
        assert len(page.choices["name"]) == len(stores.gels.in_force().table.rows)

    def test_from_a_head_its_reading_is_the_bare_one(self, sample, get):
        page = get("/gels/teach?source=5")
        assert "Bare: Backlight" in page.text
        assert [page.fields[k] for k in ("kind", "cct", "duv", "lux")] == [
            "tungsten",
            "3190",
            "-0.0003",
            "640",
        ]

    def test_from_a_head_what_was_read_behind_one_sheet_comes_along(self, sample, get, stores):
        for cct, gels in ((4100, ["CTB 1/2"]), (4600, ["CTB 1/2", "CTB 1/4"])):
            stores.sets.add_reading(5, Reading(cct=cct, duv=0.001, lux=300, gels=gels))
        page = get("/gels/teach?source=5")
        assert page.fields["name"] == "CTB 1/2"
        assert [page.fields[f"gelled_{k}"] for k in ("cct", "duv", "lux")] == ["4100", "0.001", "300"]
        page = get("/gels/teach?source=5&name=CTB+1%2F4")
        assert (page.fields["name"], page.fields["gelled_cct"]) == ("CTB 1/4", "")

    @pytest.mark.parametrize("source", ["99", "x", "", "-1", "9" * 30, "٣"])
    def test_a_head_that_is_not_there_is_none(self, get, source):
        page = get(f"/gels/teach?source={source}")
        assert page.status == 200
        assert page.fields["cct"] == ""

    def test_a_head_without_a_white_leaves_the_bare_fields_to_be_typed(self, get, stores):
        far = Source(name="Neon", reading=Reading(xy=(0.7, 0.29)))
        stores.sets.create_set(LightSet(name="Attic", target=Target(cct=5600), sources=[far]))
        page = get("/gels/teach?source=1")
        assert page.status == 200
        assert "Bare: Neon" in page.text
        assert (page.fields["cct"], page.fields["duv"]) == ("", "")

    def test_a_head_read_as_x_y_shows_its_white(self, get, stores):
        near = Source(name="Panel", reading=Reading(xy=(0.3331, 0.3441)))
        stores.sets.create_set(LightSet(name="Attic", target=Target(cct=5600), sources=[near]))
        page = get("/gels/teach?source=1")
        assert float(page.fields["cct"]) == pytest.approx(5470, abs=30)

    def test_a_gel_that_is_not_there_has_no_page(self, get):
        assert get("/gels/teach?name=CTO+9%2F9").status == 404

    def test_a_head_with_a_spectrum_is_taught_by_it(self, get, teach, stores):
        """Three narrow bands: of its CCT and Duv alone the fit would come out otherwise."""
        values = [0.01] * 81
        for at, width, peak in ((14, 3, 1.0), (32, 3, 0.9), (49, 3, 1.2)):
            values[at : at + width] = [peak] * width
        light = Spectrum(start=380, step=5, values=values)
        source = Source(name="Tubes", kind="led-mix", reading=Reading(spectrum=light, lux=1000))
        stores.sets.create_set(LightSet(name="Attic", target=Target(cct=5600), sources=[source]))
        page = get("/gels/teach?name=CTO+1%2F2&source=1")
        assert "Bare: Tubes" in page.text
        assert page.fields["cct"] != ""
        sheet = Gel(family="CTO", fraction="1/2", mired=64.0, cc=1.0)
        after = gelled(source, sheet)
        form = {**page.fields, "gelled_cct": f"{after.cct:.1f}", "gelled_duv": f"{after.duv:.5f}"}
        teach(kept(teach(form), form))
        assert gel(stores).mired == pytest.approx(64, abs=0.3)
        assert gel(stores).cc == pytest.approx(1, abs=0.1)
        assert rack_of((gel(stores),)).by_label.all()

    def test_a_head_whose_figures_are_typed_over_is_what_was_typed(self, sample, get, teach, stores):
        page = get("/gels/teach?name=CTO+1%2F2&source=5")
        sheet = gel(stores).model_copy(update={"mired": 74.0})
        form = {**page.fields, **pair(sheet, "daylight", 5600)}
        teach(kept(teach(form), form))
        assert gel(stores).mired == pytest.approx(74, abs=0.4)
