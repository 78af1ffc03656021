"""What a reading was taken behind, as its form says and as it hung when it was taken."""

from contextlib import suppress

from ...model import Refused, Source, Work
from ...model.sets.phrases import listed
from ...store import StoredSource
from ..forms.form import Form
from ..forms.taken import age, before_now
from ..state import state
from ..wording.values import gel


def as_read(now: StoredSource, form: Form) -> Source:
    """Return a source as it was when a reading of it was taken: what comes in late was read behind what hung.

    That is where the form fits what hung then; else as it is now.
    """
    if late := age():
        then = state().sets.work_at(now.id, before_now(late))
        if _hanging(then) != _hanging(now.source.work):
            with suppress(Refused):
                read_behind(then, form)
                return now.source.model_copy(update={"work": then})
    return now.source


def _hanging(work: Work | None) -> list[str] | None:
    return work.gels if work and work.hangs else None


def read_behind(work: Work | None, form: Form) -> Work | None:
    """Return the work that a reading was taken behind; None where it was taken of the bare source.

    Raises Refused where what hangs is not what hung when the form was shown: what was read behind gels must
    never pass for the bare reading, nor behind these for behind those.
    """
    behind, hangs = form.value("behind"), work is not None and work.hangs
    if behind == "hung" and (work is None or not hangs):
        raise Refused.one(
            "behind", "nothing hangs on it any more", "take it as bare, or say first what hangs"
        )
    if not hangs and form.values.get("behind") == "":
        raise Refused.one(
            "behind", "nothing was chosen", "say that it was read bare, or say first what hangs"
        )
    if work is None or not hangs:
        return None
    stays_bare = not (work.gels or work.dial)
    if behind == "bare" or (stays_bare and "behind" not in form.values):
        return work if stays_bare else None  # bare is how it hangs
    hung = "; ".join(work.gels)
    if not behind or form.values.get("hung", hung) != hung:
        says = f"{listed([gel(name) for name in work.gels]) or 'nothing'} hangs on it now"
        raise Refused.one("behind", says, "say whether it was read behind that, or bare. Or read it again")
    return work
