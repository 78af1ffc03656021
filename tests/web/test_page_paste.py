"""Paste and upload: what was understood is shown before it is saved; nothing that was typed is lost."""

import pytest

from advisor.model import Reading
from advisor.store.faults import NotFound
from tests.bakery import bakery

SIX = """name;kind;CCT [K];Duv;illuminance
Window;daylight;6.800;0,0040;900 lx
Key;discharge;5 820;0,0068;1.450 lx
Panel;led-white;5480;−0,0021;410
Tubes;fluorescent;4180;7,9×10⁻³;300
Back;tungsten;3190;-0,0003;60 fc
Shelf;tungsten;2720;0,0002;
"""
NAMES = ["Window", "Key", "Panel", "Tubes", "Back", "Shelf"]
ONE_BAD = "name,CCT,Duv\nA,5600,0.001\nB,56000,0.001\nC,3200,-0.002\n"


@pytest.fixture
def paste(sample, post):
    return lambda text="", data=None, file=b"": post(
        f"/sets/{sample}/paste", {**(data or {}), "text": text}, file=file
    )


@pytest.fixture
def save(paste):
    """Paste, change what stands on the page, and save."""

    def run(text, **changed):
        page = paste(text)
        ticks = dict(page.ticked)
        return paste(text, {**page.fields, **ticks, **changed, "save": "yes"})

    return run


def names(stores):
    return [s.source.name for s in stores.sets.get_set(1).sources][6:]


def test_what_was_understood_is_shown_and_nothing_is_saved_yet(paste, stores):
    page = paste(SIX)
    assert page.heading == "6 of 6 rows understood"
    assert [page.fields[f"name-{n}"] for n in range(2, 8)] == [
        "Window",
        "Key",
        "Panel",
        "Tubes",
        "Back",
        "Shelf",
    ]
    assert page.fields["kind-4"] == "led-white"
    assert "6 800 K, Duv +0.0040, 900 lx" in page.text
    assert "5 480 K, Duv −0.0021, 410 lx" in page.text
    assert "4 180 K, Duv +0.0079, 300 lx" in page.text
    assert "646 lx" in page.text  # 60 foot-candles of 10.764 lx (1 ft = 0.3048 m)
    assert "“CCT [K]” CCT" in page.text
    assert page.fields["text"].splitlines() == SIX.splitlines()
    assert names(stores) == []


def test_the_rows_that_are_ticked_are_saved(save, stores):
    page = save(SIX, **{"name-3": "Door key", "kind-7": "unknown"})
    assert "6 sources added." in page.text
    assert names(stores) == ["Window", "Door key", "Panel", "Tubes", "Back", "Shelf"]
    assert stores.sets.get_set(1).sources[-1].source.kind == "unknown"


def test_a_row_that_is_not_ticked_is_left_out(paste, stores):
    page = paste(SIX)
    ticks = dict(page.ticked - {("use-4", "on")})
    paste(SIX, {**page.fields, **ticks, "save": "yes"})
    assert names(stores) == ["Window", "Key", "Tubes", "Back", "Shelf"]


def test_with_no_row_ticked_nothing_is_saved(paste, stores):
    page = paste(SIX)
    page = paste(SIX, {**page.fields, "save": "yes"})
    assert page.status == 422
    assert "No row is ticked" in page.alerts[0]
    assert page.ticked == set()
    assert names(stores) == []


def test_a_row_that_is_not_understood_blocks_no_other_and_keeps_its_text(paste, save, stores):
    page = paste(ONE_BAD)
    assert page.heading == "2 of 3 rows understood"
    assert "Line 3 B,56000,0.001" in page.text
    assert page.alerts == ["CCT 56000 is out of range. Allowed: 1 000 to 25 000 K."]
    page = save(ONE_BAD)
    assert page.heading == "2 saved, 1 not understood"
    assert page.fields["text"] == "name,CCT,Duv\nB,56000,0.001"
    assert names(stores) == ["A", "C"]
    assert save(page.fields["text"].replace("56000", "5600")).alerts == []
    assert names(stores) == ["A", "C", "B"]


def test_a_row_outside_the_spectral_locus_says_so(paste):
    page = paste("name,x,y\nA,0.1,0.9\nB,0.31,0.32\n")
    assert page.heading == "1 of 2 rows understood"
    assert "x 0.1, y 0.9 is a colour that no light can have" in page.alerts[0]


def test_a_name_that_is_taken_gets_a_number_before_it_is_saved(paste, save, stores):
    page = paste("name,cct,duv\nBacklight,3200,0\nNew,5600,0\n")
    assert page.fields["name-2"] == "Backlight (2)"
    save("name,cct,duv\nBacklight,3200,0\nNew,5600,0\n", **{"into-2": ""})
    assert names(stores) == ["Backlight (2)", "New"]


def test_names_that_nobody_typed_follow_a_heading_that_was_mended(paste):
    page = paste("Thing,cct,duv\nRim,3200,0\nWash,5600,0\n")
    assert [page.fields[f"name-{n}"] for n in (2, 3)] == ["Source 1", "Source 2"]
    fields = {**page.fields, **dict(page.ticked), "name-3": "Cyc"}
    page = paste("Name,cct,duv\nRim,3200,0\nWash,5600,0\n", fields)
    assert [page.fields[f"name-{n}"] for n in (2, 3)] == ["Rim", "Cyc"]


def test_a_row_under_a_mended_heading_goes_to_the_source_that_it_names(paste):
    page = paste("Thing,cct,duv\nBacklight,3100,0.0011\n")
    assert "into-2" not in page.fields
    page = paste("Title,cct,duv\nBacklight,3100,0.0011\n", {**page.fields, **dict(page.ticked)})
    assert page.fields["into-2"] == "5"


def test_what_was_not_used_ends_with_one_full_stop(paste):
    text = paste("Readings of the third day.\nname,cct,duv\nRim,3200,0\n").text
    assert "Not used: Readings of the third day. " in text


def test_the_same_nameless_readings_can_be_pasted_twice(save, stores):
    for _ in range(2):
        save("cct,duv\n3200,0\n5600,0\n")
    assert names(stores) == ["Source 1", "Source 2", "Source 1 (2)", "Source 2 (2)"]


@pytest.mark.parametrize(
    ("typed", "says"), [("backlight", "'backlight'"), ("", "Name is empty"), ("n" * 81, "81 characters")]
)
def test_a_name_that_cannot_be_is_given_back(save, stores, typed, says):
    page = save("name,cct,duv\nOne,3200,0\nTwo,5600,0\n", **{"name-2": typed, "kind-3": "tungsten"})
    assert page.status == 422
    assert page.fields["name-2"] == typed
    assert page.fields["kind-3"] == "tungsten"
    assert [a for a in page.alerts if says in a]
    assert names(stores) == []


def test_a_taken_name_does_no_harm_in_a_row_that_is_not_ticked(paste, stores):
    page = paste("name,cct,duv\nOne,3200,0\nTwo,5600,0\n")
    paste(page.fields["text"], {**page.fields, "name-2": "Backlight", "use-3": "on", "save": "yes"})
    assert names(stores) == ["Two"]


def test_a_text_that_was_changed_is_shown_again_before_it_is_saved(paste, stores):
    page = paste("name,cct,duv\nOne,3200,0\nTwo,5600,0\n")
    ticks = dict(page.ticked)
    page = paste("name,cct,duv\nTwo,5600,0\n", {**page.fields, **ticks, "name-2": "Renamed", "save": "yes"})
    assert page.status == 422
    assert "nothing is saved yet" in page.alerts[0]
    assert page.fields["name-2"] == "Two"  # the name that was typed belonged to another row
    assert names(stores) == []


def test_reading_again_keeps_what_was_changed_on_rows_that_stayed(paste):
    page = paste(ONE_BAD)
    kept = {k: v for k, v in page.ticked if k != "use-4"}
    page = paste(ONE_BAD.replace("56000", "5600"), {**page.fields, **kept, "name-2": "Alpha"})
    assert page.heading == "3 of 3 rows understood"
    assert page.fields["name-2"] == "Alpha"
    assert {k for k, _ in page.ticked} == {"use-2", "use-3"}


def test_lines_of_name_and_value_are_understood(paste):
    page = paste("Window\nCCT: 6800 K\nDuv: 0.004\n\nDesk\nTcp = 2900\nΔuv = -0,0004\n")
    assert page.heading == "2 of 2 rows understood"
    assert "2 900 K, Duv −0.0004" in page.text


def test_several_lines_that_make_one_row_survive_the_form(save, stores):
    save("Window\r\nCCT: 6800 K\r\nDuv: 0.004\r\n\r\nDesk\r\nCCT: 2900\r\nDuv: 0\r\n")
    assert len(names(stores)) == 2


def test_columns_that_were_not_used_are_named(paste):
    assert "Not used: " in paste("name,cct,duv,weather\nA,5600,0,fog\n").text


class TestFiles:
    def test_a_file_is_read_like_a_text(self, paste):
        page = paste(file=SIX.encode())
        assert page.heading == "6 of 6 rows understood"
        assert page.fields["text"] == SIX

    @pytest.mark.parametrize("coding", ["utf-8-sig", "utf-16", "cp1252"])
    def test_its_coding_is_found_out(self, paste, coding):
        text = "name;cct;duv\nTür;5600;0,001\n"
        assert paste(file=text.encode(coding)).fields["name-2"] == "Tür"

    @pytest.mark.parametrize(
        ("data", "says"),
        [
            (b"PK\x03\x04\x00\x00", "a spreadsheet or archive file"),
            (b"\x89PNG\r\n\x1a\n\x00\x00", "control character"),
            (b"<!doctype html><table><tr><td>5600</td></tr></table>", "a web page"),
            (b"<?xml version='1.0'?><a/>", "XML"),
            (b"\n", "there is no text"),
            (b"x" * 1_000_001, "1 000 001 bytes"),
        ],
    )
    def test_what_is_no_text_is_refused(self, paste, data, says, stores):
        page = paste("kept", file=data)
        assert page.status == 422
        assert says in page.alerts[0]
        assert page.fields["text"] == "kept"
        assert names(stores) == []


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "there is no text"),
        ("hello", "there are no headings"),
        ("cct,CCT,duv\n5600,5700,0\n", "column 1 ('cct') and column 2 ('CCT') both give CCT"),
        ("<html><body><table><tr><td>5600</td></tr></table>", "a web page"),
        ("name,cct\x00,duv\n", "control character"),
        ("name,cct,duv\n" + "A,5600,0\n" * 501, "more than 500 rows"),
        ("ü" * 600_000, "1 200 000 bytes"),
    ],
)
def test_a_text_that_cannot_be_read_says_why_and_is_given_back(paste, text, says):
    page = paste(text)
    assert page.status == 422
    assert says in page.alerts[0]
    assert "Allowed: " in page.alerts[0]
    assert page.fields["text"] == text


def test_5_mb_are_refused_in_words(sample, paste):
    page = paste("x" * 5_000_000)
    assert page.status == 413
    assert page.heading == "This is too large; nothing was changed"


def test_the_template_can_be_filled_in_and_pasted_back(client, paste):
    answer = client.get("/readings-template.csv")
    assert answer.headers["Content-Disposition"] == "attachment; filename=readings-template.csv"
    assert answer.mimetype == "text/csv"
    page = paste(answer.get_data(as_text=True))
    assert page.heading == "5 of 5 rows understood, of 3 sources"


def test_a_set_that_is_full_says_so_and_keeps_the_text(paste, save, stores):
    text = "name,cct,duv\n" + "".join(f"R{n},5600,0\n" for n in range(95))
    page = save(text)
    assert page.status == 422
    assert "100" in page.alerts[0]
    assert page.fields["text"] == text
    assert names(stores) == []


DIMMED = """name,kind,dim level,modifier,cct,duv,lux,note
Panel,led-white,100,softbox,5480,-0.002,410,far end
Door,,,,6500,0.003,,
Panel,,60 %,softbox,5400,-0.0022,240,
Panel,,full,,5500,-0.0019,600,
"""
DRIFT = """name,level,cct,duv
Backlight,80,3050,0.0002
Backlight,60,2900,0.0004
"""


def source_named(stores, name):
    (found,) = [s for s in stores.sets.get_set(1).sources if s.source.name == name]
    return found


def levels(stored):
    return [(r.level, r.modifier) for r in (*stored.source.readings, stored.source.reading)]


class TestReadingsOfOneSource:
    def test_they_stand_together_under_one_name(self, paste, stores):
        page = paste(DIMMED)
        assert page.heading == "4 of 4 rows understood, of 2 sources"
        assert [k for k in page.fields if k.startswith("name-")] == ["name-2", "name-3"]
        assert {k for k, _ in page.ticked} == {"use-2", "use-3", "use-4", "use-5"}
        assert "5 480 K, Duv −0.0020, 410 lx · at 100 %, with softbox" in page.text
        assert "5 500 K, Duv −0.0019, 600 lx · at 100 %" in page.text
        assert "the last one ticked is the one that counts" in page.text
        assert names(stores) == []

    def test_they_are_saved_as_one_source_and_the_last_counts(self, save, stores):
        assert "2 sources added." in save(DIMMED, **{"name-2": "Big panel"}).text
        assert names(stores) == ["Big panel", "Door"]
        panel = source_named(stores, "Big panel")
        assert levels(panel) == [(100, "softbox"), (60, "softbox"), (100, "")]
        assert (panel.source.kind, panel.source.note, panel.source.reading.cct) == (
            "led-white",
            "far end",
            5500,
        )

    def test_a_reading_that_is_not_ticked_is_left_out(self, paste, stores):
        page = paste(DIMMED)
        ticks = dict(page.ticked - {("use-5", "on"), ("use-2", "on")})
        paste(DIMMED, {**page.fields, **ticks, "save": "yes"})
        assert levels(source_named(stores, "Panel")) == [(60, "softbox")]

    def test_a_source_of_which_none_is_ticked_is_left_out(self, paste, stores):
        page = paste(DIMMED)
        paste(DIMMED, {**page.fields, "use-3": "on", "save": "yes"})
        assert names(stores) == ["Door"]

    def test_one_that_is_not_understood_leaves_the_others_together(self, save, stores):
        page = save(DIMMED.replace("100,softbox", "130,softbox"))
        assert page.heading == "3 saved, 1 not understood"
        assert page.alerts == ["Dim level 130 is out of range. Allowed: 1 to 100 %."]
        assert page.fields["text"].splitlines() == [
            "name,kind,dim level,modifier,cct,duv,lux,note",
            "Panel,led-white,130,softbox,5480,-0.002,410,far end",
        ]
        assert levels(source_named(stores, "Panel")) == [(60, "softbox"), (100, "")]
        page = save(page.fields["text"].replace("130", "100"))
        assert page.heading == "1 reading added to Panel"
        assert levels(source_named(stores, "Panel")) == [(60, "softbox"), (100, ""), (100, "softbox")]

    def test_a_colour_that_no_light_has_is_told_in_its_row(self, paste):
        page = paste("name,level,x,y\nA,100,0.1,0.9\nA,50,0.31,0.32\nA,20,0.32,0.33\n")
        assert page.heading == "2 of 3 rows understood, of 1 source"
        assert page.fields["name-3"] == "A"
        assert "name-4" not in page.fields

    def test_two_that_stood_alike_are_both_kept_and_it_says_so(self, save, paste, stores):
        text = "name,level,cct,duv\nA,50,3200,0\nA,50,3100,0\n"
        assert "Line 3: 'A' stood alike on line 2; both readings are kept." in paste(text).text
        save(text)
        assert levels(source_named(stores, "A")) == [(50, ""), (50, "")]


class TestASourceThatIsThere:
    def test_readings_with_tags_are_added_to_it_unless_told_otherwise(self, paste, save, stores):
        page = paste(DRIFT)
        assert page.choices["into-2"] == ["5", ""]
        assert page.fields["into-2"] == "5"
        assert "added to Backlight, in this set" in page.text
        before = source_named(stores, "Backlight")
        page = save(DRIFT)
        assert page.heading == "2 readings added to Backlight"
        assert "/sources/5" in page.links
        assert names(stores) == []
        backlight = source_named(stores, "Backlight")
        assert levels(backlight) == [(None, ""), (80, ""), (60, "")]
        assert backlight.source.model_copy(update={"reading": before.source.reading, "readings": []}) == (
            before.source
        )
        assert [c.what for c in stores.sets.history(1)][-2:] == ["reading.added", "reading.added"]

    def test_they_can_be_a_new_source_instead(self, save, stores):
        assert "1 source added." in save(DRIFT, **{"into-2": ""}).text
        assert names(stores) == ["Backlight (2)"]
        assert levels(source_named(stores, "Backlight (2)")) == [(80, ""), (60, "")]
        assert levels(source_named(stores, "Backlight")) == [(None, "")]

    def test_a_reading_without_tags_is_one_of_it_first_and_can_be_a_new_source(self, paste, save, stores):
        text = "name,cct,duv\nbacklight,3100,0.0011\n"
        page = paste(text)
        assert (page.fields["into-2"], page.fields["name-2"]) == ("5", "backlight (2)")
        assert page.choices["into-2"] == ["5", ""]
        assert save(text).heading == "1 reading added to Backlight"
        assert source_named(stores, "Backlight").source.reading.cct == 3100
        assert names(stores) == []

    def test_what_stood_on_the_page_stays_when_it_is_read_again(self, paste):
        page = paste(DRIFT)
        fields = {**page.fields, **dict(page.ticked), "into-2": "", "name-2": "Rim"}
        page = paste(DRIFT, fields)
        assert (page.fields["into-2"], page.fields["name-2"]) == ("", "Rim")

    def test_its_own_kind_and_note_stay_and_it_says_so(self, paste):
        text = "name,kind,note,level,cct,duv\nBacklight,LED,gone dim,80,3050,0\n"
        page = paste(text)
        assert "the note 'gone dim' is not added to 'Backlight'" in page.text
        assert "kind 'led-white' is left out, 'Backlight' is 'tungsten'" in page.text

    def test_a_name_that_was_made_up_is_a_new_source(self, paste, save, stores):
        save("cct,duv\n3200,0\n")
        page = paste("level,cct,duv\n50,3100,0\n")
        assert (page.fields["into-2"], page.fields["name-2"]) == ("", "Source 1 (2)")

    def test_new_sources_and_readings_are_saved_in_one_go(self, save, stores):
        page = save(DRIFT + "Rim,50,5600,0\n")
        assert page.heading == "2 readings added to Backlight, 1 new source"
        assert names(stores) == ["Rim"]

    def test_where_the_new_sources_do_not_fit_no_reading_is_added_either(self, save, stores):
        page = save(DRIFT + "".join(f"R{n},,5600,0\n" for n in range(95)))
        assert page.status == 422
        assert "101 sources" in page.alerts[0]
        assert page.fields["into-2"] == "5"
        assert levels(source_named(stores, "Backlight")) == [(None, "")]
        assert names(stores) == []

    def test_one_that_was_removed_meanwhile_is_told_and_nothing_is_saved(self, paste, stores):
        page = paste(DRIFT)
        stores.sets.delete_source(5)
        page = paste(DRIFT, {**page.fields, **dict(page.ticked), "save": "yes"})
        assert page.status == 422
        assert [a for a in page.alerts if "the source that was to get the reading of 'Backlight'" in a]
        assert page.fields["text"] == DRIFT
        page = paste(DRIFT, {**page.fields, **dict(page.ticked), "save": "yes"})
        assert levels(source_named(stores, "Backlight (2)")) == [(80, ""), (60, "")]

    def test_what_is_left_to_mend_says_what_was_done(self, save, stores):
        page = save(DRIFT + "Backlight,0 %,2700,0\n")
        assert page.heading == "2 saved, 1 not understood"
        assert "2 readings added to Backlight." in page.text
        assert page.fields["text"] == "name,level,cct,duv\nBacklight,0 %,2700,0"

    def test_sources_of_another_set_get_nothing(self, paste, stores):
        other = stores.sets.create_set(bakery())
        page = paste(DRIFT)
        theirs = stores.sets.get_set(other).sources[4].id
        page = paste(DRIFT, {**page.fields, **dict(page.ticked), "into-2": str(theirs), "save": "yes"})
        assert page.status == 422
        assert levels(stores.sets.get_source(theirs)) == [(None, "")]
        with pytest.raises(NotFound):
            stores.sets.add_sources(1, [], {theirs: [Reading(cct=3000, duv=0)]})

    def test_an_address_that_names_no_source_is_an_empty_page(self, get, sample):
        assert get(f"/sets/{sample}/paste?to=99&to=x&readings=2").heading == "Paste readings"
