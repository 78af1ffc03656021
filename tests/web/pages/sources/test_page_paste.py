"""Paste and upload: what was understood is shown before it is saved; nothing that was typed is lost."""

import pytest

from tests.web.pasting import names

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
    assert page.fields["text"] == ONE_BAD
    assert names(stores) == ["A", "C"]
    page = paste(ONE_BAD, {**page.fields, "is-cell-3-CCT": "5600"})
    assert page.heading == "3 of 3 rows understood, of 1 source"
    assert page.ticked == {("use-3", "on")}
    paste(ONE_BAD, {**page.fields, **dict(page.ticked), "save": "yes"})
    assert names(stores) == ["A", "C", "B"]


def test_what_was_saved_is_not_saved_again_where_the_text_is_mended(paste, save, stores):
    page = save(ONE_BAD)
    page = paste(ONE_BAD.replace("56000", "5600"), page.fields)
    assert page.ticked == {("use-3", "on")}
    paste(page.fields["text"], {**page.fields, **dict(page.ticked), "save": "yes"})
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
    page = paste("Note,cct,duv\nRim,3200,0\nWash,5600,0\n")
    assert [page.fields[f"name-{n}"] for n in (2, 3)] == ["Source 1", "Source 2"]
    fields = {**page.fields, **dict(page.ticked), "name-3": "Cyc"}
    page = paste("Name,cct,duv\nRim,3200,0\nWash,5600,0\n", fields)
    assert [page.fields[f"name-{n}"] for n in (2, 3)] == ["Rim", "Cyc"]


def test_a_row_under_a_mended_heading_goes_to_the_source_that_it_names(paste):
    page = paste("Note,cct,duv\nBacklight,3100,0.0011\n")
    assert "into-2" not in page.fields
    page = paste("Title,cct,duv\nBacklight,3100,0.0011\n", {**page.fields, **dict(page.ticked)})
    assert page.fields["into-2"] == "5"


def test_what_was_not_used_ends_with_one_full_stop(paste):
    text = paste("Readings of the third day.\nname,cct,duv\nRim,3200,0\n").text
    assert "Not used: Readings of the third day." in text
    assert "day.." not in text


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

    def test_a_chat_is_taken_for_no_page(self, paste):
        page = paste(file=b"<Bo> key 5480 +.004\n<Al> fill 3190 -.001\n")
        assert page.heading == "2 of 2 rows understood"

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
        ("hello", "no line of it tells a reading"),
        ("<html><body><table><tr><td>5600</td></tr></table>", "a web page"),
        ("name,cct\x00,duv\n", "control character"),
        ("name,cct,duv\n" + "A,5600,0\n" * 501, "more than 500 rows"),
    ],
)
def test_a_text_that_cannot_be_read_says_why_and_is_given_back(paste, text, says):
    page = paste(text)
    assert page.status == 422
    assert says in page.alerts[0]
    assert "Allowed: " in page.alerts[0]
    assert page.fields["text"] == text.replace("\0", "\N{REPLACEMENT CHARACTER}")  # so browsers show it


def test_the_first_500_of_too_many_rows_are_a_tap_away(paste):
    page = paste("name,cct,duv\n" + "".join(f"A{n},5600,0\n" for n in range(501)))
    assert page.status == 422
    assert "Read the first 500" in page.text
    page = paste(data={**page.fields, "set": "first=500"}, text=None)
    assert page.status == 200
    assert "500 of 500 rows understood" in page.text
    assert "A500,5600,0: not read, nor what follows" in page.text


def test_a_long_text_that_cannot_be_read_is_shown_in_part_and_kept_whole(paste):
    text = "name,cct,duv\n" + "Lamp of the third day,5600,0\n" * 20_100
    page = paste(text)
    assert page.status == 422
    assert "20101 lines" in page.alerts[0]
    assert "text" not in page.fields
    assert "1 name,cct,duv 2 Lamp of the third day,5600,0" in page.text
    assert len(page.html) <= 64_000
    page = paste(data={**page.fields, "set": "turned=yes"}, text=None)
    assert page.status == 422
    assert "no longer has this text" not in page.alerts[0]


def test_a_long_text_of_which_nothing_is_kept_is_asked_for_again(paste):
    page = paste(data={"paste": "gone"}, text=None)
    assert page.status == 422
    assert page.alerts[0].startswith("the laptop no longer has this text")


def test_5_mb_are_refused_in_words(sample, paste):
    page = paste("x" * 5_000_000)
    assert page.status == 413
    assert page.heading == "This is too large, and nothing was changed"


def test_the_template_can_be_filled_in_and_pasted_back(client, paste):
    answer = client.get("/readings-template.csv")
    assert answer.headers["Content-Disposition"] == "attachment; filename=readings-template.csv"
    assert answer.mimetype == "text/csv"
    page = paste(answer.get_data(as_text=True))
    assert page.heading == "5 of 5 rows understood, of 3 sources"


def test_a_set_that_is_nearly_full_says_so_before_anything_is_ticked_and_keeps_the_text(paste, stores):
    text = "name,cct,duv\n" + "".join(f"R{n},5600,0\n" for n in range(497))
    page = paste(text)
    assert page.alerts == ["497 new sources, but this set has room for 494. Allowed: 500 sources in a set."]
    assert "Untick the last 3" in page.text
    full = paste(text, {**page.fields, **dict(page.ticked), "save": "yes"})
    assert full.status == 422
    assert "503 sources" in full.alerts[0]
    assert full.fields["text"] == text
    assert names(stores) == []
    page = paste(text, {**page.fields, **dict(page.ticked), "untick": "yes"})
    assert page.alerts == []
    assert len(page.ticked) == 494
    assert ("use-498", "on") not in page.ticked


def test_a_paste_of_500_rows_is_saved_with_a_field_a_row(client, post, stores):
    post("/sets/new", {"name": "Studio", "target_cct": "5600", "target_locus": "daylight"})
    text = "name,cct,duv\n" + "".join(f"R{n},5600,0\n" for n in range(500))
    page = post("/sets/1/paste", {"text": text})
    assert page.heading == "500 of 500 rows understood"
    assert len(page.fields) + len(page.ticked) < 520
    assert "460 sources more: R40 to R499" in page.text
    answer = client.post("/sets/1/paste", data={**page.fields, **dict(page.ticked), "save": "yes"})
    assert answer.status_code == 302
    assert len(stores.sets.get_set(1).sources) == 500


def test_a_row_to_mend_is_called_by_its_name_and_one_without_duv_says_so(paste, get, stores):
    rows = "Key,5600,0.0042,1240\nPractical,n/a,,40\nRim,3300,,80\nFill,54800,0.001,9\n"
    page = paste(f"Name,CCT,Duv,Lux\n{rows}")
    shown = page.text
    assert "Rim has no Duv: it counts as 0 until metered" in shown
    assert "3 300 K, Duv 0.0000, not metered, 80 lx" in " ".join(shown.split())
    assert "Fill Line 5" in " ".join(shown.split())
    assert "Practical,n/a,,40" in shown  # it waits for no Duv: it gives no colour at all
    page = paste(page.fields["text"], {**page.fields, **dict(page.ticked), "save": "yes"})
    rim = next(s for s in stores.sets.get_set(1).sources if s.source.name == "Rim")
    assert "Its Duv was not metered: it counts as 0." in get(f"/sources/{rim.id}").text
    assert "Duv 0.0000, which was not metered" in get("/sets/1/record").text
