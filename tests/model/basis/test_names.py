"""Names that a person takes for the same: letter case aside, and however an accent is put together."""

import unicodedata

import pytest
from pydantic import ValidationError

from advisor.advice.answer.advise import advise, predict
from advisor.advice.plan.make import make_plan
from advisor.advice.pull_list.build import pull_list
from advisor.advice.ranking.explain import rank_of
from advisor.advice.readings.target import white_of
from advisor.advice.stacks.enumerate import allowed_by
from advisor.advice.stacks.gel_arrays import gel_arrays_of
from advisor.imports.gels.csv_table import read_gels
from advisor.imports.read import read_readings
from advisor.model import EXACT, Gel, GelTable, Limits, PredictionRequest, Reading, Refused, Source, Target
from advisor.model.basis.base import free_name, name_key
from advisor.model.gels.formats import EXAMPLE_SIZES, FormatTable
from advisor.model.gels.gel import family_of
from tests.advice.rows import asking

WHOLE = "Été"
IN_PARTS = unicodedata.normalize("NFD", "éTÉ")
ROW = Gel(family=WHOLE, fraction="1/4", mired=33)
OTHER = Gel(family="CTO", fraction="1/4", mired=33)
RACK = gel_arrays_of((ROW, OTHER))
WINDOW = Source(name=WHOLE, kind="daylight", reading=Reading(cct=6800, duv=0.004))


def test_an_accent_in_parts_is_the_accent():
    assert IN_PARTS.casefold() != WHOLE.casefold()
    assert name_key(IN_PARTS) == name_key(WHOLE)


def test_a_gel_is_found():
    assert RACK.find([f"{IN_PARTS}  1/4"]) == RACK.find(["Été 1/4"])
    assert RACK.families[RACK.find(["Été 1/4"])[0]] == WHOLE == family_of(ROW.name)


@pytest.mark.parametrize("limits", [{"exclude_families": [IN_PARTS]}, {"only_gels": ["cto 1/4"]}])
def test_limits_name_it(limits):
    assert [RACK.names[i] for i, allowed in enumerate(allowed_by(RACK, Limits(**limits))) if allowed] == [
        "CTO 1/4"
    ]


def test_what_is_not_to_be_used_is_said_so():
    limits = Limits(exclude_families=[IN_PARTS], accuracy=EXACT)
    [answer] = advise(asking(WINDOW, exclude_families=[IN_PARTS]), [ROW, OTHER]).sources
    built = predict(PredictionRequest(source=WINDOW, target=Target(cct=5600), stack=["Été 1/4"]), [ROW])
    built = built.model_copy(
        update={"cost": 0.0, "miss": built.miss.model_copy(update={"expected_steps": 0.0, "steps": 0.0})}
    )
    assert "Été 1/4 is not to be used" in rank_of(answer, built, limits).words


def test_a_target_matches_a_source():
    assert white_of(Target(source=IN_PARTS), [WINDOW]).cct == 6800


def test_tables_hold_it_once():
    size = EXAMPLE_SIZES.rows[0]
    two = [size.model_copy(update={"name": name}) for name in (WHOLE, IN_PARTS)]
    with pytest.raises(ValidationError, match=f"{IN_PARTS} stands here twice"):
        FormatTable(rows=two)
    with pytest.raises(ValidationError, match="STRASSE 1/4 stands in the table twice"):
        GelTable(rows=[Gel(family=f, fraction="1/4", mired=10) for f in ("Straße", "STRASSE")])
    with pytest.raises(Refused, match="stands on line 2 and again on line 3"):
        read_gels("family,fraction,mired\nStraße,1/4,10\nSTRASSE,1/4,10\n")


def test_its_stock_is_found():
    plan = make_plan([WINDOW], Target(cct=5600), Limits(only_gels=[f"{IN_PARTS} 1/4"]), [ROW])
    assert plan.alone.best.gels == ["Été 1/4"]
    [pull] = pull_list([plan], [ROW.model_copy(update={"stock": 4})], EXAMPLE_SIZES.rows).gels
    assert pull.stock == 4


def test_pasted_rows_of_one_name_are_one_source_however_its_accent_is_put_together():
    text = f"name,level,cct,duv\n{WHOLE},100,5600,0\n{IN_PARTS},50,5500,0\n"
    assert [row.joins for row in read_readings(text).rows] == [None, 2]


def test_a_free_name_has_the_next_number_and_stays_within_the_longest():
    taken = {name_key(name) for name in (WHOLE, f"{WHOLE} (2)")}
    assert free_name(IN_PARTS, taken) == f"{IN_PARTS} (3)"
    longest = "n" * 80
    assert free_name(longest, {longest}) == "n" * 76 + " (2)"
