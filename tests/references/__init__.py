"""Published values that the tests compare with, each entry with its origin.

Every ``.json`` file here is a list of entries: `id`, `quantity`, `value`, `unit`, `source`, `seen`, and
`tolerance` where the source's rounding asks for one. `source` is a title with its year, "common practice, no
source", or "computed with …". `seen` is one of `SEEN`: how the value came here. A
``.csv`` file is a table whose generator stands beside it. A test asks for what it uses by literal text,
so that test_references.py can tell which entries no test reads.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

FOLDER = Path(__file__).parent

Entry = dict[str, Any]

SEEN = {
    "read in a public copy": "of the source, or of a page that repeats its table",
    "read in an installed library": "which holds the source's values",
    "from memory": "not looked up",
    "common practice": "a fact of the trade that nobody has to be named for",
    "computed by us": "in another way than the advisor does",
    "computed, an independent library agrees": "to the entry's tolerance",
}
"""How a value may have come here, and what that means."""


def reference(id_: str) -> Entry:
    """Return one entry by its whole id."""
    return entries()[id_]


def references(prefix: str) -> list[Entry]:
    """Return all entries of a family, such as ``robertson-``."""
    family = [entry for id_, entry in entries().items() if id_.startswith(prefix)]
    if not family:
        raise KeyError(prefix)
    return family


def table(file: str) -> NDArray[np.float64]:
    """Return the rows of a ``.csv`` file below its heading."""
    return np.loadtxt(FOLDER / file, delimiter=",", skiprows=1)


@cache
def entries() -> dict[str, Entry]:
    """Return all entries of all files by id."""
    found: dict[str, Entry] = {}
    for file in sorted(FOLDER.glob("*.json")):
        for entry in json.loads(file.read_text(encoding="utf-8")):
            if entry["id"] in found:
                raise ValueError(f"{entry['id']} stands in the references twice")
            found[entry["id"]] = entry
    return found
