"""Gel tables with measured transmittances: brought along as files, kept, shown and exported."""

import io
import re
import zipfile

import pytest
from werkzeug.datastructures import FileStorage, MultiDict
from werkzeug.test import encode_multipart

from tests.web.page import Page
from tests.web.tables import HEAD, filled, imported

CURVE = "wavelength,transmittance\n" + "".join(
    f"{nm},{0.3 + (nm - 380) * 0.0015:.4f}\n" for nm in range(380, 785, 5)
)
MEASURED = "family,fraction,mired,note,spectrum\nAmber,full,,invented,amber.csv\nTeal,full,-20,,\n"


@pytest.fixture
def upload(client, post):
    """Choose several files in one field, send them, and say yes to what is shown."""

    def send(files, **fields):
        parts = [("file", FileStorage(io.BytesIO(data), filename=name)) for name, data in files.items()]
        boundary, body = encode_multipart(MultiDict([*fields.items(), *parts]))
        kind = f"multipart/form-data; boundary={boundary}"
        page = Page(client.post("/gels/import", data=body, content_type=kind, follow_redirects=True))
        return post("/gels/import", filled(page) | {"do": "replace"}) if page.status == 200 else page

    return send


@pytest.fixture
def measured(upload, stores):
    """Have a table with a measured gel in force."""
    upload({"truck.csv": MEASURED.encode(), "amber.csv": CURVE.encode()})
    return stores.gels.in_force().table


class TestMeasured:
    def test_a_table_is_imported_with_the_curve_beside_it(self, measured, get):
        amber, teal = measured.rows
        assert amber.transmittance.values[:2] == [0.3, 0.3075]
        assert teal.transmittance is None
        # It left its figures to the curve.
        assert amber.mired > 10
        assert amber.stops == pytest.approx(0.87, abs=0.1)
        assert "· measured curve" in get("/gels").text
        assert get("/gels").html.count("· measured curve") == 1

    def test_what_is_exported_can_be_imported(self, measured, client, post, upload, stores):
        answer = client.get("/gels/gels.csv")
        assert answer.mimetype == "application/zip"
        assert answer.headers["Content-Disposition"] == "attachment; filename=gels.zip"
        assert client.get("/gels/gels.csv").data == answer.data
        post("/gels/back", {"version": "0"})
        upload({"gels.zip": answer.data})
        assert stores.gels.in_force().table == measured
        with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
            files = {name: archive.read(name) for name in archive.namelist()}
        post("/gels/back", {"version": "0"})
        upload(files)
        assert stores.gels.in_force().table == measured

    def test_a_pasted_table_may_have_its_curves_chosen(self, upload, stores):
        upload({"AMBER.csv": CURVE.encode()}, text=MEASURED)
        assert stores.gels.in_force().table.rows[0].transmittance is not None

    def test_a_curve_that_is_missing_is_told_and_the_table_given_back(self, upload, stores):
        page = upload({"truck.csv": MEASURED.encode()})
        assert page.status == 422
        assert page.alerts[0].startswith("Line 2, column spectrum: the file 'amber.csv' is not beside")
        assert page.fields["text"].removeprefix("\n") == MEASURED
        assert stores.gels.in_force().version == 0

    def test_what_was_chosen_goes_along(self, upload):
        page = upload({"truck.csv": MEASURED.encode(), "amber.csv": b"380,x\n"})
        assert "amber.csv, " in page.alerts[0]
        assert page.fields["beside"]

    @pytest.mark.parametrize(
        ("files", "says"),
        [
            ({"a.csv": MEASURED, "b.csv": MEASURED}, "a.csv and b.csv are gel tables"),
            ({"a.csv": HEAD + "A,full,9,,,,\n", "b.csv": CURVE}, "no row of the table names 'b.csv'"),
            ({"a.csv": CURVE, "b.csv": CURVE}, "none of the 2 files is a gel table"),
            ({"a.zip": "PK\x03\x04"}, "spreadsheet or archive"),
        ],
    )
    def test_files_that_make_no_table_are_told(self, upload, stores, files, says):
        page = upload({name: data.encode() for name, data in files.items()})
        assert page.status == 422
        assert says in page.alerts[0]
        assert stores.gels.in_force().version == 0

    def test_two_files_of_one_name_are_told(self, client):
        parts = [("file", FileStorage(io.BytesIO(b"x"), filename=f"{d}/a.csv")) for d in "xy"]
        boundary, body = encode_multipart(MultiDict(parts))
        kind = f"multipart/form-data; boundary={boundary}"
        page = Page(client.post("/gels/import", data=body, content_type=kind))
        assert page.status == 422
        assert "two files are called 'a.csv'" in page.alerts[0]

    def test_the_import_takes_several_files(self, get):
        assert re.search(r'<input id="file" type="file"[^>]* multiple', get("/gels/import").html)

    def test_the_form_keeps_what_was_measured_while_its_figures_stand(self, measured, get, post, stores):
        page = get("/gels/edit?name=Amber+full")
        assert "Its measured curve counts" in page.text
        post("/gels/edit?name=Amber+full", {**page.fields, "on": "yes"})
        assert stores.gels.in_force().table == measured
        post(
            "/gels/edit?name=Amber+full",
            {**get("/gels/edit?name=Amber+full").fields, "stock": "2", "on": "yes"},
        )
        assert stores.gels.in_force().table.rows[0] == measured.rows[0].model_copy(update={"stock": 2})

    def test_other_figures_put_a_label_in_its_place(self, measured, get, post, stores):
        fields = get("/gels/edit?name=Amber+full").fields
        post("/gels/edit?name=Amber+full", {**fields, "mired": "50", "on": "yes"})
        row = stores.gels.in_force().table.rows[0]
        assert (row.mired, row.transmittance) == (50, None)
        said = get("/gels").text.replace("Fitted to your meter or measured curve:", "")
        assert "measured" not in said.replace("worked out, not measured", "")

    def test_switching_keeps_it(self, measured, post, stores):
        post("/gels/switch", {"name": "Amber full", "on": ""})
        assert stores.gels.in_force().table.rows[0].transmittance == measured.rows[0].transmittance

    def test_figures_with_more_digits_than_the_form_shows_are_kept(self, get, post, stores):
        imported(post, {"text": HEAD + "Amber,full,90.123456789012,,,,\n"})
        fields = get("/gels/edit?name=Amber+full").fields
        post("/gels/edit?name=Amber+full", {**fields, "note": "mine", "on": "yes"})
        assert stores.gels.in_force().table.rows[0].mired == 90.123456789012
