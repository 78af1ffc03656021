"""The gel table: seen, added to, changed, switched, removed, imported, exported, put back."""

import re
from urllib.parse import unquote

import pytest

from advisor.model import GelTable, Known
from tests.web.tables import HEAD, imported

ROW = {
    "family": "CTO",
    "fraction": "1/16",
    "mired": "8,4",
    "cc": "",
    "stops": "",
    "stock": "",
    "note": "",
    "on": "yes",
}


def gel_names(stores):
    return [g.name for g in stores.gels.in_force().table.rows]


@pytest.fixture
def shipped(stores):
    return gel_names(stores)


def test_the_table_shows_every_row_and_explains_every_column(get, shipped):
    page = get("/gels")
    assert page.html.count('aria-label="One sheet more of') == len(shipped) == 27
    assert page.html.count('<li class="off">') == 2
    for column in ("Mired shift", "Green", "Light", "Stock"):
        assert f"{column}: " in page.text
    assert "¼ CTO +40 mired · (0.3 stop) · generic, within 25 %" in page.text
    assert "⅛ minus green −3.5 CC" in page.text
    assert "ND 0.3 1.0 stop · generic, within 3 %" in page.text


def test_a_gel_is_added(get, post, stores, shipped):
    page = post("/gels/new", {**ROW, "stock": "3"})
    assert "1/16 CTO added." in page.text
    assert "1/16 CTO +8 mired" in page.text
    assert "3 sheets" in page.text
    assert gel_names(stores) == [*shipped, "CTO 1/16"]


def test_a_family_of_ones_own_takes_part_in_the_ranking(get, post):
    imported(post, {"text": HEAD + "ND,0.3,,,1,,\n"})
    post("/gels/new", {**ROW, "family": "Rosé", "fraction": "full", "mired": "+32", "cc": "-0.8"})
    assert "Hang full rosé" in get("/?cct=6800&duv=0.004&kind=daylight").text


@pytest.mark.parametrize("typed", ["Caf\u00e9", "Cafe\u0301"])
def test_an_accent_may_be_a_sign_of_its_own(post, stores, typed):
    assert post("/gels/new", {**ROW, "family": typed}).status == 200
    assert gel_names(stores)[-1] == "Caf\u00e9 1/16"
    page = post("/gels/new", {**ROW, "family": "Cafe\u0301"})
    assert "there is a Caf\u00e9 1/16 in the table already" in page.alerts[0]


def test_a_gel_is_changed(get, post, stores, shipped):
    fields = get("/gels/edit?name=CTO+1%2F4").fields
    assert fields["family"] == "CTO"
    page = post("/gels/edit?name=CTO+1%2F4", {**fields, "mired": "65", "on": "yes"})
    assert "¼ CTO changed." in page.text
    assert "¼ CTO +65 mired" in page.text
    assert gel_names(stores) == shipped


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"mired": "65"}, "from the swatch book, within 5 %"),
        ({"mired": "65", "known": "taught"}, "fitted to your meter, within 5 %"),
        ({"mired": "65", "percent": "8"}, "generic, within 8 %"),
        ({"percent": "8 %"}, "generic, within 8 %"),
        ({"known": "swatch"}, "from the swatch book, within 5 %"),
        ({"known": ""}, ""),
        ({"reference": "3 200 K"}, "from the swatch book, within 5 %"),
    ],
)
def test_other_figures_are_the_swatch_books_unless_the_form_says_otherwise(get, post, typed, said):
    fields = get("/gels/edit?name=CTO+1%2F4").fields
    page = post("/gels/edit?name=CTO+1%2F4", {**fields, "on": "yes", **typed})
    row = re.search(r"¼ CTO (\+\d\d mired.*?) ?−", page.text)[1]
    assert row.split(" · ")[2:] == ([said] if said else [])


@pytest.mark.parametrize(
    ("typed", "known", "mired"),
    [
        ({}, "taught", 43.27),
        ({"mired": "+43"}, "taught", 43.27),
        ({"mired": "43,3", "cc": "0"}, "taught", 43.27),
        ({"stops": "0.4"}, "taught", 43.27),
        ({"mired": "43.4"}, "swatch", 43.4),
        ({"cc": "1"}, "swatch", 43.27),
    ],
)
def test_only_another_shift_changes_how_a_taught_row_is_known(get, post, stores, typed, known, mired):
    """The table shows +43 mired: whoever types that again says nothing new."""
    now = stores.gels.in_force()
    more = {"mired": 43.27, "known": Known.TAUGHT, "percent": 4.8, "note": "taught by a pair of readings"}
    rows = [g.model_copy(update=more) if g.name == "CTO 1/4" else g for g in now.table.rows]
    stores.gels.replace(GelTable(rows=rows), "taught")
    where = "/gels/edit?name=CTO+1%2F4"
    post(where, {**get(where).fields, "on": "yes", **typed})
    row = stores.gels.in_force().table.find("CTO 1/4")
    assert (row.known, row.mired, row.percent) == (known, mired, 4.8 if known == "taught" else None)
    assert row.note == ("taught by a pair of readings" if known == "taught" else "")
    assert row.stops == (0.4 if "stops" in typed else None)


def test_a_gel_that_is_added_is_from_the_swatch_book(get, post, stores):
    assert get("/gels/new").fields["known"] == "swatch"
    post("/gels/new", {**ROW, "known": "swatch", "reference": "3200"})
    new = stores.gels.in_force().table.rows[-1]
    assert (new.known, new.percent, new.reference, new.off_percent) == ("swatch", None, 3200, 5)


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("reference", "900", "Reference 900 is out of range"),
        ("percent", "-3", "How far it may be off -3 is out of range"),
        ("known", "guessed", "'guessed' is not known"),
    ],
)
def test_what_a_row_cannot_say_of_itself_is_refused_at_its_field(post, stores, field, typed, says):
    page = post("/gels/new", {**ROW, field: typed})
    assert page.status == 422 and says in page.alerts[0]
    assert stores.gels.in_force().version == 0


def test_saving_the_form_as_it_was_leaves_the_row_as_it_was(get, post, stores):
    before = stores.gels.in_force().table
    post("/gels/edit?name=CTO+1%2F2", {**get("/gels/edit?name=CTO+1%2F2").fields, "on": "yes"})
    assert stores.gels.in_force().table == before


def test_a_gel_is_switched_off_and_on(get, post):
    post("/gels/switch", {"name": "CTO 1/4", "on": ""})
    assert get("/gels").text.count("· not in use") == 3  # with ¾ CTO and CTB
    assert "Hang ¼ CTO" not in get("/?cct=6800&duv=0.004&kind=daylight").text
    assert ("on", "yes") not in get("/gels/edit?name=CTO+1%2F4").ticked
    post("/gels/switch", {"name": "CTO 1/4", "on": "yes"})
    assert get("/gels").text.count("· not in use") == 2
    assert "Hang ¼ CTO" in get("/?cct=6800&duv=0.004&kind=daylight").text


def test_the_api_uses_the_table_in_force(client, post):
    source = {"name": "Window", "kind": "daylight", "reading": {"cct": 6800, "duv": 0.004}}
    ask = {"target": {"cct": 5600}, "sources": [source]}

    def hung():
        [found] = client.post("/api/v1/advice", json=ask).json["sources"]
        return {gel for stack in found["stacks"] for gel in stack["gels"]}

    assert "CTO 1/4" in hung()
    post("/gels/remove", {"name": "CTO 1/4"})
    assert "CTO 1/4" not in hung()


def test_stock_is_kept_to(post, get):
    tungsten = "/?cct=2720&duv=0.0002&kind=tungsten"
    for name in ("1/8", "1/4", "1/2", "3/4", "full"):
        fields = get(f"/gels/edit?name=CTB+{name.replace('/', '%2F')}").fields
        post(f"/gels/edit?name=CTB+{name.replace('/', '%2F')}", {**fields, "stock": "0", "on": "yes"})
    page = get(tungsten)
    assert "Gel can’t fix this one" in page.text
    assert not re.search(r"[Hh]ang [^.]*CTB", page.text)
    assert "CTB" not in "".join(re.findall(r'<li class="sheet".*?</li>', page.html, re.DOTALL))


def test_a_gel_is_removed_and_brought_back(post, stores, shipped):
    page = post("/gels/remove", {"name": "CTO 1/4"})
    assert "¼ CTO removed." in page.text
    assert gel_names(stores) == [n for n in shipped if n != "CTO 1/4"]
    assert page.posts[0] == "/gels/back"
    post("/gels/back", {"version": page.fields["version"]})
    assert gel_names(stores) == shipped


def test_removing_what_is_gone_already_changes_nothing(post, stores):
    assert post("/gels/remove", {"name": "CTO 9/9"}).status == 200
    assert post("/gels/switch", {"name": "CTO 1/4", "on": "yes"}).status == 200
    assert stores.gels.in_force().version == 0


def test_the_shipped_table_can_be_put_back(post, stores, shipped):
    imported(post, {"text": HEAD + "Amber,full,90,,,,\n"})
    assert gel_names(stores) == ["Amber full"]
    post("/gels/back", {"version": "0"})
    assert gel_names(stores) == shipped


@pytest.mark.parametrize(("version", "status"), [("", 422), ("abc", 422), ("-1", 422), ("99", 404)])
def test_a_version_that_is_none_puts_nothing_back(post, stores, version, status):
    post("/gels/remove", {"name": "CTO 1/4"})
    assert post("/gels/back", {"version": version}).status == status
    assert stores.gels.in_force().version == 1


def test_earlier_tables_can_be_put_back(post, get, stores, shipped):
    for name in ("CTO 1/4", "CTO 1/2", "CTO 3/4"):
        post("/gels/remove", {"name": name})
    page = get("/gels")
    assert "Earlier tables" in page.text
    post("/gels/back", {"version": "1"})
    assert gel_names(stores) == [n for n in shipped if n != "CTO 1/4"]


@pytest.mark.parametrize("path", ["/gels/edit", "/gels/edit?name=CTO+9%2F9"])
def test_a_gel_that_is_not_there_has_no_page(get, path):
    assert get(path).status == 404


class TestImportAndExport:
    def test_a_table_is_imported_whole_and_can_be_taken_back(self, post, stores, shipped):
        page = imported(post, {"text": HEAD + "Amber,full,90,,,2,Mine\nAmber,1/2,45,,,,\n"})
        assert "2 gels imported." in page.text
        assert gel_names(stores) == ["Amber full", "Amber 1/2"]
        post("/gels/back", {"version": "0"})
        assert gel_names(stores) == shipped

    def test_a_file_is_imported(self, post, stores):
        text = (HEAD + "Amber,full,90,,,,\n").replace(",", ";")
        imported(post, file=text.encode("utf-16"))
        assert gel_names(stores) == ["Amber full"]

    @pytest.mark.parametrize(
        ("rows", "says"),
        [
            ("Amber,1/0,90,,,,\n", "Line 2, column fraction: Fraction '1/0'"),
            ("A,full,9,,,,\nAmber,full,x,,,,\n", "Line 3, column mired: Mired shift 'x'"),
            ("Amber,full,90,400,,,\n", "Line 2, column cc: Green–magenta shift 400"),
            ("Amber,full,90,,,-2,\n", "Line 2, column stock: Stock -2"),
            ("Amber,full,,,,,\n", "Line 2: Amber full shifts no colour"),
            ("Amber,full,90,,,,\nAMBER,full,80,,,,\n", "line 2 and again on line 3"),
            (
                "Amber,full,-300,,,,\n",
                "Line 2, column mired: Amber full: this shift would take its reference",
            ),
            ("Amber,full,134,,0.1,,\n", "Line 2, column stops: Amber full: 0.1 stops is too little"),
            ("Amber,full,90,,,,,,extra\n", "Line 2: the row has 9 cells"),
        ],
    )
    def test_a_wrong_row_names_line_column_and_value(self, post, stores, rows, says):
        page = post("/gels/import", {"text": HEAD + rows})
        assert page.status == 422
        assert says in page.alerts[0]
        assert "Give " in page.alerts[0]
        assert "Nothing is changed yet." in page.text
        assert page.fields["text"].removeprefix("\n") == HEAD + rows
        assert stores.gels.in_force().version == 0

    def test_every_wrong_row_is_named_at_once(self, post):
        page = imported(post, {"text": HEAD + "Amber,1/0,x,,,,\nTeal,full,,400,,-1,\n"})
        assert page.heading == "0 gels read, 2 rows to fix"
        assert len(page.alerts) == 4

    def test_every_gel_that_nothing_can_do_is_named_with_its_line(self, post):
        rows = "Amber,full,-300,,,,\nTeal,full,-20,,,,\n# a remark\nPink,full,,-60,,,\nRust,full,134,,0.1,,\n"
        page = post("/gels/import", {"text": HEAD + rows})
        assert [a.split(": ")[0] for a in page.alerts] == [
            "Line 2, column mired",
            "Line 5, column cc",
            "Line 6, column stops",
        ]

    def test_a_table_without_gels_is_refused(self, post, stores):
        page = imported(post, {"text": HEAD})
        assert page.status == 422
        assert "the table holds no gel" in page.alerts[0]
        assert stores.gels.in_force().version == 0

    def test_one_gel_is_counted_as_one(self, post):
        assert "1 gel imported." in imported(post, {"text": HEAD + "Amber,full,90,,,,\n"}).text

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"PK\x03\x04", "spreadsheet or archive"),
            (b"\n", "there is no text"),
            (b"family\x01", "control character"),
            (b"<html></html>", "web page"),
            (b"cct,duv\n5600,0\n", "no table of gels"),
        ],
    )
    def test_a_wrong_file_is_refused(self, post, stores, data, says):
        page = imported(post, file=data)
        assert page.status == 422
        assert says in page.alerts[0]
        assert stores.gels.in_force().version == 0

    def test_what_is_exported_can_be_imported(self, client, post, stores):
        post("/gels/new", {**ROW, "note": '=SUM("a",1); –5 K', "stock": "0"})
        post("/gels/switch", {"name": "CTB 1/4", "on": ""})
        before = stores.gels.in_force().table
        answer = client.get("/gels/gels.csv")
        assert answer.mimetype == "text/csv"
        assert answer.headers["Content-Disposition"] == "attachment; filename=gels.csv"
        post("/gels/back", {"version": "0"})
        imported(post, file=answer.data)
        assert stores.gels.in_force().table == before


def test_history_reads_as_a_crew_says_it(post, get):
    post("/gels/remove", {"name": "CTO 1/4"})
    assert "Shipped table put back." in post("/gels/back", {"version": "0"}).text
    assert "Put back: ¼ CTO removed." in post("/gels/back", {"version": "1"}).text
    assert "version" not in re.sub(r"<[^>]*>", "", get("/gels").html)


def test_a_row_leads_to_its_meter(get):
    assert "/gels/edit?name=CTO+1/4" in [unquote(link) for link in get("/gels").links]
    assert "/gels/teach?name=CTO+1/4" in [unquote(link) for link in get("/gels/edit?name=CTO+1%2F4").links]
