"""Teaching a gel: a pair or a curve, what it would change, kept or left, undone. Every gel is invented."""

import re

import pytest

from advisor.model import LightSet, Reading, Source, Target
from tests.web.teaching import NAME, gel, kept, pair

CURVE = "nm,T\n" + "".join(f"{nm},{0.3 + (nm - 380) * 0.0015:.4f}\n" for nm in range(380, 785, 5))


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
            r"Now \+80 mired 0\.0 CC 0\.\d stops? ?Fitted \+87 mired \+1\.2 CC 0\.\d stop", page.text
        )
        assert re.search(r"\+87 mired, \+1\.2 CC, within \d\.\d %, from a pair of readings\.", page.text)
        assert "Read on tungsten. A pair on another kind of lamp tells more." in page.text
        assert same(page, form)
        assert stores.gels.in_force().version == 0

    def test_the_doubt_is_said_as_the_table_says_it(self, teach, sheet):
        form = pair(sheet)
        page = teach(form)
        doubt = re.search(r"\+1\.2 CC, (within \d\.\d %), from", page.text)[1]
        assert f"fitted to your meter, {doubt}" in teach(kept(page, form)).text

    def test_it_is_kept_shown_and_undone(self, teach, post, get, sheet, stores):
        form = pair(sheet)
        before = gel(stores)
        page = teach(kept(teach(form), form))
        assert page.heading == "27 gels, 1 by your meter, 2 not in use"
        assert "½ CTO fitted to a pair of readings." in page.text
        taught = gel(stores)
        assert (taught.mired, taught.cc) == (pytest.approx(87, abs=0.6), pytest.approx(1.2, abs=0.1))
        assert taught.percent == pytest.approx(8.5, abs=1)
        assert taught.stops == pytest.approx(0.45, abs=0.1)
        assert "· fitted to your meter" in page.text
        assert "are fitted to your meter" in get("/gels/edit?name=CTO+1%2F2").text
        undone = post("/gels/back", {"version": page.fields["version"]})
        assert "Shipped table put back." in undone.text
        assert gel(stores) == before
        assert "· fitted to your meter" not in undone.text

    def test_what_it_changes_in_sets_is_shown(self, teach, stores):
        far = Source(name="Far window", kind="daylight", reading=Reading(cct=6800, duv=0.004))
        stores.sets.create_set(LightSet(name="Attic", target=Target(cct=4400), sources=[far]))
        weak = gel(stores, "CTO 1/2").model_copy(update={"mired": 62.0})
        page = teach(pair(weak, "daylight", 5600))
        assert "What it changes" in page.text
        assert re.search(r"Far window Attic: Hang [^.]* becomes Hang ", page.text)

    def test_a_gel_that_is_as_its_row_says_changes_nothing(self, teach, sample, stores):
        page = teach(pair(gel(stores)))
        assert page.heading == "½ CTO is as its row says"
        assert "No set's best stack changes." in page.text

    def test_a_minus_green_that_also_cools_has_a_row(self, teach, stores):
        minus = gel(stores, "Minus green 1/4")
        form = pair(minus, "daylight", 5600, name=minus.name)
        cooler = 1e6 / (1e6 / float(form["gelled_cct"]) - 4.0)
        page = teach({**form, "gelled_cct": f"{cooler:.0f}"})
        assert re.search(r"Fitted −1 mired −7\.\d CC", page.text)

    def test_without_both_illuminances_the_old_loss_stays(self, teach, sheet, stores):
        for missing in ("lux", "gelled_lux"):
            form = {**pair(sheet), missing: ""}
            teach({**kept(teach(form), form)})
            assert gel(stores).stops is None
            assert gel(stores).mired == pytest.approx(87, abs=0.6)

    def test_foot_candles_are_taken_in_the_same_unit(self, teach, sheet, stores):
        form = pair(sheet)
        lux = teach(kept(teach(form), form)) and gel(stores).stops
        form = {**form, "lux": "92.9 fc", "gelled_lux": f"{float(form['gelled_lux']) / 10.764:.2f} fc"}
        teach(kept(teach(form), form))
        assert gel(stores).stops == pytest.approx(lux, abs=0.01)

    def test_commas_and_units_are_understood_and_given_back(self, teach, sheet):
        form = {**pair(sheet), "duv": "0,0005", "cct": "3 200 K", "lux": "1.000 lx"}
        page = teach(form)
        assert re.search(r"Fitted \+87 mired \+1\.2 CC", page.text)
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

    def test_a_row_that_somebody_changed_is_not_overwritten(self, teach, post, sheet, stores):
        form = pair(sheet)
        seen = teach(form)
        post("/gels/switch", {"name": "CTO 1/2", "on": ""})
        page = teach(kept(seen, form))
        assert page.status == 409
        assert "½ CTO not in use" in page.alerts[0]
        assert "Nothing was overwritten" in page.alerts[0]
        assert same(page, form)
        assert stores.gels.in_force().version == 1
        fitted = teach({**form, "version": page.fields["version"]})
        teach(kept(fitted, form))
        assert gel(stores).mired == pytest.approx(87, abs=0.6)
        assert not gel(stores, "CTO 1/2").on

    def test_another_row_that_somebody_changed_is_in_nobodys_way(self, teach, post, sheet, stores):
        form = pair(sheet)
        seen = teach(form)
        post("/gels/switch", {"name": "CTB 1/4", "on": ""})
        assert teach(kept(seen, form)).status == 200
        assert gel(stores).mired == pytest.approx(87, abs=0.6)
        assert not gel(stores, "CTB 1/4").on

    def test_a_version_that_is_none_is_never_taken_for_the_one_seen(self, teach, sheet, stores):
        form = pair(sheet)
        page = teach({**kept(teach(form), form), "version": "x"})
        assert page.status == 422
        assert "'x' is not a version of the table" in page.alerts[0]
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
        assert "You changed the fields, so the row below is new. Nothing is kept yet." in page.alerts[0]
        assert stores.gels.in_force().version == 0
        assert ">Save</button>" in page.html


class TestTransmittance:
    def form(self, text=""):
        return {"name": NAME, "transmittance": text, "take": "transmittance"}

    @pytest.mark.parametrize("percent", [False, True])
    def test_a_pasted_curve_in_shares_or_percent_is_taken(self, teach, stores, percent):
        rows = [line.split(",") for line in CURVE.splitlines()[1:]]
        text = "nm,T %\n" + "".join(f"{nm},{100 * float(v):.2f}\n" for nm, v in rows) if percent else CURVE
        form = self.form(text)
        page = teach(form)
        assert page.fields["transmittance"].strip() == text.strip()
        done = teach(kept(page, form))
        assert "½ CTO fitted to its transmittance." in done.text
        assert "· measured curve" in done.text
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
        form = {**pair(sheet), **self.form(CURVE)}
        page = teach(form)
        assert same(page, {k: v for k, v in form.items() if k != "transmittance"})
        assert "Fitted" in page.text

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            (CURVE.replace("0.3075", "-0.5"), "the value at 385 nm is negative, -0.5"),
            (CURVE.replace("0.3075", "1.04"), "the transmittance at 385 nm is 1.04"),
            (
                CURVE.replace("nm,T", "nm,T %").replace("0.3075", "104"),
                "the transmittance at 385 nm is 104 %",
            ),
            ("\n".join(CURVE.splitlines()[:15]), "14 samples"),
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
        [(b"PK\x03\x04", "spreadsheet or archive"), (b"1 ;2\n" * 30_000, "150000 characters"), (b"\0\1", "")],
    )
    def test_a_file_that_is_none_is_told_and_the_rest_given_back(self, teach, sheet, data, says):
        form = pair(sheet)
        page = teach(form, file=data)
        assert page.status == 422
        assert says in page.alerts[0]
        assert same(page, form)
