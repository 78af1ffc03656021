"""A source's fields: what they take, what they refuse, and with which words."""

from itertools import permutations

import pytest
from pydantic import ValidationError

from advisor.model import (
    Opening,
    Predicted,
    Reach,
    Reading,
    Role,
    Setting,
    Source,
    Stage,
    Target,
    WantedOffset,
    Work,
    problems_in,
)

BARE = Reading(cct=5600, duv=0.0033, lux=400)


def problem(model, **data):
    """Return the only problem of a model's data."""
    with pytest.raises(ValidationError) as no:
        model(**data)
    [found] = problems_in(no.value)
    return found


def source(**extra):
    return {"name": "Key", "reading": BARE, **extra}


class TestReading:
    def test_of_all_readings_the_bare_ones_count_the_last_of_all_last(self):
        older = BARE.model_copy(update={"cct": 5500})
        behind = BARE.model_copy(update={"gels": ["CTO 1/4"]})
        assert Source(**source(readings=[older, behind])).bare_readings == [older, BARE]

    def test_two_thousand_are_kept_beside_it(self):
        assert len(Source(**source(readings=[BARE] * 2000)).readings) == 2000
        assert problem(Source, **source(readings=[BARE] * 2001)).where == "readings"

    def test_twenty_behind_one_stack_are_kept_beside_the_newest(self):
        assert len(Work(read_elsewhere=[BARE] * 20).read_elsewhere) == 20
        assert problem(Work, earlier=[BARE] * 21).where == "earlier"

    def test_one_that_was_taken_behind_gels_cannot_count(self):
        found = problem(Source, **source(reading=BARE.model_copy(update={"gels": ["CTO 1/4"]})))
        assert found.says == "the reading that counts was taken behind gels"
        assert found.allowed == "a reading of the bare source"

    @pytest.mark.parametrize("order", list(permutations(range(3))))
    def test_times_put_them_in_order_whatever_that_was(self, order):
        gels = [[], [], ["CTO 1/4"]]
        at = ["2026-03-14T16:00:00Z", "2026-03-14T17:31:00+01:00", "2026-03-14T17:00:00Z"]
        read = [{"cct": 5000 + k, "duv": 0, "gels": gels[k], "taken_at": at[k]} for k in range(3)]
        given = [read[k] for k in order]
        bare = next(r for r in given if not r["gels"])
        given.remove(bare)
        made = Source(name="Key", reading=bare, readings=given)
        assert made.reading == Reading(cct=5001, duv=0)
        assert made.readings == [Reading(cct=5000, duv=0), Reading(cct=5002, duv=0, gels=["CTO 1/4"])]

    def test_times_of_some_and_not_of_others_say_nothing(self):
        timed = {"cct": 5000, "duv": 0, "taken_at": "2026-03-14T16:00:00Z"}
        found = problem(Source, name="Key", reading=BARE, readings=[timed])
        assert found.says == "some readings say when they were taken, and others do not"
        assert found.allowed == "taken_at in all, or none"

    @pytest.mark.parametrize("text", ["16:31", "2026-03-14T16:00:00", "yesterday"])
    def test_a_time_without_its_zone_is_none(self, text):
        found = problem(Reading, cct=5600, duv=0, taken_at=text)
        assert (found.where, found.says) == ("taken_at", f"{text!r} is not a time with its zone")

    def test_times_do_not_make_one_behind_gels_count(self):
        timed = {"cct": 5000, "duv": 0, "gels": ["CTO 1/4"], "taken_at": "2026-03-14T16:00:00Z"}
        assert problem(Source, name="Key", reading=timed).allowed == "a reading of the bare source"

    def test_the_others_may_be_bare_or_not(self):
        behind = BARE.model_copy(update={"gels": ["CTO 1/4"]})
        assert Source(**source(readings=[BARE, behind])).readings == [BARE, behind]

    @pytest.mark.parametrize(
        ("level", "says"),
        [
            ("0 %", "Dim level 0 % is out of range (a head that is off has nothing to read)"),
            (0, "Dim level 0 is out of range (a head that is off has nothing to read)"),
            ("130 %", "Dim level 130 % is out of range"),
            (0.5, "Dim level 0.5 is out of range (as a share? then 50)"),
            ("full", "Dim level 'full' is not a number"),
            ("", "Dim level is empty"),
            ("50 K", "Dim level '50 K' has the unit 'K'"),
        ],
    )
    def test_a_dim_level_that_cannot_be(self, level, says):
        for found, where in (
            (problem(Reading, cct=3200, duv=0, level=level), "level"),
            (problem(Source, **source(level=level)), "level"),
        ):
            assert (found.where, found.says, found.allowed) == (where, says, "1 to 100 %")

    @pytest.mark.parametrize(
        ("typed", "level"), [("50", 50), ("50 %", 50), ("50 percent", 50), ("12,5", 12.5)]
    )
    def test_a_dim_level_as_people_write_it(self, typed, level):
        assert Reading(cct=3200, duv=0, level=typed).level == level

    def test_a_modifier_is_text_of_some_length(self):
        assert Reading(cct=3200, duv=0, modifier=" Softbox ").modifier == "Softbox"
        found = problem(Reading, cct=3200, duv=0, modifier="x" * 41)
        assert found.where == "modifier" and "40" in found.allowed

    def test_a_dial_needs_its_cct(self):
        assert Setting(cct=5600).green == 0.0
        assert problem(Setting, green=2).where == "cct"


class TestReach:
    def test_a_head_without_green(self):
        reach = Reach(cct_from=2700, cct_to=6500)
        assert (reach.cct_step, reach.green_from, reach.green_to, reach.green_step) == (50, 0, 0, 1)

    @pytest.mark.parametrize(
        ("given", "says"),
        [
            ({"cct_from": 6500, "cct_to": 2700}, "the reach of CCT begins at 6 500 K and ends at 2 700 K"),
            (
                {"cct_from": 2700, "cct_to": 6500, "green_from": 10, "green_to": -10},
                "the reach of green begins at 10 and ends at −10",
            ),
        ],
    )
    def test_the_lower_number_comes_first(self, given, says):
        found = problem(Reach, **given)
        assert found.says.replace("\N{NARROW NO-BREAK SPACE}", " ") == says
        assert found.allowed == "the lower number first"

    def test_one_end_is_no_reach(self):
        assert problem(Reach, cct_from=2700).where == "cct_to"

    def test_a_head_with_one_cct_only(self):
        assert Reach(cct_from=5600, cct_to=5600).cct_to == 5600


class TestShot:
    @pytest.mark.parametrize("role", Role)
    def test_every_role_by_its_word(self, role):
        assert Source(**source(role=role.value)).role is role

    def test_a_role_that_is_not_known(self):
        found = problem(Source, **source(role="hair"))
        assert found.says == "role 'hair' is not known"
        assert found.allowed == "key, fill, back, practical, other"

    @pytest.mark.parametrize(
        ("field", "value", "allowed"),
        [
            ("over_key", "11", "−10 to 10 stops"),
            ("over_key", "-10.5", "−10 to 10 stops"),
            ("tolerance_steps", "0", "0.1 to 50 steps"),
            ("watts", "0", "0.1 to 100 000 W"),
            ("watts", "2 kV", "0.1 to 100 000 W"),
        ],
    )
    def test_what_is_out_of_range(self, field, value, allowed):
        found = problem(Source, **source(**{field: value}))
        assert found.where == field
        assert value in found.says
        assert found.allowed.replace("\N{NARROW NO-BREAK SPACE}", " ") == allowed

    def test_a_limit_may_be_below_zero(self):
        assert Source(**source(over_key="-1,5 stops")).over_key == -1.5

    @pytest.mark.parametrize(
        ("opening", "where"),
        [
            ({"width": 0, "height": 1}, "openings[0].width"),
            ({"width": 1, "height": 51}, "openings[0].height"),
            ({"width": 1, "height": 1, "count": 0}, "openings[0].count"),
            ({"width": 1, "height": 1, "count": 1.5}, "openings[0].count"),
        ],
    )
    def test_an_opening_has_a_size(self, opening, where):
        assert problem(Source, **source(openings=[opening])).where == where
        assert Opening(width=1.2, height=0.6).count == 1


class TestAim:
    @pytest.mark.parametrize(
        ("aim", "plain"),
        [({}, True), ({"mired": 5}, False), ({"duv": 0.001}, False), ({"leave": True}, False)],
    )
    def test_plain_is_to_match(self, aim, plain):
        assert WantedOffset(**aim).plain is plain


class TestWork:
    def test_it_begins_as_a_plan_with_nothing_hung(self):
        work = Work()
        assert (work.stage, work.gels, work.predicted, work.read_behind) == (Stage.PLANNED, [], None, None)

    def test_a_stack_has_no_end_of_sheets(self):
        found = problem(Work, gels=["CTO 1/8"] * 9)
        assert (found.where, found.allowed) == ("gels", "at most 8")

    def test_what_was_predicted_is_a_white(self):
        assert problem(Predicted, cct=500, duv=0, uncertainty_steps=1).where == "cct"
        assert problem(Predicted, cct=5600, duv=0, uncertainty_steps=-1).where == "uncertainty_steps"

    def test_a_source_survives_json_whole(self):
        full = Source(
            **source(
                readings=[
                    BARE.model_copy(update={"level": 50, "modifier": "Grid", "dial": Setting(cct=5600)})
                ],
                level=60,
                modifier="",
                reach=Reach(cct_from=2700, cct_to=6500),
                tolerance_steps=6,
                role=Role.PRACTICAL,
                on_subject=False,
                over_key=-1,
                watts=650,
                openings=[Opening(width=0.3, height=0.3)],
                work=Work(
                    stage=Stage.HUNG,
                    gels=["CTO 1/4"],
                    predicted=Predicted(cct=5500, duv=0.003, uncertainty_steps=1.5),
                    read_behind=BARE.model_copy(update={"gels": ["CTO 1/4"]}),
                ),
            )
        )
        assert Source.model_validate_json(full.model_dump_json(exclude_defaults=True)) == full


class TestTarget:
    @pytest.mark.parametrize("tint", [51, "-50.5", "green"])
    def test_a_tint_that_cannot_be(self, tint):
        found = problem(Target, cct=5600, tint=tint)
        assert (found.where, found.allowed) == ("tint", "−50 to 50 CC")

    def test_it_starts_without(self):
        assert Target(cct=5600).tint == 0.0
