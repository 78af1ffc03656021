"""What a source gets of a shared stock: its gels are written as a crew says them."""

from advisor.advice.plan.make import make_plan
from advisor.model import Limits, Reading, Source, Target
from advisor.web.wording.stacks import share_said
from tests.advice.lamps import SHIPPED


def test_gels_that_are_out_of_stock_are_written_as_a_crew_says_them():
    rows = [gel.model_copy(update={"stock": 1}) if gel.name == "CTO 1/4" else gel for gel in SHIPPED]
    windows = [
        Source(name=name, kind="daylight", reading=Reading(cct=7000, duv=0.0035)) for name in ("One", "Two")
    ]
    plan = make_plan(windows, Target(cct=5600), Limits(share_stock=True), rows)
    said = [share_said(head.advice).replace("\N{NO-BREAK SPACE}", " ") for head in plan.heads]
    assert any("¼ CTO" in words for words in said)
    assert not any("CTO 1/4" in words for words in said)


def test_nothing_is_said_where_nothing_is_shared():
    window = Source(name="One", kind="daylight", reading=Reading(cct=7000, duv=0.0035))
    plan = make_plan([window], Target(cct=5600), Limits(share_stock=False), SHIPPED)
    assert share_said(plan.heads[0].advice) == share_said(None) == ""
