"""Curves in doubt on the pages: asked about, and taken as was said. Every curve is invented."""

import io
import re

import numpy as np
import pytest
from werkzeug.datastructures import FileStorage, MultiDict
from werkzeug.test import encode_multipart

from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.model import Gel
from tests.web.page import Page
from tests.web.tables import filled
from tests.web.teaching import NAME, gel, kept

HALF_CTO = gel_arrays_of((Gel(family="CTO", fraction="1/2", mired=80),)).transmittances[0]


def written(values, heading):
    return f"nm,{heading}\n" + "".join(f"{380 + 5 * i},{v:.5f}\n" for i, v in enumerate(values))


DENSITIES = -np.log10(HALF_CTO)
TABLE = "family,fraction,mired,spectrum\nCTO,1/2,80,cto.csv\nAmber,full,,amber.csv\n"
FLAT = written([0.5] * 81, "T")
FILES = {"truck.csv": TABLE, "cto.csv": written(DENSITIES, "density"), "amber.csv": FLAT}


class TestTeaching:
    @pytest.mark.parametrize(
        ("heading", "says"),
        [("density", "are headed as density"), ("value", "This curve leaves no white light")],
    )
    def test_densities_are_asked_about_and_taken_as_said(self, teach, stores, heading, says):
        form = {"name": NAME, "transmittance": written(DENSITIES, heading)}
        page = teach(form)
        assert says in page.alerts[0]
        assert "The label says +80 mired, 0.0 CC" in page.alerts[0]
        assert ">Save</button>" not in page.html
        assert stores.gels.in_force().version == 0
        main = re.search(r'<button class="main" name="take" value="(\w+)">([^<]*)<', page.html)
        assert main[1] == "density"
        assert re.fullmatch(r"It is density: use 10\^−D: \+80 mired, −?0\.\d CC", main[2])
        form |= {"take": "density"}
        teach(kept(teach(form), form))
        assert gel(stores).mired == pytest.approx(80, abs=0.2)
        assert gel(stores).transmittance is not None

    def test_a_form_cannot_keep_what_is_still_asked(self, teach, stores):
        keep = "CTO 1/2 80 0 0.4 measured"
        teach({"name": NAME, "transmittance": written(DENSITIES, "density"), "keep": keep})
        assert stores.gels.in_force().version == 0

    def test_a_way_that_is_none_is_told(self, teach):
        page = teach({"name": NAME, "transmittance": FLAT, "take": "reflectance"})
        assert page.status == 422
        assert "'reflectance' is not a way to take a curve" in page.alerts[0]


@pytest.fixture
def upload(client):
    def send(files, **fields):
        given = {name: io.BytesIO(data.encode()) for name, data in files.items()}
        parts = [("file", FileStorage(data, filename=name)) for name, data in given.items()]
        boundary, body = encode_multipart(MultiDict([*fields.items(), *parts]))
        kind = f"multipart/form-data; boundary={boundary}"
        return Page(client.post("/gels/import", data=body, content_type=kind, follow_redirects=True))

    return send


class TestImport:
    def test_a_curve_in_doubt_holds_the_import_up_until_somebody_says(self, upload, post, stores):
        page = upload(FILES)
        assert page.status == 200
        assert page.heading == "2 gels read, 1 question"
        assert stores.gels.in_force().version == 0
        ways = re.findall(r'name="take CTO 1/2" value="(\w+)"( checked)?', page.html)
        assert ways == [("density", " checked"), ("transmittance", ""), ("label", "")]
        post("/gels/import", filled(page) | {"do": "replace"})
        cto, amber = stores.gels.in_force().table.rows
        assert cto.transmittance.values == pytest.approx(HALF_CTO.tolist(), abs=1e-4)
        assert amber.transmittance.values[0] == 0.5

    def test_the_label_may_be_kept(self, upload, post, stores):
        page = upload(FILES)
        look = post("/gels/import", filled(page) | {"take CTO 1/2": "label", "do": "replace"})
        assert stores.gels.in_force().version == 0  # what would be imported is another table now
        post("/gels/import", filled(look) | {"take CTO 1/2": "label", "do": "replace"})
        assert stores.gels.in_force().table.rows[0].transmittance is None
        assert stores.gels.in_force().table.rows[0].mired == 80

    @pytest.mark.parametrize("carried", ["!", "AAAA", "UEsDBA=="])
    def test_curves_that_did_not_come_along_are_told(self, upload, post, stores, carried):
        page = upload(FILES)
        broken = post("/gels/import", {**page.fields, "beside": carried, "take CTO 1/2": "density"})
        assert broken.status == 422
        assert stores.gels.in_force().version == 0

    def test_a_row_without_a_label_has_none_to_keep(self, upload, post, stores):
        files = {**FILES, "amber.csv": written([0.3] * 81, "OD")}
        page = upload(files)
        assert re.findall(r'name="take Amber full" value="(\w+)"', page.html) == ["density", "transmittance"]
        answer = filled(page) | {"take Amber full": "label"}
        assert "Amber full has no label to keep" in post("/gels/import", answer).alerts[0]
