"""Tables that give what was read bare and what was read behind gels in columns of their own."""

import pytest

from advisor.imports import read_anything

BULB = "Bulb;2790;-0.001;;;\n"
BULB_TABS = "Bulb\t2790\t-0.001\tnone\t\t\n"


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


@pytest.mark.parametrize(
    "text",
    [
        f"Unit\tBare CCT\tBare Duv\tGel\tGelled CCT\tGelled Duv\n"
        f"Win\t6420\t0.004\t½ CTO\t4190\t0.003\n{BULB_TABS}",
        "Unit,CCT,Duv,Gel,CCT with gel,Duv with gel\nWin,6420,0.004,½ CTO,4190,0.003\nBulb,2790,-0.001,,,\n",
        f"Unit;CCT ohne;Duv ohne;CCT mit Folie;Duv mit Folie;Folie\nWin;6420;0.004;4190;0.003;½ CTO\n{BULB}",
    ],
)
def test_a_column_of_gels_says_what_the_gelled_ones_were_read_behind(text):
    assert told(text) == [("Win", 6420, []), ("Win", 4190, ["CTO 1/2"]), ("Bulb", 2790, [])]


def test_light_goes_with_the_bare_reading_and_notes_with_both():
    rows = read_anything("Lamp,lux,CCT (bare),CCT (¼ minus green),note\nPar,900,5620,5580,spot\n").rows
    assert [row.source.reading.lux for row in rows] == [900, None]
    assert [row.source.note for row in rows] == ["spot", "spot"]


@pytest.mark.parametrize(
    "headings",
    ["Lamp;CCT;CCT with gel", "Lamp;CCT target;CCT with gel", "Lamp;CCT bare;CCT gelled"],
)
def test_where_nothing_names_the_gel_it_is_asked_which_counts(headings):
    [question] = [q for q in read_anything(f"{headings}\nPar;5620;4500\n").asked if q.key == "which-CCT"]
    assert question.choices


def test_a_column_of_one_reading_beside_its_gel_stays_as_it_is():
    assert told("Lamp;CCT;gel\nPar;3850;½ CTO\n") == [("Par", 3850, ["CTO 1/2"])]
