"""A Duv whose sign the words beside it contradict: asked."""

import re
from collections.abc import Sequence

from ..messages.lines import Said
from ..readings.gathered import Gathered
from ..readings.result import Answers
from ..sentences.spoken import Spoken
from ..sentences.values import value_of
from ..vocabulary.headings import Field
from .asked import MOST_ASKED, each_told, of_lines
from .questions import OTHER, sign_question

# "less green" and "minus green" say something else.
_SHADE = re.compile(
    r"(?<!\d)(?<!\d\s)(?<!minus\s)(?<!plus\s)(?<!less\s)(?<!not\s)(?<!no\s)(?<!n't\s)(?<!without\s)(?<!half\s)(?<!full\s)"
    r"(?<!quarter\s)(?<![½¼⅛+-])(?<![½¼⅛]\s)(?<!never\s)\b(?:too\s|very\s|quite\s|so\s|a\sbit\s|bit\s|slightly\s)*"
    r"(green|greenish|greeny|magenta|pink|pinkish|grün|grünlich|vert|verde|groen|zielony|zielone)\b(?!\s?(?:gel|screen|room))",
    re.IGNORECASE,
)
_GREEN = frozenset({"gr", "ve", "zi"})


def ask_sign(rows: Gathered, said: Sequence[Said], answers: Answers) -> None:
    """Ask for the sign of a Duv that words beside it contradict: "minus .004, so still quite green"."""
    told = [(line, at, e) for line, at, e in each_told(said) if not e.bad and _duv(e)]
    against = [(line, at, e) for line, at, e in told if _shade_beside(line, e) * _duv(e) < 0]
    for line, at, each in against[:MOST_ASKED]:
        field = Field.DUV if Field.DUV in each.cells else Field.CC
        value = value_of(each.cells[field])
        question = sign_question(f"sign-{line.line}.{at}", each.name, _duv(each), answers)
        rows.asked.append(of_lines(question, [line], [each]))
        if question.answer == OTHER:
            each.cells[field] = f"{-value:+g}"
        elif not question.answer:
            each.bad = "it is not clear whether it is green or magenta"


def _shade_beside(line: Said, spoken: Spoken) -> int:
    """Return 1 where the words behind its CCT call it green, −1 for magenta, 0 for neither or both."""
    text = line.message.text
    starts = [text.find(e.cells.get(Field.CCT, "\0")) for e in line.spoken]
    own = text.find(spoken.cells.get(Field.CCT, "\0"))
    if own < 0 or min(starts) < 0:
        return 0
    part = text[own : min([at for at in starts if at > own], default=len(text))]
    shades = {(1 if found[:2].casefold() in _GREEN else -1) for found in _SHADE.findall(part)}
    return shades.pop() if len(shades) == 1 else 0


def _duv(spoken: Spoken) -> float:
    cells = spoken.cells
    return value_of(cells.get(Field.DUV, "")) or value_of(cells.get(Field.CC, "")) / 1000
