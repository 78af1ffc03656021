"""What is asked about messages: scales, ranges, corrections, what may not have been read."""

from collections.abc import Mapping, Sequence

from ...model.basis.quantities import MINUS, tidy
from ..messages.threads import says
from ..readings.result import Answers, PasteQuestion, Reply
from ..sentences.spoken import Range, Spoken
from ..sentences.values import value_of
from ..vocabulary.headings import Field

SCALE = "duv-scale"
"""Key of the question how many to one a signed whole number counts Duv."""
POINTS = "points"
"""Key of the question what a point of green is."""
THOUSANDTHS = "duv-thousandths"
"""Key of the question whether Duvs that are all too large are in thousandths."""
PRIMES = "primes"
"""Key of the question whether u and v are u′ and v′."""
YES, NO = "yes", "no"
"""What is answered where nothing else is to be chosen."""
TENTH = "tenth"
"""What is answered where a Duv is a tenth of what was written."""
OTHER = "other"
"""What is answered where a line is meant in its other sense."""
_SHOWN = 40
_LINE = 90
_MOST_SAID = 8
_FEW = 3


def scale_question(shown: str, answers: Answers) -> PasteQuestion:
    """Ask whether signed whole numbers such as `shown` are a Duv in thousandths or in ten-thousandths."""
    value = float(shown)
    return PasteQuestion.of(
        SCALE,
        f"{shown} may be a Duv in two ways",
        {"tenths": f"{shown} is Duv {tidy(value / 10_000)}", "cc": f"{shown} is Duv {tidy(value / 1_000)}"},
        answers,
        likely="tenths",
    )


def range_question(key: str, name: str, two: Range, answers: Answers) -> PasteQuestion:
    """Ask which figure of the range `two` is meant for the source `name`: an end, the middle, no light."""
    ends = {"first": _end(two.field, two.first), "second": _end(two.field, two.second)}
    choices = {
        "first": ends["first"],
        "middle": f"{_end(two.field, two.instead)}, the middle",
        "second": ends["second"],
    }
    if two.field is Field.LUX:
        choices["none"] = "Leave the light out"
    return PasteQuestion.of(
        key,
        f"{name or 'A reading'} is told as {ends['first']} to {ends['second']}",
        choices,
        answers,
        likely="middle",
    )


def _end(field: Field, text: str) -> str:
    """Say an end of a range with its unit."""
    if field is Field.CCT:
        return f"{tidy(float(text))} K"
    if field is Field.CC:
        return f"Duv {_signed(float(text) / 1000)}"
    if field is Field.DUV:
        return f"Duv {_signed(float(text))}"
    return text


def sure_question(key: str, text: str, answers: Answers, *, likely: str) -> PasteQuestion:
    """Ask whether what `text` tells was read: it may be wanted, asked or set."""
    ways = {NO: "Leave it out", YES: "It was read"}
    return PasteQuestion.of(key, f"“{text}”: was that read?", ways, answers, likely=likely)


def hung_question(key: str, spoken: Spoken, answers: Answers) -> PasteQuestion:
    """Ask whether the gels of a reading hung while it was read; likelier they did not."""
    gels = " + ".join(spoken.gels_open)
    says = f"{spoken.name or 'A reading'}: did {gels} hang when it was read?"
    return PasteQuestion.of(key, says, {NO: "No", YES: "Yes"}, answers, likely=NO)


def unread_question(key: str, title: str, held: Sequence[Spoken], answers: Answers) -> PasteQuestion:
    """Ask whether readings `held` beneath a `title` for what is wanted were read."""
    ways = {NO: "Leave them out", YES: "They were read"}
    says = f"Under “{title}”: {said_of(held)}"
    return PasteQuestion.of(key, says, ways, answers, likely=NO)


def of_all_question(line: int, shown: str, held: Sequence[Spoken], answers: Answers) -> PasteQuestion:
    """Ask whether a `line` with a gel or a level `shown`, and no reading, says it of the readings `held`."""
    names = [each.name or "a reading" for each in held]
    of = ", ".join(names[:_FEW]) + (f" and {len(names) - _FEW} more" if len(names) > _FEW else "")
    ways = {YES: f"{shown}: {of}", NO: "Of none of them"}
    return PasteQuestion.of(
        f"of-all-{line}", f"Line {line} says {shown}. Of which?", ways, answers, likely=YES
    )


def correction_question(
    line: int, what: tuple[Spoken, Spoken | None, str], answers: Answers, *, wished: bool
) -> PasteQuestion:
    """Ask whether a `line` corrects a reading: `what` it was, what is said anew, and whose it is instead.

    None said anew takes the reading back. Where it is `wished`, it may be what is wanted.
    """
    target, by, renames = what
    whose = target.name or "a reading"
    if renames:
        question = f"Line {line} says that {says(target)} is {renames}, not {whose}"
        words = f"It is {renames}", f"It is {whose}"
    elif by is None:
        question = f"Line {line} takes back {whose}, {says(target)}"
        words = "Leave that reading out", "Keep it"
    else:
        was = ", ".join(target.cells[f] for f in by.cells if f in target.cells) or says(target)
        question = f"Line {line} corrects {whose}: {says(by)} in place of {was}"
        words = f"Take {says(by)[:_SHOWN]}", f"Keep {was[:_SHOWN]}"
    key = f"corrects-{line}"
    return PasteQuestion.of(
        key, question, {YES: words[0], NO: words[1]}, answers, likely="" if wished else YES
    )


def spelling_question(line: int, pairs: Sequence[tuple[str, str]], answers: Answers) -> PasteQuestion:
    """Ask whether names were typed wrongly, as a `line` says: each as it stands, and as it was meant."""
    meant = ", ".join(f"{was} is {now}" for was, now in pairs)
    return PasteQuestion.of(
        f"spells-{line}",
        f"Line {line} renames: {meant}",
        {YES: ", ".join(now for _, now in pairs)[:_SHOWN], NO: ", ".join(was for was, _ in pairs)[:_SHOWN]},
        answers,
        likely=YES,
    )


def swap_question(line: int, two: tuple[Spoken, Spoken], answers: Answers) -> PasteQuestion:
    """Ask whether the names of `two` readings are swapped, as a `line` says."""
    first, second = two
    swapped = f"{second.name} is {says(first)} and {first.name} is {says(second)}"
    kept = f"{first.name} is {says(first)} and {second.name} is {says(second)}"
    key = f"swaps-{line}"
    return PasteQuestion.of(
        key,
        f"Line {line} says that two names are swapped",
        {YES: swapped, NO: kept},
        answers,
        likely=YES,
    )


def far_question(key: str, name: str, text: str, answers: Answers) -> PasteQuestion:
    """Ask of a Duv that is too far for a white whether its point is one place too far right."""
    duv = value_of(text)
    doubt = f"a Duv of {text} is far for a light without a gel"
    return _which_duv(key, name, doubt, {TENTH: duv / 10, NO: duv}, answers)


def sign_question(key: str, name: str, duv: float, answers: Answers) -> PasteQuestion:
    """Ask for the sign of a Duv that words beside it contradict; what the words say is the likelier."""
    shade = "magenta" if duv < 0 else "green"
    doubt = f"a Duv of {_signed(duv)} is {shade}, and its words say otherwise"
    return _which_duv(key, name, doubt, {OTHER: -duv, YES: duv}, answers)


def _which_duv(key: str, name: str, doubt: str, ways: Mapping[str, float], answers: Answers) -> PasteQuestion:
    """Ask which Duv is meant, by the value of its answer; the first of the `ways` is the likeliest."""
    choices = {value: f"Duv {_signed(duv)}" for value, duv in ways.items()}
    return PasteQuestion.of(key, f"{name or 'A reading'}: {doubt}", choices, answers, likely=next(iter(ways)))


def _signed(duv: float) -> str:
    return f"{MINUS if duv < 0 else '+'}{abs(duv):.4f}"


def thousandths_question(shown: str, reply: Reply, answers: Answers) -> PasteQuestion:
    """Ask whether Duvs such as `shown`, all too large, are in thousandths."""
    return PasteQuestion.of(
        THOUSANDTHS,
        f"A Duv of {shown} is too large. Is it in thousandths?",
        {reply.value: reply.words, NO: "Leave them"},
        answers,
        likely=reply.value,
    )


def primes_question(shown: str, answers: Answers) -> PasteQuestion:
    """Ask whether u and v, with a v of `shown` that no white has in 1960, are u′ and v′."""
    return PasteQuestion.of(
        PRIMES,
        f"A v of {shown} is one of u′ and v′",
        {YES: "u′ and v′", NO: "u and v of 1960"},
        answers,
        likely=YES,
    )


def points_question(count: int, answers: Answers) -> PasteQuestion:
    """Ask what a point of green is in `count` readings: 1 CC, or something else."""
    return PasteQuestion.of(
        POINTS,
        f"{count} {'reading counts' if count == 1 else 'readings count'} green in points",
        {"cc": "1 point is 1 CC, Duv 0.001", "no": "Leave it" if count == 1 else "Leave them"},
        answers,
        likely="cc",
    )


def proposal_question(
    line: int, text: str, senses: tuple[Sequence[Spoken], Sequence[Spoken]], answers: Answers
) -> PasteQuestion:
    """Ask in which of two `senses` a `line` is meant, the likelier first, or whether it tells no reading."""
    found, other = senses
    key = f"says-{line}"
    choices = {YES: said_of(found)}
    if other:
        choices[OTHER] = said_of(other)
    choices[NO] = "Leave it out"
    shown = text if len(text) <= _LINE else text[: _LINE - 1] + "…"
    return PasteQuestion.of(
        key, f"Line {line}, “{shown}”: which readings are in it?", choices, answers, likely=YES
    )


def said_of(found: Sequence[Spoken]) -> str:
    """Say in a few words which readings were found: "key 5 600 K, Duv +0.0040; fill 5 480 K"."""
    words = [" ".join([each.name, *_figures_said(each)]).strip() for each in found[:_MOST_SAID]]
    rest = [f"and {len(found) - _MOST_SAID} more"] if len(found) > _MOST_SAID else []
    return "; ".join([*words, *rest])


def _figures_said(spoken: Spoken) -> list[str]:
    out = []
    for field, text in spoken.cells.items():
        if field is Field.CCT:
            out.append(f"{tidy(value_of(text))} K")
        elif field in (Field.DUV, Field.CC):
            duv = value_of(text) / (1 if field is Field.DUV else 1000)
            out.append(f"Duv {_signed(duv)}")
        elif field is Field.MIRED:
            out.append(f"{text} mired")
        else:
            out.append(text)
    return [", ".join([*out, *spoken.gels])]


def typed_question(word: str, meant: str, answers: Answers) -> PasteQuestion:
    """Ask whether a name in which `word` stands was typed wrongly for another in the text, with `meant`."""
    ways = {YES: f"Yes, {meant}", NO: f"No, {word} is another"}
    return PasteQuestion.of(f"typed-{word}", f"“{word}”: the same as {meant}?", ways, answers, likely=YES)
