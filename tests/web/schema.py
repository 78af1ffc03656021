"""A small check of JSON against the part of JSON Schema that our OpenAPI document uses."""

from collections.abc import Iterator
from typing import Any

_TYPES: dict[str, tuple[type, ...]] = {
    "object": (dict,),
    "array": (list,),
    "string": (str,),
    "number": (int, float),
    "integer": (int,),
    "boolean": (bool,),
    "null": (type(None),),
}
_KNOWN = {
    "$ref", "anyOf", "type", "properties", "required", "additionalProperties", "items", "prefixItems", "enum",
    "minimum", "maximum", "minItems", "maxItems",
    "title", "description", "default",
}  # fmt: skip


def faults(value: Any, schema: dict[str, Any], document: dict[str, Any], at: str = "") -> Iterator[str]:
    """Say where `value` departs from `schema`; a keyword that is not checked here is a fault too."""
    if unknown := set(schema) - _KNOWN:
        yield f"{at}: the schema uses {unknown}"
    if "$ref" in schema:
        name = schema["$ref"].removeprefix("#/components/schemas/")
        yield from faults(value, document["components"]["schemas"][name], document, at)
    if "anyOf" in schema:
        tried = [list(faults(value, one, document, at)) for one in schema["anyOf"]]
        if all(tried):
            yield from min(tried, key=len)
    if "type" in schema and not _is(value, schema["type"]):
        yield f"{at}: {value!r} is no {schema['type']}"
    elif "enum" in schema and value not in schema["enum"]:
        yield f"{at}: {value!r} is none of {schema['enum']}"
    elif isinstance(value, int | float) and not isinstance(value, bool):
        if not schema.get("minimum", value) <= value <= schema.get("maximum", value):
            yield f"{at}: {value} is out of range"
    elif isinstance(value, dict):
        properties = schema.get("properties", {})
        yield from (f"{at}.{key} is missing" for key in schema.get("required", ()) if key not in value)
        for key, part in value.items():
            if key in properties:
                yield from faults(part, properties[key], document, f"{at}.{key}")
            elif schema.get("additionalProperties") is False:
                yield f"{at}.{key} is not in the schema"
    elif isinstance(value, list):
        if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
            yield f"{at}: {len(value)} items"
        first = schema.get("prefixItems", [])
        for i, part in enumerate(value):
            yield from faults(
                part, first[i] if i < len(first) else schema.get("items", {}), document, f"{at}[{i}]"
            )


def _is(value: Any, kind: str) -> bool:
    return isinstance(value, _TYPES[kind]) and (kind == "boolean" or not isinstance(value, bool))
