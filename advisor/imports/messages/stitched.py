"""One reading told over several lines: a name, then its numbers, or numbers and then whose they were."""

import re
from collections.abc import Sequence
from dataclasses import replace

from ..vocabulary.headings import Field
from ..vocabulary.spoken import CLAUSES, sign_said
from .lines import Said, say
from .rewording import reworded

_MOST_LINES = 6
_LONGEST = 120
_MOST_WORDS = 6
_OPENING = re.compile(
    r"(?:(?:ok(?:ay)?|so|now|next|then|and|right|well|alright|also|first|here|same\sfor|jetzt|nun|dann|als\snächstes|"
    r"ensuite|puis|luego|ahora|poi|ora|depois|agora|dan|nu)\b[\s,.:]{0,3}(?:up\b[\s,.:]{0,3})?){0,3}"
    r"(?:(?:it's|its|it\sis|that's|thats|that\sis|c'est|das\sist|es|son)\s(?=(?:plus|minus|[-+\d.])))?",
    re.IGNORECASE,
)
_CLOSING = re.compile(
    r"(?:and\s)?(?:that|this|those|these|das|dies|c'|ça|eso|esto|quello|isso|dat)\s?(?:was|were|is|are|'s|war|waren|ist|"
    r"était|est|era|es|è|foi|fue)\s(?:the\s|for\sthe\s|on\sthe\s|der\s|die\s|das\s|le\s|la\s|el\s|il\s|o\s|a\s|de\s|het\s)?"
    r"(?P<name>[^\W\d_][^\d?!:;]{1,38}?)\W{0,2}",
    re.IGNORECASE,
)
_FIGURES = re.compile(r"(?:[\W\d_]|lux|lx|klx|fc|cct|duv|cc|k|kelvin|mired)*", re.IGNORECASE)
_LIKE_CCT = re.compile(r"(?<![\w.,'+-])(?:[2-9]|1[0-2])\d{3}(?!\d|[.,']\d|\s?(?:lx|lux|fc))")
_DOTS = re.compile(r"^[.…\s]+(?!\d)|[.…\s]+$|^\.{2,}")


def stitched(said: Sequence[Said]) -> list[Said]:
    """Return the lines with those made one that only together tell a reading; the others as they are.

    What they say must be one source's, give nothing twice, and leave nothing over.
    """
    out: list[Said] = []
    at = 0
    while at < len(said):
        together = _from(said, at)
        if together is None:
            out.append(said[at])
            at += 1
        else:
            out.append(together)
            at += len(together.lines)
    return out


def _from(said: Sequence[Said], at: int) -> Said | None:
    """Return the reading that begins on a line and goes on beneath it; None where none does."""
    first = said[at]
    if not _may_begin(first):
        return None
    best: Said | None = None
    texts, given = [_plain(first)], _ccts(first)
    for i in range(at + 1, min(at + _MOST_LINES, len(said))):
        line = said[i]
        if not _goes_on(line, said[i - 1], first):
            break
        closing = _CLOSING.fullmatch(line.message.text.strip())
        texts = [closing["name"], *texts] if closing else [*texts, _plain(line)]
        if all(map(_FIGURES.fullmatch, texts)):
            continue  # nothing in them can be a name
        if len(line.spoken) > 1 or (given := given + _ccts(line)) > 1:
            break  # one source has one CCT
        found = _whole(first, texts, tuple(each.line for each in said[at : i + 1]))
        best = found or best
        if closing:
            break
    return best


def _may_begin(line: Said) -> bool:
    if line.corrects is not None or len(line.message.text) > _LONGEST or line.message.text.endswith("?"):
        return False
    if line.whole:
        return len(line.spoken) == 1 and bool(line.spoken[0].name) and not line.spoken[0].goes_on
    words = _plain(line).casefold().split()
    if not words or words[0] in CLAUSES:
        return False
    return _has_number(line.message.text) or len(words) <= _MOST_WORDS


def _goes_on(line: Said, before: Said, first: Said) -> bool:
    """Whether a line may go on with what was said: the next one of its sender, with no whole reading."""
    gap = 2 if before is first and not first.tries else 1  # a title may stand over a blank line
    if line.line > before.line + gap or line.whole or line.about:
        return False
    if line.corrects is not None and not (line.corrects.renames and _is_nameless(first)):
        return False
    same = not line.message.sender or line.message.sender == first.message.sender
    text = line.message.text
    told = _has_number(text) or _CLOSING.fullmatch(text.strip()) is not None
    return same and told and len(text) <= _LONGEST and not text.endswith("?")


def _is_nameless(line: Said) -> bool:
    return not any(each.name for each in line.spoken) and _has_number(line.message.text)


def _ccts(line: Said) -> int:
    """Count the CCTs that a line gives, those too that nobody understood."""
    told = sum(bool({Field.CCT, Field.MIRED} & set(each.cells)) for each in line.spoken)
    return max(told, len(_LIKE_CCT.findall(line.message.text)))


def _has_number(text: str) -> bool:
    said = text.split()
    return (
        any(map(str.isdigit, text))
        or any(word == "point" or sign_said(word) for word in said)
        or "0" in reworded(text)
    )


def _whole(first: Said, texts: Sequence[str], lines: tuple[int, ...]) -> Said | None:
    together = say(", ".join(texts), first.line)
    if len(together.spoken) != 1 or not together.whole or together.corrects is not None:
        return None
    spoken = together.spoken[0]
    if not spoken.name or spoken.rest or spoken.goes_on:
        return None
    return replace(first, spoken=together.spoken, lines=lines)


def _plain(line: Said) -> str:
    """Return what a line says without the words that lead on to it."""
    text = _DOTS.sub("", line.message.text.strip().rstrip(":,;"))
    return _OPENING.sub("", text, count=1).strip()
