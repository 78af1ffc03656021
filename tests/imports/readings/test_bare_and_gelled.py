"""Tables that give what was read bare and what was read behind gels in columns of their own."""

import pytest

from advisor.imports import read_anything


def told(text):
    return [
        (row.source.name, row.source.reading.cct, row.source.reading.gels)
        for row in read_anything(text).rows
        if row.source
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Lamp\tCCT bare\tCCT with ½ CTO\tCCT with full CTO\nPar\t5620\t3850\t3020\n",
        "Lamp;CCT;CCT ½ CTO;CCT full CTO\nPar;5620;3850;3020\n",
        "Lamp,CCT no gel,CCT w/ 1/2 CTO,CCT w/ full CTO\nPar,5620,3850,3020\n",
        "Lamp | CCT | ½ CTO CCT | full CTO CCT\nPar | 5620 | 3850 | 3020\n",
        "Lamp;CCT ohne;CCT (1/2 CTO);CCT (full CTO)\nPar;5620;3850;3020\n",
        "Lamp  CCT (K)  CCT behind 1/2 CTO  CCT behind full CTO\nPar  5620  3850  3020\n",
    ],
)
def test_columns_that_name_the_gel_become_readings_behind_it(text):
    assert told(text) == [("Par", 5620, []), ("Par", 3850, ["CTO 1/2"]), ("Par", 3020, ["CTO full"])]


def test_light_goes_with_the_bare_reading_and_notes_with_both():
    rows = read_anything("Lamp,lux,CCT (bare),CCT (¼ minus green),note\nPar,900,5620,5580,spot\n").rows
    assert [row.source.reading.lux for row in rows] == [900, None]
    assert [row.source.note for row in rows] == ["spot", "spot"]


@pytest.mark.parametrize(
    "headings",
    ["Lamp;CCT;CCT with gel", "Lamp;CCT target;CCT with ½ CTO", "Lamp;CCT bare;CCT gelled"],
)
def test_where_nothing_names_the_gel_it_is_asked_which_counts(headings):
    [question] = [q for q in read_anything(f"{headings}\nPar;5620;4500\n").asked if q.key == "which-CCT"]
    assert question.choices


def test_a_column_of_one_reading_beside_its_gel_stays_as_it_is():
    assert told("Lamp;CCT;gel\nPar;3850;½ CTO\n") == [("Par", 3850, ["CTO 1/2"])]


TWO_WAYS = (
    "Light\tBare CCT\tBare Duv\tGel\tGelled CCT\tGelled Duv\tLux\n"
    "Left\t5720\t0.0021\t1/4 CTO\t4690\t0.0013\t900\nRight\t5860\t0.0034\tnone\t\t\t700\n"
)


def test_bare_and_behind_the_gel_of_its_row_are_both_readings_in_one_tap():
    [question] = read_anything(TWO_WAYS).asked
    assert (question.key, question.likely) == ("which-CCT", "both")
    paste = read_anything(TWO_WAYS, {"which-CCT": "both"})
    read = [(r.source.name, r.source.reading.cct, r.source.reading.gels) for r in paste.rows if r.source]
    assert read == [("Left", 5720, []), ("Left", 4690, ["CTO 1/4"]), ("Right", 5860, [])]


@pytest.mark.parametrize(("answer", "cct", "duv"), [("2", 5720, 0.0021), ("5", 4690, 0.0013)])
def test_the_duv_goes_with_the_cct_that_was_chosen(answer, cct, duv):
    first = read_anything(TWO_WAYS, {"which-CCT": answer}).rows[0].source
    assert first is not None and (first.reading.cct, first.reading.duv) == (cct, duv)
