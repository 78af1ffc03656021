"""The examples of the API's description: ``python -m tests.web.api_examples`` answers their requests anew."""

import json
import re
import tempfile
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient

from advisor.model import GelTable, Kind, LightSet, Limits, Reading, Source, Target
from advisor.web.app import create_app
from advisor.web.state import State
from tests.conftest import own_pages

FILE = Path("advisor/web/api/examples.json")
TABLE = ("CTO 1/4", "CTB full")
CHANGED = "2026-03-14T15:30:00.000000Z"
"""Stands for each time at which an answer was made."""
WINDOW = {"name": "Window", "kind": "daylight", "reading": {"cct": 6800, "duv": 0.004, "lux": 900}}
BACKLIGHT = {
    "name": "Backlight",
    "kind": "tungsten",
    "reading": {"cct": 3200, "duv": 0},
    "hung": ["full CTB"],
}
REQUESTS: dict[str, Any] = {
    "advice": {"target": {"cct": 5600}, "max_layers": 1, "sources": [WINDOW]},
    "prediction": {"target": {"cct": 5600}, "source": WINDOW, "stack": ["¼ CTO"]},
    "plans": {
        "target": {"cct": 5600},
        "max_layers": 1,
        "sources": [{**WINDOW, "hung": []}, BACKLIGHT],
        "changed": {"sources": ["Window"]},
    },
    "light": {
        "target": {"cct": 5600},
        "max_layers": 1,
        "f_number": 4,
        "sources": [{**WINDOW, "role": "key"}],
    },
    "gels": None,
    "test": {
        "head": {"name": "Panel 3", "kind": "led-white"},
        "begun_at": "2026-03-14T15:00:00Z",
        "readings": [
            {"level": 100, "cct": 5813, "duv": -0.0014, "lux": 2000},
            {"level": 10, "cct": 5640, "duv": 0.0031, "lux": 200},
        ],
    },
    "heads": None,
    "head": None,
    "sets": None,
    "set": None,
    "reading": {"cct": 5680, "duv": 0.003, "lux": 700, "gels": ["quarter CTO"]},
    "work": None,
    "stop": None,
}
"""What is asked, in an order in which each call finds what the one before has made."""


def prepare(stores: State) -> None:
    """Keep a gel table of two rows, and an invented set of one source."""
    rows = [gel for gel in stores.gels.in_force().table.rows if gel.name in TABLE]
    stores.gels.replace(GelTable(rows=rows), "examples")
    window = Source(name="Window", kind=Kind.DAYLIGHT, reading=Reading(cct=6800, duv=0.004, lux=900))
    stores.sets.create_set(
        LightSet(name="Stage 4", target=Target(cct=5600), limits=Limits(max_layers=1), sources=[window])
    )


def answered(client: FlaskClient) -> dict[str, dict[str, Any]]:
    """Send each request as the description has it; return requests and answers by the names of the calls."""
    paths = client.get("/api/v1/openapi.json").json["paths"]
    calls = {one["operationId"]: (how, path) for path, some in paths.items() for how, one in some.items()}
    assert set(calls) == set(REQUESTS)
    told = {}
    for name, request in REQUESTS.items():
        how, path = calls[name]
        sent = client.open(re.sub(r"\{\w+\}", "1", path), method=how.upper(), json=request)
        assert sent.status_code == 200, (name, sent.text)
        told[name] = {"request": request, "answer": steady(sent.json)}
    return told


def steady(value: Any, field: str = "") -> Any:
    """Return an answer with six figures a number, and with one time for all at which it was made."""
    if field == "changed":  # of a head: its fields, each with its time
        return dict.fromkeys(value, CHANGED)
    if isinstance(value, dict):
        return {name: steady(part, name) for name, part in value.items()}
    if isinstance(value, list):
        return [steady(part) for part in value]
    if field == "changed_at":
        return CHANGED
    return float(f"{value:.6g}") if isinstance(value, float) else value


def renew() -> None:
    """Write the examples anew."""
    with tempfile.TemporaryDirectory() as folder:
        app = create_app(Path(folder))
        prepare(app.extensions["advisor"])
        told = answered(own_pages(app))
        app.extensions["database"].close()
    FILE.write_text(json.dumps(told, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    renew()
