"""The API's own description, generated from the models (OpenAPI 3.1.0)."""

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from pydantic import BaseModel, Field
from pydantic.json_schema import models_json_schema

from ...model import Problem
from ...model.told import ToldWork
from ...version import version
from .examples import EXAMPLES
from .properties import PATHS, sentence

_REF = "#/components/schemas/{model}"


_KEY = {
    "type": "http",
    "scheme": "bearer",
    "description": "A key from the page Phones. It is needed where the server is open to the local network "
    "(`--lan`) and the program does not run on the same machine. 401: no key that is known; 403: its role "
    "may not do that.",
}


class Operation(NamedTuple):
    """What the API does at a path: what it is called there, what it is asked (None: nothing) and answers."""

    method: str
    path: str
    name: str
    summary: str | None
    asked: type[BaseModel] | None
    answered: type[BaseModel]


class Errors(BaseModel):
    """What is wrong with a request, one entry each; with 503, how far the work is that it asks for."""

    errors: list[Problem]
    working: ToldWork | None = Field(
        None, description="how far the work is that is asked for; with 503 alone"
    )


def describe(operations: Sequence[Operation]) -> dict[str, Any]:
    """Return the OpenAPI document for what the API does."""
    models = [(op.asked, "validation") for op in operations if op.asked]
    models += [(op.answered, "serialization") for op in operations]
    names, schema = models_json_schema(
        [*models, (Errors, "serialization")],  # type: ignore[list-item]
        ref_template=_REF,
    )
    for model, described_model in schema["$defs"].items():
        _say(model, described_model)
    wrong = {"description": "What is wrong", "content": _json(names[Errors, "serialization"])}
    paths: dict[str, dict[str, Any]] = {}
    for op in operations:
        described: dict[str, Any] = {"summary": (op.summary or "").partition("\n")[0], "operationId": op.name}
        if numbers := re.findall(r"\{(\w+)\}", op.path):
            described["parameters"] = [_number(name) for name in numbers]
        example = EXAMPLES[op.name]
        content = _json(names[op.answered, "serialization"], example["answer"])
        answer = {"description": "The answer", "content": content}
        described["responses"] = {"200": answer} | dict.fromkeys(("401", "403"), wrong)
        if numbers:
            described["responses"]["404"] = wrong
        if op.asked:
            asked = _json(names[op.asked, "validation"], example["request"])
            described["requestBody"] = {"required": True, "content": asked}
            described["responses"] |= dict.fromkeys(("413", "415", "422", "503"), wrong)
        paths.setdefault(op.path, {})[op.method] = described
    return {
        "openapi": "3.1.0",
        "info": {"title": "On-set gel and correction advisor", "version": version()},
        "paths": paths,
        "security": [{"key": []}, {}],
        "components": {"schemas": schema["$defs"], "securitySchemes": {"key": _KEY}},
    }


def _number(name: str) -> dict[str, Any]:
    text = name == "work"
    schema: dict[str, Any] = {"type": "integer", "minimum": 1}
    if text:
        schema = {"type": "string"}
    return {
        "name": name,
        "in": "path",
        "required": True,
        "description": PATHS[name],
        "schema": schema,
        "example": "1" if text else 1,
    }


def _say(model: str, schema: dict[str, Any]) -> None:
    """Give each property of a model its sentence."""
    for name, described in schema.get("properties", {}).items():
        described["description"] = sentence(model, name, described.get("description", ""))


def _json(schema: dict[str, Any], *example: Any) -> dict[str, Any]:
    """Return a body with its schema, and with an example where one is given."""
    return {"application/json": {"schema": schema} | ({"example": example[0]} if example else {})}
