"""The truck's form: which series of CTO it has, and the figures of a swatch book."""

import pytest

from advisor.model import Known
from tests.web.page import beside
from tests.web.teaching import gel
from tests.web.truck import WINDOW, chosen, number


class TestSeries:
    def test_half_cto_of_110_gives_all_of_cto_the_stronger_figures(self, get, save, stores):
        page = save(series="stronger")
        rows = {g.fraction: g for g in stores.gels.in_force().table.rows if g.family == "CTO"}
        assert [g.mired for g in rows.values()] == [25, 65, 110, 135, 160]
        assert {g.off_percent for g in rows.values()} == {10}
        assert not rows["3/4"].on
        assert "Gels on the truck: 25 of 27, half CTO about 110." in page.text
        assert chosen(get("/gels/truck")) == "stronger"
        assert "Hang ¼ CTO" not in get(WINDOW).text  # 65 MK⁻¹ would be twice what is needed

    def test_the_words_follow_the_series(self, get, save):
        # 10⁶/5600 − 10⁶/6800 = 31.5 MK⁻¹: between 20 and 40; a sixth of the way from 25 to 65.
        assert "⅛ to ¼ CTO cool" in get(WINDOW).text
        save(series="stronger")
        assert "over ⅛ CTO cool" in get(WINDOW).text

    def test_a_row_that_is_known_better_keeps_its_figures(self, get, post, save, stores):
        for name, known in (("CTO 1/4", "taught"), ("CTO 1/8", "swatch"), ("CTO full", "measured")):
            where = f"/gels/edit?name={name.replace('/', '%2F')}"
            post(where, {**get(where).fields, "mired": "31", "known": known, "on": "yes"})
        save(series="stronger")
        rows = {g.fraction: g for g in stores.gels.in_force().table.rows if g.family == "CTO"}
        assert [g.mired for g in rows.values()] == [31, 31, 110, 135, 31]
        assert [g.known for g in rows.values()] == ["swatch", "taught", "generic", "generic", "measured"]

    def test_not_knowing_any_more_goes_back_to_the_lighter_ones(self, save, stores):
        shipped = stores.gels.in_force().table
        save(series="stronger")
        assert "Gels on the truck: 25 of 27, series of CTO not known." in save(series="").text
        assert stores.gels.in_force().table == shipped

    def test_figures_of_ones_own_stay_where_the_answer_stays(self, get, post, save, stores):
        fields = get("/gels/edit?name=CTO+1%2F4").fields
        post("/gels/edit?name=CTO+1%2F4", {**fields, "mired": "45", "percent": "8", "on": "yes"})
        save(stock={"ND 0.3": "1"})
        assert (gel(stores, "CTO 1/4").mired, gel(stores, "CTO 1/4").known) == (45, "generic")

    def test_another_series_is_refused(self, save):
        page = save(series="middling")
        assert page.status == 422 and "'middling' is not a CTO series" in page.alerts[0]


class TestSwatchBook:
    def test_what_is_typed_is_the_swatch_books(self, get, save, stores):
        page = save(
            mired={"CTO 1/2": "92", "CTB 1/2": "68", "CTB 1/4": "−33,5"}, cc={"Minus green 1/8": "3.2"}
        )
        assert "25 of 27, 4 from the swatch book." in page.text
        assert gel(stores, "CTO 1/2").mired == 92
        # The sign of a gel goes without saying; a keypad may have no minus.
        assert (gel(stores, "CTB 1/2").mired, gel(stores, "CTB 1/4").mired) == (-68, -33.5)
        assert gel(stores, "Minus green 1/8").cc == -3.2
        for name in ("CTO 1/2", "CTB 1/2", "CTB 1/4", "Minus green 1/8"):
            assert (gel(stores, name).known, gel(stores, name).off_percent) == (Known.SWATCH, 5)
        page = get("/gels/truck")
        assert page.fields[f"mired_{number(page, 'CTB 1/2')}"] == "-68"
        assert page.fields[f"mired_{number(page, 'CTB full')}"] == ""

    def test_the_words_follow_the_book(self, get, save):
        save(mired={"CTO 1/4": "31.5"})
        assert "¼ CTO cool" in get(WINDOW).text

    def test_the_same_figure_from_the_book_is_known_all_the_same(self, save, stores):
        save(mired={"CTO 1/2": "80"}, series="stronger")
        assert (gel(stores, "CTO 1/2").mired, gel(stores, "CTO 1/2").off_percent) == (80, 5)
        assert gel(stores, "CTO 1/4").mired == 65

    def test_what_is_shown_of_a_swatch_row_and_saved_again_stays(self, save, stores):
        save(mired={"CTB 1/2": "68"})
        before = stores.gels.in_force()
        save()
        assert stores.gels.in_force() == before

    def test_a_taught_row_is_only_replaced_by_what_is_typed(self, get, post, save, stores):
        where = "/gels/edit?name=CTO+1%2F4"
        note = "taught by a pair of readings; shelf 2"
        post(where, {**get(where).fields, "mired": "44", "known": "taught", "note": note, "on": "yes"})
        taught = gel(stores, "CTO 1/4")
        save(stock={"CTO 1/2": "2"})
        assert gel(stores, "CTO 1/4") == taught
        assert "Fitted to your meter. Another figure here replaces that." in get("/gels/truck").text
        save(mired={"CTO 1/4": "44"})
        assert gel(stores, "CTO 1/4") == taught
        save(mired={"CTO 1/4": "42"})
        new = gel(stores, "CTO 1/4")
        assert (new.mired, new.known) == (42, "swatch")
        assert "taught" not in new.note and new.note.endswith("shelf 2")

    @pytest.mark.parametrize(
        ("typed", "says"),
        [
            ({"mired": {"CTB 1/2": "+68"}}, "+68 mired is the wrong way for ½ CTB: it cools"),
            (
                {"cc": {"Plus green 1/4": "-7"}},
                "−7.0 CC is the wrong way for ¼ plus green: it adds green",
            ),
            ({"mired": {"Plus green 1/4": "-2"}}, "¼ plus green has a mired shift, and no green"),
            ({"mired": {"CTO 1/2": "80 K"}}, "has the unit 'K'"),
        ],
    )
    def test_what_cannot_be_is_refused(self, save, stores, typed, says):
        page = save(**typed)
        assert page.status == 422 and says in page.alerts[0]
        assert ("book", "yes") in page.ticked
        assert stores.gels.in_force().version == 0

    def test_a_shift_that_the_light_lost_does_not_allow_is_said_at_the_shift(self, get, post, save):
        where = "/gels/edit?name=CTO+full"
        post(where, {**get(where).fields, "stops": "0.75", "on": "yes"})
        page = save(mired={"CTO full": "400"})
        assert page.status == 422
        assert "stops" in beside(page, f"mired_{number(page, 'CTO full')}")
