"""The API's description: a sentence and a unit for every property, an example for every call, none untrue."""

import re

import pytest

from advisor.web.api.properties import PATHS, SENTENCES
from tests.web import api_examples
from tests.web.schema import faults

UNITS = {
    "K": {"cct", "nominal", "reference", "cct_from", "cct_to", "cct_step"},
    "MK⁻¹": {"mired"},
    "CC": {"cc", "tint"},
    "lx": {"lux"},
    "stop": {"stops", "max_stops", "least_stops", "over_key"},
    "step": {"steps", "expected_steps", "uncertainty_steps", "tolerance_steps", "doubt_steps", "miss_steps"},
    "%": {"level", "levels", "percent", "meter_cct_percent", "gel_percent"},
    "m": {"width", "height", "distance"},
    "min": {"minutes_on"},
    "W": {"watts"},
    "nm": {"start", "step"},
}
"""The properties that have a unit, whatever they belong to."""
NO_UNIT = {("StackAdvice", "nominal"), ("Prediction", "nominal")}
"""A white, and no temperature."""


@pytest.fixture
def document(client):
    return client.get("/api/v1/openapi.json").json


def properties(document):
    for model, schema in document["components"]["schemas"].items():
        for name, described in schema.get("properties", {}).items():
            yield model, name, described


def calls(document):
    return [one for path in document["paths"].values() for one in path.values()]


def body(part):
    return part["content"]["application/json"]


def test_every_property_has_a_sentence(document):
    said = {(model, name): one.get("description", "") for model, name, one in properties(document)}
    assert [at for at, words in said.items() if not re.fullmatch(r"[A-Z0-9Δ][^\n]*\w[^\n]*\.", words)] == []
    assert [at for at, words in said.items() if len(words.split()) < 2] == []


def test_what_has_a_unit_says_it(document):
    units = {name: unit for unit, names in UNITS.items() for name in names}
    silent = [
        (model, name)
        for model, name, one in properties(document)
        if name in units and (model, name) not in NO_UNIT
        if not re.search(rf"\[{units[name]}(?!\w)", one["description"])
    ]
    assert silent == []


def test_every_sentence_is_of_a_property(document):
    named = {key for model, name, _ in properties(document) for key in (name, f"{model}.{name}")}
    assert set(SENTENCES) - named == set()


def test_what_is_in_an_address_has_a_sentence(document):
    found = [one for call in calls(document) for one in call.get("parameters", ())]
    assert {one["name"] for one in found} == set(PATHS)
    assert all(one["description"].endswith(".") and one["example"] for one in found)


def test_every_call_has_an_example_that_fits(document):
    for call in calls(document):
        parts = [call["responses"]["200"], *([call["requestBody"]] if "requestBody" in call else [])]
        for part in map(body, parts):
            assert list(faults(part["example"], part["schema"], document)) == [], call["operationId"]


def test_the_examples_are_what_is_answered(client, stores, document):
    api_examples.prepare(stores)
    told = api_examples.answered(client)
    for call in calls(document):
        one = told[call["operationId"]]
        assert body(call["responses"]["200"])["example"] == near(one["answer"])
        assert ("requestBody" in call) == (one["request"] is not None)
        assert one["request"] is None or body(call["requestBody"])["example"] == one["request"]


def test_nothing_of_our_own_is_in_it(document):
    def keys(value):
        if isinstance(value, dict):
            for key, part in value.items():
                yield key
                yield from keys(part)
        elif isinstance(value, list):
            for part in value:
                yield from keys(part)

    assert [key for key in keys(document) if key.startswith("x-")] == []


def near(value):
    """Let the last of six figures differ, as it may from one machine to the next."""
    if isinstance(value, dict):
        return {name: near(part) for name, part in value.items()}
    if isinstance(value, list):
        return [near(part) for part in value]
    return pytest.approx(value, rel=1e-4, abs=1e-5) if isinstance(value, float) else value
