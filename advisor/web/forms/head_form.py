"""The forms of a head that is tested: what it is, and what its test is to read."""

import itertools
import re
from collections.abc import Sequence
from typing import Any

from ...model import HeadReading, HeadTest, KnownHead, Problem, Reach, Refused, Setting
from ...model.basis.base import name_key
from ...model.basis.fields import field_label
from ...model.basis.quantities import DialCCT, TestDistance, quantity_of, tidy
from ..wording.values import plain
from .form import Form, make
from .lengths import length_field, length_in
from .source_form import reach_from

_WORDS = ("name", "kind", "group", "note")
USUAL_LEVELS = "100, 50, 10"
"""The levels that are proposed: full, half and a tenth. Common practice, no source. [%]"""


def head_from(form: Form) -> KnownHead:
    """Read a head from its form; raises Refused."""
    data: dict[str, Any] = {name: form.value(name) for name in _WORDS}
    data |= {"kind": data["kind"] or "unknown", "nominal": form.value("nominal").strip() or None}
    head = make(KnownHead, {**data, "reach": reach_from(form)})
    if head.reach and head.reach.green_from == head.reach.green_to != 0.0:
        green = tidy(head.reach.green_to)
        says = f"the green dial goes from {green} to {green}, so it has no range"
        allowed = (
            f"such as −{green.removeprefix('-')} to {green.removeprefix('-')}, or 0 to 0 without a green dial"
        )
        raise Refused.one("reach_green_from", says, allowed)
    return head


def fields_of_head(head: KnownHead) -> dict[str, str]:
    """Return what stands in the fields of a head."""
    reach = {
        f"reach_{name}": plain(getattr(head.reach, name)) if head.reach else "" for name in Reach.model_fields
    }
    own = {"name": head.name, "kind": head.kind.value, "group": head.group, "note": head.note}
    return {**own, "nominal": plain(head.nominal), **reach}


def test_from(form: Form, head: KnownHead) -> HeadTest:
    """Read what is to be tested; raises Refused."""
    wrong = list[Problem]()
    allowed = quantity_of(TestDistance)
    distance = None
    if form.value("distance").strip():
        distance = length_in(form, "distance", allowed, None, wrong)
    bare = [""] if form.value("bare") else []
    named = [m.strip() for m in re.split(r"[,;\n]", form.value("modifiers")) if m.strip()]
    data: dict[str, Any] = {
        "levels": [k for k in re.split(r"[,;\s]+", form.value("levels").replace("%", " ")) if k],
        "modifiers": [*bare, *named],
        "distance": distance,
        "meter": form.value("meter"),
        "short": form.value("plan") == "short",
    }
    if minutes := form.value("minutes_on").strip():
        data["minutes_on"] = minutes
    if head.reach:
        ccts, greens = (_several(form.value(name)) for name in ("dial_cct", "dial_green"))
        data["dials"] = [{"cct": c, "green": g} for c, g in itertools.product(ccts, greens or ["0"])]
    wrong += [problem for missing, problem in _missing(form, data, head) if missing]
    if wrong:
        raise Refused(wrong)
    test = make(HeadTest, data)
    wrong += [problem for dial in test.dials if (problem := beyond_dials(dial, head.reach))]
    if wrong:
        raise Refused(wrong)
    return test


def read_test(form: Form, readings: Sequence[HeadReading], head: KnownHead) -> HeadTest:
    """Return the test that asks for just these readings, with how it stood from the form.

    Raises Refused, also for dials that the head does not reach.
    """
    wrong = list[Problem]()
    data: dict[str, Any] = {
        "levels": list(dict.fromkeys(r.level for r in readings)),
        "modifiers": list({name_key(r.modifier): r.modifier for r in readings}.values()),
        "dials": list(dict.fromkeys(r.dial for r in readings if r.dial)),
        "meter": form.value("meter"),
        "minutes_on": form.value("minutes_on").strip() or None,
    }
    if form.value("distance").strip():
        data["distance"] = length_in(form, "distance", quantity_of(TestDistance), None, wrong)
    beyond = [problem for dial in data["dials"] if (problem := beyond_dials(dial, head.reach))]
    wrong += [problem.model_copy(update={"where": "text"}) for problem in beyond]
    if wrong:
        raise Refused(wrong)
    return make(HeadTest, data)


def _several(typed: str) -> list[str]:
    """Part dial settings at commas, and at spaces that part neither thousands nor a unit."""
    return [k for k in re.split(r"[,;]|\s+(?!\d{3}(?!\d)|[kK])", typed.strip()) if k.strip()]


def beyond_dials(dial: Setting, reach: Reach | None) -> Problem | None:
    """Return what is wrong with a setting that the head's dials do not reach."""
    if reach is None:
        return None
    for where, value, low, high in (
        ("dial_cct", dial.cct, reach.cct_from, reach.cct_to),
        ("dial_green", dial.green, reach.green_from, reach.green_to),
    ):
        if not low <= value <= high:
            says = f"{field_label(where)} {tidy(value)} is beyond its dial range"
            return Problem(where=where, says=says, allowed=f"{tidy(low)} to {tidy(high)}, or change the head")
    return None


def _missing(form: Form, data: dict[str, Any], head: KnownHead) -> list[tuple[bool, Problem]]:
    """Return what a test cannot do without, and whether it is not there."""
    levels = Problem(where="levels", says="no level is given", allowed="1 to 100 %, such as 100, 50, 10")
    nothing = Problem(where="modifiers", says="there is nothing to read", allowed="bare, or a modifier")
    dial = Problem(
        where="dial_cct",
        says="CCT on its dial is empty",
        allowed=f"as it stands now, {quantity_of(DialCCT).allowed}",
    )
    no_dial = head.reach is not None and not form.value("dial_cct").strip()
    return [(not data["levels"], levels), (not data["modifiers"], nothing), (no_dial, dial)]


def fields_of_test(test: HeadTest) -> dict[str, str]:
    """Return what stands in the fields of a test that is to be read as one before it was."""
    greens = any(d.green for d in test.dials)
    return {
        "levels": ", ".join(plain(k) for k in test.levels),
        "modifiers": ", ".join(m for m in test.modifiers if m),
        "bare": "yes" if "" in test.modifiers else "",
        "distance": length_field(test.distance) if test.distance else "",
        "meter": test.meter,
        "dial_cct": ", ".join(dict.fromkeys(plain(d.cct) for d in test.dials)),
        "dial_green": ", ".join(dict.fromkeys(plain(d.green) for d in test.dials if greens)),
    }
