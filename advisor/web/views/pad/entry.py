"""The reading pad: the form of a new reading of a head, which opens over its page."""

from dataclasses import dataclass

from ....advice.plan.head import PlannedSource
from ....advice.plan.plan import Plan
from ....model import Problem, Setting, Stage, Target, Work
from ....model.sets.phrases import dial_said, grouped, listed, white
from ...forms.form import Form
from ...wording.values import gel

_FIELDS = (
    *("cct", "duv", "lux", "level", "modifier", "dial_cct", "dial_green"),
    *("ra", "r9", "rf", "rg", "ssi", "ssi_reference", "behind"),
)
_USED = ("use_level", "use_modifier")
"""Of another form on the page, which shows what is wrong with them itself."""
_FOLDED = ("lux", "level", "modifier")


@dataclass(frozen=True)
class PadView:
    """The form of a new reading: `open` where it came back refused; `elsewhere` is beside no field of it.

    `behind` is what it may have been read behind, as values and words: empty where nothing hangs, and then
    it is read bare. `chosen` is one of them: bare where the page asks for that. `hung` is what hangs, as the
    form sends it. `asked` tells that one is to be chosen anew. `dials` says that they stand as advised, and
    how they did. `more` says how it stands, over what is folded, `unfolded` where that is wrong. `target` is
    the one in sight, in words, and `wanted` the white that the head is to have, for a phone without a link:
    CCT [K], Duv and the tolerance [step]; empty where nothing is wanted of it.
    """

    open: bool
    elsewhere: tuple[Problem, ...]
    behind: tuple[tuple[str, str], ...]
    chosen: str
    hangs: bool
    hung: str
    asked: bool
    dials: str
    more: str
    unfolded: bool
    target: str
    wanted: str


def pad_view(
    form: Form, head: PlannedSource, work: Work | None, dials: str, target: Target, wanted: str
) -> PadView:
    """Return what the form of a new reading offers, of a head on which `work` was done.

    `dials` is said of the dials that it begins with. `target` is that of its set, `wanted` as `wanted_said`.
    """
    asked = bool(form.wrong("behind"))
    hangs = head.stage in (Stage.HUNG, Stage.CONFIRMED)
    gels = work.gels if work else []
    behind = [("", "choose")] if asked else []
    if hangs:
        behind.append(("hung", f"With {listed(grouped([gel(n) for n in gels]))}" if gels else "As it stands"))
    offered = (*behind, ("bare", "Bare")) if behind else ()
    said = form.value("behind")
    bare = said == "bare" or (head.asks_bare and said != "hung")
    return PadView(
        open=_refused(form),
        elsewhere=tuple(form.elsewhere([*_FIELDS, *_USED])),
        behind=offered,
        chosen="bare" if behind and bare and not asked else offered[0][0] if offered else "",
        hangs=hangs,
        hung="; ".join(gels),
        asked=asked,
        dials=dials,
        more=_more(form),
        unfolded=any(form.wrong(name) for name in _FOLDED),
        target=in_sight(target),
        wanted=wanted,
    )


def in_sight(target: Target) -> str:
    """Name a target as a form sends it: with plain spaces."""
    return " ".join(white(target).split())


def wanted_said(plan: Plan, i: int, tolerance: float) -> str:
    """Write the white that is wanted of a head, and how near counts as close [step]; empty for none."""
    if i not in plan.prepared or plan.heads[i].source.aim.leave:
        return ""
    wanted = plan.prepared[i].wanted
    return f"{wanted.cct:.1f} {wanted.duv:.5f} {tolerance:g}"


def dials_said(told: Setting | None, before: Setting | None) -> str:
    """Say how the dials are `told` to stand, where they stood otherwise `before`: whatever is typed then."""
    if told is None or told == before:
        return ""
    advised = f"Advised: {dial_said(told)}."
    return f"{advised} Were at {dial_said(before)}." if before else advised


def _refused(form: Form) -> bool:
    """Whether it is this form that came back, and not another one of the page."""
    beside = len(form.elsewhere(_FIELDS)) < len(form.problems)
    return beside or ("cct" in form.values and bool(form.problems))


def _more(form: Form) -> str:
    """Say what is folded, with how the head stands: “Lux, level 60 %, softbox”."""
    level = "" if form.wrong("level") else form.value("level").strip(" %")
    modifier = form.value("modifier").strip()
    return f"Lux, {f'level {level} %' if level else 'level'}, {modifier or 'modifier'}"
