"""The API's own description, generated from the models (OpenAPI 3.1.0)."""

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from ...model import Problem
from ...version import version

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
    """What is wrong with a request, one entry each."""

    errors: list[Problem]


def describe(operations: Sequence[Operation]) -> dict[str, Any]:
    """Return the OpenAPI document for what the API does."""
    models = [(op.asked, "validation") for op in operations if op.asked]
    models += [(op.answered, "serialization") for op in operations]
    names, schema = models_json_schema(
        [*models, (Errors, "serialization")],  # type: ignore[list-item]
        ref_template=_REF,
    )
    wrong = {"description": "What is wrong", "content": _json(names[Errors, "serialization"])}
    paths: dict[str, dict[str, Any]] = {}
    for op in operations:
        described: dict[str, Any] = {"summary": (op.summary or "").partition("\n")[0], "operationId": op.name}
        if numbers := re.findall(r"\{(\w+)\}", op.path):
            described["parameters"] = [_number(name) for name in numbers]
        answer = {"description": "The answer", "content": _json(names[op.answered, "serialization"])}
        described["responses"] = {"200": answer} | dict.fromkeys(("401", "403"), wrong)
        if numbers:
            described["responses"]["404"] = wrong
        if op.asked:
            asked = _json(names[op.asked, "validation"])
            described["requestBody"] = {"required": True, "content": asked}
            described["responses"] |= dict.fromkeys(("413", "415", "422"), wrong)
        paths.setdefault(op.path, {})[op.method] = described
    return {
        "openapi": "3.1.0",
        "info": {"title": "On-set gel and correction advisor", "version": version()},
        "paths": paths,
        "security": [{"key": []}, {}],
        "components": {"schemas": schema["$defs"], "securitySchemes": {"key": _KEY}},
    }


def _number(name: str) -> dict[str, Any]:
    schema = {"type": "integer", "minimum": 1}
    return {"name": name, "in": "path", "required": True, "schema": schema}


def _json(schema: dict[str, Any]) -> dict[str, Any]:
    return {"application/json": {"schema": schema}}
