"""JSON that is nearly right, and JSON that is not at all."""

import json
from typing import Any

from hypothesis import strategies as st

RAW = [
    "NaN", "Infinity", "-Infinity", "1e999", "-1e999", "1e-999", "-0", "-0.0", "1e308", "5e-324", "01", ".5",
    "1.",
    "9" * 400, "9" * 5000, "9223372036854775808", "-9223372036854775809", "5600.00000000000000000001",
    '"\\ud800"', '"\\u0000"', '"\\udfff\\ud800"', "[" * 300 + "]" * 300, '{"cct": 1, "cct": 2}',
]  # fmt: skip
"""Values as no library writes them."""
EDGES = [
    0,
    -1,
    1,
    2,
    999,
    1000,
    25000,
    25001,
    5600.5,
    0.05,
    -0.05,
    0.051,
    1e-300,
    1e300,
    2**31,
    2**63,
    10**30,
]
_MARK = "\uf8ffraw{}\uf8ff"


def junk() -> st.SearchStrategy[Any]:
    """Make any small value of JSON."""
    leaf = (
        st.none()
        | st.booleans()
        | st.sampled_from(EDGES)
        | st.floats(allow_nan=False, allow_infinity=False)
        | st.text(max_size=30)
        | st.sampled_from(["5600", "5,6 K", "∞", "x" * 3000, "=1+1", "<script>", "CTO 1/4", "planckian"])
    )
    return st.recursive(
        leaf,
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
        max_leaves=6,
    )


def _places(value: Any, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the ways to everything inside; of a long list only the way to its ends."""
    inner: list[tuple[Any, Any]] = []
    if isinstance(value, dict):
        inner = list(value.items())
    elif isinstance(value, list):
        inner = [(k, v) for k, v in enumerate(value) if k < 2 or k == len(value) - 1]
    return [place for key, part in inner for place in [(*at, key), *_places(part, (*at, key))]]


@st.composite
def spoiled(draw: st.DrawFn, good: Any) -> str:
    """Write a value with up to four things in it changed, left out, doubled or renamed."""
    value = json.loads(json.dumps(good))
    raw: list[str] = []
    for _ in range(draw(st.integers(1, 4))):
        places = _places(value)
        if not places:
            break
        *way, last = draw(st.sampled_from(places))
        inside = value
        for key in way:
            inside = inside[key]
        match draw(st.sampled_from(["junk", "raw", "edge", "gone", "again", "renamed", "wrapped", "many"])):
            case "junk":
                inside[last] = draw(junk())
            case "edge":
                inside[last] = draw(st.sampled_from(EDGES))
            case "raw":
                inside[last] = _MARK.format(len(raw))
                raw.append(draw(st.sampled_from(RAW)))
            case "gone":
                del inside[last]
            case "again" if isinstance(inside, list):
                inside.append(inside[last])
            case "renamed" if isinstance(inside, dict):
                inside[draw(st.text(max_size=10))] = inside.pop(last)
            case "many":
                inside[last] = [inside[last]] * draw(st.sampled_from([0, 2, 40, 1200]))
            case _:
                inside[last] = [inside[last]]
    text = json.dumps(value, ensure_ascii=draw(st.booleans()))
    for number, written in enumerate(raw):
        mark = json.dumps(_MARK.format(number), ensure_ascii=False)
        text = text.replace(mark, written).replace(json.dumps(_MARK.format(number)), written)
    return text


@st.composite
def damaged(draw: st.DrawFn, text: str) -> str:
    """Damage a text of JSON: cut it off, double keys, nest it deeply, put signs in."""
    at = draw(st.integers(0, len(text)))
    match draw(st.sampled_from(["cut", "doubled", "deep", "sign", "mark", "twice", "swapped"])):
        case "cut":
            return text[:at]
        case "doubled":
            brace = text.find("{", at)
            keys = '"name": "A", "name": 1, "cct": 1, '
            return text if brace < 0 else text[: brace + 1] + keys + text[brace + 1 :]
        case "deep":
            depth = draw(st.sampled_from([50, 900, 1100, 100_000]))
            opening, closing = draw(st.sampled_from([("[", "]"), ('{"set":', "}"), ('[{"a":', "}]")]))
            return text[:at] + opening * depth + "1" + closing * depth * draw(st.booleans()) + text[at:]
        case "sign":
            return text[:at] + draw(st.text(min_size=1, max_size=3)) + text[at:]
        case "mark":
            return "\ufeff" + text
        case "twice":
            return text + text
        case _:
            return text.replace(*draw(st.sampled_from([('"', "'"), (":", "="), (",", ",,"), ("}", ",}")])))


@st.composite
def encoded(draw: st.DrawFn, text: str) -> bytes:
    """Write a text as bytes, seldom in another encoding than UTF-8, or as none at all."""
    encoding = draw(st.sampled_from(["utf-8"] * 6 + ["utf-16", "utf-16-le", "utf-32", "cp1252", "bytes"]))
    if encoding == "bytes":
        return text.encode("utf-8", "surrogatepass") + draw(st.binary(max_size=20))
    return text.encode(encoding, "surrogatepass" if encoding.startswith("utf") else "replace")
