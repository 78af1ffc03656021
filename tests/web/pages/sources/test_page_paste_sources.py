"""Pasted readings that are of one source, or of a source that the set has already."""

import pytest

from advisor.model import Reading
from advisor.store.file.faults import NotFound
from tests.bakery import bakery
from tests.web.pasting import names

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
        assert "the last one ticked counts" in page.text
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

    def test_one_that_is_not_understood_leaves_the_others_together(self, paste, save, stores):
        page = save(DIMMED.replace("100,softbox", "130,softbox"))
        assert page.heading == "3 saved, 1 not understood"
        assert page.alerts == ["Dim level 130 is out of range. Allowed: 1 to 100 %."]
        assert levels(source_named(stores, "Panel")) == [(60, "softbox"), (100, "")]
        page = paste(page.fields["text"], {**page.fields, "is-cell-2-dim level": "100"})
        page = paste(page.fields["text"], {**page.fields, **dict(page.ticked), "save": "yes"})
        assert page.heading == "1 reading added to Panel"
        assert levels(source_named(stores, "Panel")) == [(60, "softbox"), (100, ""), (100, "softbox")]

    def test_a_colour_that_no_light_has_is_told_in_its_row(self, paste):
        page = paste("name,level,x,y\nA,100,0.1,0.9\nA,50,0.31,0.32\nA,20,0.32,0.33\n")
        assert page.heading == "2 of 3 rows understood, of 1 source"
        assert page.fields["name-3"] == "A"
        assert "name-4" not in page.fields

    def test_two_that_stood_alike_are_both_kept_and_it_says_so(self, save, paste, stores):
        text = "name,level,cct,duv\nA,50,3200,0\nA,50,3100,0\n"
        assert (
            "Line 3: 'A' has the same level, modifier and dials on line 2. Both are kept." in paste(text).text
        )
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
        page = save(DRIFT + "".join(f"R{n},,5600,0\n" for n in range(495)))
        assert page.status == 422
        assert "501 sources" in page.alerts[0]
        assert page.fields["into-2"] == "5"
        assert levels(source_named(stores, "Backlight")) == [(None, "")]
        assert names(stores) == []

    def test_one_that_was_removed_meanwhile_is_told_and_nothing_is_saved(self, paste, stores):
        page = paste(DRIFT)
        stores.sets.delete_source(5)
        page = paste(DRIFT, {**page.fields, **dict(page.ticked), "save": "yes"})
        assert page.status == 422
        assert [a for a in page.alerts if "the source for the reading of 'Backlight'" in a]
        assert page.fields["text"] == DRIFT
        page = paste(DRIFT, {**page.fields, **dict(page.ticked), "save": "yes"})
        assert levels(source_named(stores, "Backlight")) == [(80, ""), (60, "")]

    def test_what_is_left_to_mend_says_what_was_done(self, save, stores):
        page = save(DRIFT + "Backlight,0 %,2700,0\n")
        assert page.heading == "2 saved, 1 not understood"
        assert "2 readings added to Backlight." in page.text
        assert page.fields["is-cell-4-dim level"] == "0 %"

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
