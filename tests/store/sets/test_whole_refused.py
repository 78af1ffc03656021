"""What is no file of a set is refused, with its place; labels that differ from those here are told."""

import json

import pytest

from advisor.imports.set_file import read_whole
from advisor.model import UNREAD, Gel, Refused
from advisor.model.sets.labels import label_differences
from advisor.model.sets.whole import Whole
from tests.store.samples import SHIPPED, export


class TestRefused:
    """Each with its place, and with what to give instead."""

    @pytest.fixture
    def text(self, sets, office) -> str:
        return export(sets, office).to_json()

    def refused(self, text: str) -> list[tuple[str, str]]:
        with pytest.raises(Refused) as no:
            read_whole(text)
        return [(p.where, p.says) for p in no.value.problems]

    def test_it_reads_what_it_wrote(self, text):
        assert read_whole(text).to_json() == text

    def test_a_newer_advisors(self, text):
        says = "this comes from a newer advisor (format 4, this one reads 3)"
        newer = text.replace('"advisor_set": 2', '"advisor_set": 4, "more": 1')
        assert self.refused(newer) == [("advisor_set", says)]

    @pytest.mark.parametrize("number", ["true", '"1"', "0", "1.0", "null"])
    def test_a_format_that_never_was(self, text, number):
        [(where, says)] = self.refused(text.replace('"advisor_set": 2', f'"advisor_set": {number}'))
        assert where == "advisor_set" and "is not known" in says

    def test_one_that_breaks_off(self, text):
        for length in (len(text) // 3, len(text) // 2, len(text) - 2):
            cut = text[:length]
            [(_, says)] = self.refused(cut)
            assert says.startswith("the JSON breaks off at line "), cut[-40:]
        [(_, says)] = self.refused(text[: text.index('"Office"') + 4])
        assert "breaks off at line 8, column 11" in says

    def test_a_slip_of_somebodys_pen(self, text):
        [(_, says)] = self.refused(text.replace('"sample": false', '"sample" false'))
        assert says.startswith("this is not JSON at line 6, column 11, at 'false")

    def test_strange_fields_are_named_with_their_places(self, text):
        strange = text.replace('"kind": "daylight"', '"kind": "daylight", "lens": "50 mm"')
        strange = strange.replace('"cct": 2750.0', '"cct": 2750.0, "flicker": 1')
        assert self.refused(strange) == [
            ("sources[0].source.lens", "lens is not a field here"),
            ("sources[1].readings[0].reading.flicker", "flicker is not a field here"),
        ]
        outer = text.replace('"sample": false', '"sample": false, "crew": [], "weather": ""')
        assert self.refused(outer) == [("", "'crew', 'weather': not a field of a record")]

    def test_values_that_cannot_be_are_named_with_their_places(self, text):
        wrong = text.replace('"cct": 6800.0', '"cct": 680.0').replace(
            '"tolerance_steps": 3.0', '"tolerance_steps": "x"'
        )
        wrong = wrong.replace('"who": "Ilya"', '"who": 7', 1)
        assert [where for where, _ in self.refused(wrong)] == [
            "set.limits.tolerance_steps",
            "sources[0].readings[0].reading.cct",
            "sources[1].readings[1].who",
        ]

    @pytest.mark.parametrize("time", ["yesterday", "2024-11-25T05:41:00", "0001-01-01T00:00:00+05:00", ""])
    def test_a_time_without_its_zone(self, text, time):
        found = json.loads(text)
        found["sources"][0]["readings"][0]["taken_at"] = time
        [(where, says)] = self.refused(json.dumps(found))
        assert where == "sources[0].readings[0].taken_at" and "is not a time with its zone" in says

    def test_a_time_of_another_zone_is_the_same_time(self, text):
        found = json.loads(text)
        found["changed_at"] = "2024-11-25T07:41:00.5+02:00"
        assert read_whole(json.dumps(found)).changed_at == "2024-11-25T05:41:00.500000Z"

    def test_a_source_that_was_only_ever_read_behind_gels_is_taken(self, text):
        found = json.loads(text)
        found["sources"][0]["readings"] = found["sources"][0]["readings"][1:]
        source = read_whole(json.dumps(found)).sources[0].source
        assert source.reading == UNREAD and all(reading.gels for reading in source.readings)

    def test_readings_and_sources_in_the_wrong_place(self, text):
        found = json.loads(text)
        found["sources"][0]["source"]["reading"] = {"cct": 5600, "duv": 0}
        [(where, says)] = self.refused(json.dumps(found))
        assert (where, says) == ("sources[0].source", "reading stands inside the source")
        found = json.loads(text)
        found["set"]["sources"] = [{"name": "A", "reading": {"cct": 5600, "duv": 0}}]
        assert self.refused(json.dumps(found)) == [("", "set holds sources")]

    @pytest.mark.parametrize(
        ("target", "place", "says"),
        [
            ({"source": "Window"}, None, "does not say which source is 'Window'"),
            ({"source": "Window"}, 7, "does not say which source is 'Window'"),
            ({"source": "Window"}, 1, "target_source is 'Desk lamp', and the target is 'Window'"),
            ({"cct": 5600}, 0, "the target matches no source"),
        ],
    )
    def test_a_target_that_points_nowhere(self, text, target, place, says):
        found = json.loads(text)
        found["set"]["target"], found["target_source"] = target, place
        assert says in self.refused(json.dumps(found))[0][1]

    @pytest.mark.parametrize(
        ("text", "says"),
        [
            ("", "there is no text"),
            (" \n\ufeff", "there is no text"),
            ("name,cct,duv\nWindow,6800,0.004", "looks like a table (CSV)"),
            ("name;cct;duv\nWindow;6800;0,004", "looks like a table (CSV)"),
            ("<html><body>", "looks like a web page or XML"),
            ("Window 6800", "this is not JSON at line 1, column 1"),
            ("[]", "this file is not a record of a set"),
            ('{"sources": []}', "this file is not a record of a set"),
            ("[" * 1_000_000, "nested too deeply"),
            ('{"advisor_set": ' + "9" * 5000 + "}", "holds 99999999999999999…, which no quantity can be"),
            ('{"advisor_set": NaN}', "holds NaN, which no quantity can be"),
            ('{"advisor_set": 1e999}', "holds 1e999, which no quantity can be"),
            ("x" * 16_000_001, "the text has 16000001 characters"),
        ],
    )
    def test_what_is_no_record(self, text, says):
        assert says in self.refused(text)[0][1]

    def test_thousands_of_faults_are_counted(self, text):
        many = ", ".join(f'"k{i}": 1' for i in range(300))
        assert self.refused(text.replace('"kind": "daylight"', f'"kind": "daylight", {many}')) == [
            ("", "300 things in it are wrong")
        ]

    def test_half_a_sign_is_refused_in_words_that_can_be_shown(self, text):
        for wrong in ('"\\ud800": 1, "kind": "daylight"', '"kind": "\\ud800"'):
            for where, says in self.refused(text.replace('"kind": "daylight"', wrong)):
                assert (where + says).encode()


class TestLabels:
    def whole(self, sets, office, *gels: Gel) -> Whole:
        return sets.whole.export(office, gels)

    def test_the_same_labels_make_no_difference(self, sets, office):
        known = SHIPPED.rows[0].model_copy(update={"stock": 3, "note": "cut", "on": False})
        assert label_differences(self.whole(sets, office, known), SHIPPED.rows) == []

    def test_what_is_missing_or_differs_is_told_what_the_set_names_first(self, sets, office):
        there = self.whole(
            sets,
            office,
            Gel(family="Straw", fraction="1/4", mired=30, cc=-2),
            Gel(family="CTO", fraction="1/2", mired=78, cc=1.5, stops=0.5),
        )
        found = [(d.name, d.says, d.used) for d in label_differences(there, SHIPPED.rows)]
        assert found == [
            (
                "CTO 1/2",
                "mired 78 in the record, 81 here · CC 1.5 in the record, 0 here · "
                "stops 0.5 in the record, worked out here",
                True,
            ),
            ("Straw 1/4", "not in the table here", False),
        ]
