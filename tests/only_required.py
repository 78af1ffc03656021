"""Run as a process of its own by test_only_required: the advisor with nothing but what it requires.

    python tests/only_required.py DATA

The tests' environment has more packages than a crew's, and a library may use one without saying so. Here
every package is out of reach that is not required, directly or through another; then every page is opened
of a set that has a spectrum, and every figure that a meter prints. Prints what went wrong; nothing if all
is well.
"""

import re
import sys
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))


def required(name: str, seen: set[str]) -> set[str]:
    """Return the distributions that one needs to be installed with, extras left out."""
    if name not in seen:
        seen.add(name)
        for line in metadata.requires(name) or ():
            if "extra ==" not in line:
                needed = re.sub(r"[-_.]+", "-", re.match(r"[\w.-]+", line)[0]).lower()
                if needed in {re.sub(r"[-_.]+", "-", d.name).lower() for d in metadata.distributions()}:
                    required(needed, seen)
    return seen


class Refuse:
    """Finds no module that only other packages bring."""

    def __init__(self) -> None:
        here = {re.sub(r"[-_.]+", "-", name).lower() for name in required("gel-advisor", set())}
        brought = metadata.packages_distributions()
        self.extra = {
            module
            for module, names in brought.items()
            if not here & {re.sub(r"[-_.]+", "-", name).lower() for name in names}
        }

    def find_spec(self, name: str, path: object = None, target: object = None) -> None:
        if name.partition(".")[0] in self.extra:
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)


def opened(data: Path) -> Iterator[str]:
    """Open every page and ask both of the API; say what did not answer."""
    from advisor.model import Kind, LightSet, Reading, Source, Spectrum, Target
    from advisor.web.app import create_app
    from advisor.web.state import state

    values = tuple(1.0 + 0.01 * k for k in range(81))
    figures = {"ra": 94.0, "r9": 60.0, "rf": 90.0, "rg": 99.0, "ssi": 78.0, "ssi_reference": "D5600"}
    lamps = {
        "Bulb": (Kind.TUNGSTEN, Reading(spectrum=Spectrum(start=380, step=5, values=values), lux=200)),
        "Panel": (Kind.LED_WHITE, Reading(cct=5500, duv=0.002, lux=400, **figures)),
    }
    app = create_app(data)
    with app.app_context():
        state().sets.create_set(
            LightSet(
                name="Kitchen (invented)",
                target=Target(cct=5600),
                sources=[Source(name=name, kind=kind, reading=read) for name, (kind, read) in lamps.items()],
            )
        )
    client = app.test_client()
    for rule in sorted(app.url_map.iter_rules(), key=str):
        if "GET" in (rule.methods or ()) and rule.arguments <= {"set_id", "source_id"}:
            for source in (1, 2):
                with app.test_request_context():
                    _, path = rule.build({"set_id": 1, "source_id": source}, append_unknown=False) or ("", "")
                with client.get(path) as answer:
                    if answer.status_code >= 500:
                        yield f"{path}: {answer.status_code}"
    for source in (reading.model_dump(exclude_none=True, mode="json") for _, reading in lamps.values()):
        about = {"name": "A", "kind": "unknown", "reading": source}
        asked = {"target": {"cct": 5600, "locus": "daylight"}}
        for path, body in (
            ("/api/v1/advice", {**asked, "sources": [about]}),
            ("/api/v1/prediction", {**asked, "source": about, "stack": ["CTO 1/4"]}),
        ):
            answer = client.post(path, json=body, headers={"Origin": "http://localhost"})
            if answer.status_code != 200:
                yield f"{path}: {answer.status_code} {answer.text[:200]}"
    app.extensions["database"].close()


if __name__ == "__main__":
    refuse = Refuse()
    if {"scipy", "pytest"} - refuse.extra:
        sys.exit("The tests' own packages were not told apart from what is required.")
    sys.meta_path.insert(0, refuse)  # type: ignore[arg-type]
    print("\n".join(opened(Path(sys.argv[1]))), end="")
