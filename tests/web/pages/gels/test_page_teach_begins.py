"""Where teaching a gel begins: at its row, at a head, at what was read behind it."""

import pytest

from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.model import Gel, LightSet, Reading, Source, Spectrum, Target
from tests.advice.pairs import gelled
from tests.web.teaching import NAME, gel, kept, pair


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
        assert gel(stores).mired == pytest.approx(64, abs=1)
        assert gel(stores).cc == pytest.approx(1, abs=0.3)
        assert gel_arrays_of((gel(stores),)).by_label.all()

    def test_a_head_whose_figures_are_typed_over_is_what_was_typed(self, sample, get, teach, stores):
        page = get("/gels/teach?name=CTO+1%2F2&source=5")
        sheet = gel(stores).model_copy(update={"mired": 74.0})
        form = {**page.fields, **pair(sheet, "daylight", 5600)}
        teach(kept(teach(form), form))
        assert gel(stores).mired == pytest.approx(74, abs=0.4)
