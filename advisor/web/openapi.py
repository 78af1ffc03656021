"""The API's own description, generated from the models (OpenAPI 3.1.0)."""

from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from ..model import Problem
from ..version import version

_REF = "#/components/schemas/{model}"
Operation = tuple[str, type[BaseModel], type[BaseModel]]


class Errors(BaseModel):
    """What is wrong with a request, one entry each."""

    errors: list[Problem]


def describe(operations: dict[str, Operation]) -> dict[str, Any]:
    """Return the OpenAPI document for POST operations: path -> (summary, asked, answered)."""
    asked = [(op[1], "validation") for op in operations.values()]
    answered = [(op[2], "serialization") for op in operations.values()]
    names, schema = models_json_schema(
        [*asked, *answered, (Errors, "serialization")],  # type: ignore[list-item]
        ref_template=_REF,
    )
    wrong = {"description": "What is wrong", "content": _json(names[Errors, "serialization"])}
    return {
        "openapi": "3.1.0",
        "info": {"title": "On-set gel and correction advisor", "version": version()},
        "paths": {
            path: {
                "post": {
                    "summary": summary,
                    "operationId": path.rsplit("/", 1)[-1],
                    "requestBody": {"required": True, "content": _json(names[ask, "validation"])},
                    "responses": {
                        "200": {
                            "description": "The answer",
                            "content": _json(names[answer, "serialization"]),
                        },
                        "413": wrong,
                        "415": wrong,
                        "422": wrong,
                    },
                }
            }
            for path, (summary, ask, answer) in operations.items()
        },
        "components": {"schemas": schema["$defs"]},
    }


def _json(schema: dict[str, Any]) -> dict[str, Any]:
    return {"application/json": {"schema": schema}}
