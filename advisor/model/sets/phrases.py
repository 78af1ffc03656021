"""Numbers, lists, settings and targets as they stand in a sentence."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence

from ..basis.quantities import tidy, tidy_each
from .reading import Reading, Setting
from .source import NoGel, Role, WantedOffset
from .target import Locus, Target
from .work import StandMove

_NBSP = "\N{NO-BREAK SPACE}"
"""Between a number and what it counts: the two stay on one line."""


def signed(value: float, decimals: int | None = None) -> str:
    """Write a number with its sign, to so many decimals; a number that rounds to 0 has no sign."""
    return signed_each([value], decimals)[0]


def signed_each(values: Sequence[float], decimals: int | None = None) -> list[str]:
    """Write several numbers with their signs, as `signed` does."""
    return [
        f"+{text}" if value > 0 and any(digit in text for digit in "123456789") else text
        for value, text in zip(values, tidy_each(values, decimals), strict=True)
    ]


def counted(number: float, what: str) -> str:
    """Count things, or say an amount as it was typed: “1 sheet”, “2 sheets”, “0 sheets”, “0.5 stop”."""
    return f"{tidy(number)}{_NBSP}{what}{'' if 0 < number <= 1 else 's'}"


def measured(value: float, unit: str) -> str:
    """Write an amount to a tenth with its unit: “0.5 stop”, “1.0 stop”, “1.5 stops”."""
    return f"{tidy(value, 1)}{_NBSP}{unit}{'' if value < 1.05 else 's'}"


def listed(parts: Sequence[str]) -> str:
    """Join words as a sentence does: “a, b and c”."""
    return ", ".join(parts[:-1]) + " and " + parts[-1] if len(parts) > 1 else "".join(parts)


_NUMBERS = ("no", "one", "two", "three", "four")


def grouped(names: Sequence[str]) -> list[str]:
    """Write each name once, with how often it occurs: “two ¼ CTB”, “8 × ½ CTB”.

    A bare figure would run into the fraction that follows it: hence a word, or a figure with ×. Scrims are
    pieces: “two single scrims”.
    """
    return [
        name if n == 1 else f"{_NUMBERS[n] if n < len(_NUMBERS) else f'{n}{_NBSP}×'}{_NBSP}{_several(name)}"
        for name, n in Counter(names).items()
    ]


def _several(name: str) -> str:
    return f"{name}s" if name.endswith("scrim") else name


def dial_said(setting: Setting) -> str:
    """Say how a head's dials stand, in its own numbers: “5 600 K, green +5”, or “5 600 K” if green is 0."""
    green = f", green {signed(setting.green)}" if setting.green else ""
    return f"{tidy(setting.cct)}{_NBSP}K{green}"


def percent(value: float) -> str:
    """Write a dim level: “80 %”."""
    return f"{tidy(value)}\N{NARROW NO-BREAK SPACE}%"


def percents(levels: Sequence[float]) -> str:
    """Say one dim level or several: “100 and 50 %”."""
    *rest, last = levels
    return listed([*(tidy(level) for level in rest), percent(last)])


def stood(reading: Reading, gel: Callable[[str], str] = str) -> str:
    """Say how a source was set when it was read: “at 80 %, with softbox, dials at 5 600 K, behind CTO 1/4”.

    `gel` writes a gel's name. The text is empty if the reading notes none of this.
    """
    said = [f"at {percent(reading.level)}"] if reading.level is not None else []
    said += [f"with {reading.modifier}"] if reading.modifier else []
    said += [f"dials at {dial_said(reading.dial)}"] if reading.dial else []
    said += [f"behind {listed(grouped([gel(name) for name in reading.gels]))}"] if reading.gels else []
    return ", ".join(said)


def stood_each(readings: Iterable[Reading], gel: Callable[[str], str] = str) -> list[str]:
    """Say of each reading how its source was set, as `stood` does."""
    return [stood(reading, gel) for reading in readings]


def white(target: Target) -> str:
    """Name a target and what the camera takes out: “4 150 K Planckian, camera taking out 13 CC of green”."""
    if target.cct is None:
        name = f"the white of {target.source}"
    else:
        name = (
            f"{tidy(target.cct, 0)}{_NBSP}K {'daylight' if target.locus is Locus.DAYLIGHT else 'Planckian'}"
        )
    if target.duv_offset:
        name += f", Duv {signed(target.duv_offset, 4)} off it"
    return name + (f", camera taking out {taken_out(target.tint)}" if target.tint else "")


def taken_out(tint: float) -> str:
    """Say what a camera's white balance takes out, by its tint [CC]: “13 CC of green”."""
    return f"{tidy(abs(tint))}{_NBSP}CC of {'green' if tint > 0 else 'magenta'}"


def times_as_far(stand: StandMove) -> str:
    """Say how far away a head is to be moved, as a multiple of its distance before: “1.4 × as far”."""
    return f"{tidy(round(stand.times, 1), 1)}{_NBSP}×{_NBSP}as far"


def changed_to(field: str, label: str, value: object) -> str:
    """Say what a field of a set or a source was changed to: “dim level 0.8”, “stays bare on purpose”.

    `value` is as it is kept, None where it is the usual one again. What is too long to say is named by its
    `label` alone.
    """
    if field == "aim":
        return _aim(WantedOffset.model_validate(value or {}))
    if field == "stays_as":
        return "what moved is left as it is" if value else "what moved is asked about again"
    if field == "no_gel":
        return NoGel(str(value)).said if value else "gel may hang on it again"
    if field == "role":
        return f"role: {'something else' if value in (None, Role.OTHER) else value}"
    if field == "note" or not isinstance(value, str | int | float):
        return label
    if isinstance(value, bool):
        return f"{label} {'yes' if value else 'no'}"
    return f"{label} {value if isinstance(value, str) else tidy(float(value))}"


def _aim(aim: WantedOffset) -> str:
    if aim.leave:
        return "stays bare on purpose"
    if aim.plain:
        return "to match the target"
    off = [f"{signed(aim.mired)} mired"] if aim.mired else []
    off += [f"Duv {signed(aim.duv, 4)}"] if aim.duv else []
    return f"off the target on purpose: {', '.join(off)}"


def pulled_said(now: Sequence[str], was: Sequence[str], gel: Callable[[str], str]) -> str:
    """Say what of the pull list came off the truck, or is back on it: “pulled: ¼ CTO”."""
    said = []
    for done, new, old in (("pulled", now, was), ("not pulled", was, now)):
        if names := dict.fromkeys(gel(line.partition(":")[0]) for line in new if line not in old):
            said.append(f"{done}: {listed(list(names))}")
    return " · ".join(said) or "pulled"


def down_said(now: Sequence[int], was: Sequence[int]) -> str:
    """Say off which heads, by their numbers, the gel came, or hangs again: “gel down off No. 3”."""
    said = []
    for done, new, old in (("gel down off", now, was), ("not down yet:", was, now)):
        if numbers := [f"No. {number}" for number in new if number not in old]:
            said.append(f"{done} {listed(numbers)}")
    return " · ".join(said)


def lamp_said(
    now: Mapping[str, object] | None, was: Mapping[str, object] | None, *, daylight: bool = False
) -> str:
    """Say what became of a lamp, by the field's values now and before: “lamp out”, “lamp is back”.

    Of `daylight`, which has none, it is said of the light.
    """
    now, was = now or {}, was or {}
    if daylight:
        if now.get("out"):
            return "light gone"
        if was.get("out"):
            return "light is back" if now.get("since") == was["out"] else "light is not gone"
        return (
            "another light" if str(now.get("since") or "") > str(was.get("since") or "") else "the same light"
        )
    if now.get("out"):
        return "lamp out"
    if was.get("out"):
        return "lamp is back" if now.get("since") == was["out"] else "lamp is not out"
    return "another lamp" if str(now.get("since") or "") > str(was.get("since") or "") else "the same lamp"


def stand_said(now: Mapping[str, object] | None, was: Mapping[str, object] | None) -> str:
    """Say where a stand is to go, or went; that it is read there takes the order off."""
    one = StandMove.model_validate(now or was)
    where = f"{tidy(round(one.distance, 2))} m" if one.distance else times_as_far(one)
    if now is None:
        return f"read at {where}" if one.done else f"not to move to {where}"
    moved = f"taken as moved to {where}, by its light" if one.by_light else f"moved to {where}"
    return moved if one.done else f"to move to {where}"


def unit_said(
    now: Mapping[str, object] | None, was: Mapping[str, object] | None, name: str, *, again: bool
) -> str:
    """Say which tested head a source is, by its field `test` now and before; `again` where it was that.

    `name` is what the source was called.
    """
    one, other = (str((test or {}).get("head", "")) for test in (now, was))
    if not one:
        return f"it is not {other} after all"
    if one == other:
        return f"by the tests of {one} {'as they were' if again else 'as they are now'}"
    if again:
        return f"it is {one} again"
    return f"it is {one}" + (f", was taken for {other}" if other and other != name else "")
