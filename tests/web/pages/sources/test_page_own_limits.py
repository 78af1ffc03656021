"""What may hang on one source: its form, its page, the set's, the record; kept like everything else of it."""

import re

import pytest

from advisor.model import NoGel, WantedOffset
from tests.web.page import beside, plain
from tests.web.tables import imported

WINDOW = 1


@pytest.fixture
def edit(sample, get, post):
    """Change the window's form, and send it."""

    def send(number=WINDOW, **fields):
        return post(f"/sources/{number}/edit", {**get(f"/sources/{number}/edit").fields, **fields})

    return send


@pytest.fixture
def source(stores):
    return lambda number=WINDOW: stores.sets.get_source(number).source


def sheets(get, number=WINDOW):
    """Return the gels of all stacks that the head's page shows in its light path."""
    return re.findall(r'<li class="sheet".*?</li>', get(f"/sources/{number}").html, re.DOTALL)


def test_one_layer_at_most_is_kept_shown_and_heeded(edit, source, get):
    assert edit(max_layers="1").status == 200
    assert source().max_layers == 1
    assert get(f"/sources/{WINDOW}/edit").fields["max_layers"] == "1"
    page = get(f"/sources/{WINDOW}")
    assert "1 layer at most." in page.text and len(sheets(get)) <= 1


@pytest.mark.parametrize(("why", "said"), [("heat", "Takes no gel (too hot)."), ("other", "Takes no gel.")])
def test_no_gel_is_kept_with_its_reason(edit, source, get, why, said):
    edit(no_gel=why)
    assert source().no_gel is NoGel(why)
    page = get(f"/sources/{WINDOW}")
    assert said in page.text and not sheets(get)
    assert get(f"/sources/{WINDOW}/edit").fields["no_gel"] == why
    edit(no_gel="")
    assert source().no_gel is None and "Takes no gel" not in get(f"/sources/{WINDOW}").text


def test_what_no_gel_may_bring_in_says_so_and_the_ways_out_in_their_order(edit, get):
    edit(2, no_gel="reach", kind="tungsten", cct="2900", duv="0")
    page = get("/sources/2")
    assert "It takes no gel (out of reach): " in page.text and "Gel cannot" not in page.text
    ways = re.search(r'<ol class="ways"[^>]*>(.*?)</ol>', page.html, re.DOTALL)
    found = [re.sub(r"<[^>]+>", "", way) for way in re.findall(r"<li>(.*?)</li>", ways[1], re.DOTALL)]
    assert plain(found[0]) == "It takes no gel (out of reach): one layer leaves it obvious too."
    assert found[1:] == ["Ask for another lamp.", "Leave it as it is, or go to another white."]
    assert "takes no gel (out of reach)" in get("/sets/1").row(2)


def test_a_head_that_takes_no_gel_is_left_bare_on_purpose_with_one_tap(edit, get, post, stores):
    edit(2, no_gel="other", kind="tungsten", cct="2900", duv="0")
    assert "Off on purpose? Save, then “Stays bare” on its page." in get("/sources/2/edit").text
    page = get("/sources/2")
    assert "Off on purpose? Stays bare" in page.text
    form = page.html.split('action="/sources/2/aim"')[1].split("</form>")[0]
    fields = dict(re.findall(r'name="(revision|from|wanted)" value="(\w+)"', form))
    left = post("/sources/2/aim", fields)
    assert stores.sets.get_source(2).source.aim == WantedOffset(leave=True)
    assert left.heading == get("/sources/2").heading and "Off on purpose?" not in left.text
    assert get("/sets/1").row(2).startswith("Left alone: 2 ")


def test_what_gel_cannot_bring_in_is_bare_on_paper_and_in_the_light(edit, get):
    """A stack on the tag would be climbed for."""
    edit(2, kind="sodium", cct="2040", duv="-0.001", lux="30", name="Street lamp")
    page = get("/sources/2")
    assert "Gel can’t fix this one" in page.text and "At best: Hang" in plain(page.text)
    for paper in ("tags", "sheet"):
        parts = re.split(r"<li>|<tr>|</table>", get(f"/sets/1/{paper}").html)
        [part] = [part for part in parts if "Street lamp" in part and "work at height" not in part]
        assert "Gel can’t fix this one" in part
        assert "CTB" not in plain(part) and 'class="sheet"' not in part
    row = re.search(r"2 Street lamp.*?</tr>", get("/sets/1/light").html, re.DOTALL)
    assert plain(row[0]).count("30") == 2 and "<td>0</td>" in row[0]


def test_a_head_beyond_its_tolerance_names_the_limit(edit, get):
    edit(2, max_layers="1", kind="tungsten", cct="2900", duv="0", tolerance_steps="30")
    edit(2, tolerance_steps="10")
    text = get("/sources/2").text
    assert re.search(r"With one more layer it [\w ,]+\.", plain(text))


def test_only_what_is_cut_for_it(edit, source, get):
    edit(only_cut="yes", only_gels=["CTO 1/8", "Minus green 1/8"])
    assert source().only_gels == ["CTO 1/8", "Minus green 1/8"]
    page = get(f"/sources/{WINDOW}/edit")
    assert {("only_cut", "yes"), ("only_gels", "CTO 1/8")} <= page.ticked
    assert "Only what is cut for it: ⅛ CTO and ⅛ minus green." in get(f"/sources/{WINDOW}").text
    assert all("⅛" in sheet for sheet in sheets(get))
    edit(only_cut="", only_gels=["CTO 1/8"])
    assert source().only_gels is None


def test_a_form_without_these_fields_leaves_them(edit, source, get, post):
    edit(max_layers="2", no_gel="heat", only_cut="yes", only_gels=["CTO 1/8"])
    fields = get(f"/sources/{WINDOW}/edit").fields
    short = {k: fields[k] for k in ("name", "kind", "cct", "duv", "lux", "note", "revision")}
    assert post(f"/sources/{WINDOW}/edit", {**short, "note": "other"}).status == 200
    now = source()
    assert (now.note, now.max_layers, now.no_gel, now.only_gels) == ("other", 2, NoGel.HEAT, ["CTO 1/8"])


@pytest.mark.parametrize(("layers", "says"), [("9", "Layers 9 is out of range"), ("one", "is not a number")])
def test_layers_that_are_none_come_back_with_words(edit, source, layers, says):
    page = edit(max_layers=layers)
    assert page.status == 422 and page.fields["max_layers"] == layers
    assert says in plain(beside(page, "max_layers"))
    assert source().max_layers is None


def test_a_reason_that_there_is_not_is_refused(edit):
    page = edit(no_gel="colour")
    assert page.status == 422 and "heat, reach, other" in beside(page, "no_gel")


def test_two_who_change_it_see_both(sample, get, post):
    seen = get(f"/sources/{WINDOW}/edit").fields
    post(f"/sources/{WINDOW}/edit", {**seen, "max_layers": "1"})
    page = post(f"/sources/{WINDOW}/edit", {**seen, "max_layers": "2"})
    assert page.status == 409 and "Layers, at most" in page.alerts[0]


def test_the_record_tells_it_and_the_file_of_the_set_carries_it(edit, get, client, stores):
    edit(max_layers="1", only_cut="yes", only_gels=["CTO 1/8"])
    text = get("/sets/1/record").text
    assert "layers, at most 1" in text and "gels that are cut" in text
    whole = stores.sets.whole.export(1, ())
    assert whole.sources[0].source.max_layers == 1
    assert whole.sources[0].source.only_gels == ["CTO 1/8"]


def test_a_gel_that_left_the_table_is_told_on_its_head_alone(edit, get, post):
    edit(only_cut="yes", only_gels=["CTO 1/8"])
    imported(post, {"text": "family,fraction,mired,cc\nCTO,1/4,40,0\nCTB,1/2,-70,0\n"})
    assert "CTO 1/8" in " ".join(get(f"/sources/{WINDOW}").alerts)
    assert get("/sources/2").alerts == []


def test_the_api_takes_them(client):
    def asked(**own):
        source = {"name": "Lamp", "kind": "tungsten", "reading": {"cct": 3000, "duv": 0}, **own}
        return client.post("/api/v1/advice", json={"target": {"cct": 5600}, "sources": [source]})

    def layers(**own):
        return max(stack["layers"] for stack in asked(**own).json["sources"][0]["stacks"])

    assert layers(max_layers=1) == 1 and layers(no_gel="heat") == 0 and layers(only_gels=[]) == 0
    for own, where in (
        ({"max_layers": 5}, "max_layers"),
        ({"no_gel": "colour"}, "no_gel"),
        ({"only_gels": ["Straw"]}, "only_gels[0]"),
    ):
        told = asked(**own)
        assert told.status_code == 422
        assert told.json["errors"][0]["where"] == f"sources[0].{where}"
