"""A sentence for each property that the API's description names, with its unit in brackets.

A key is a property, or ``Model.property`` where it means something of its own there. What a model says of a
field itself stands before that. Sentences are here and not in the models, as most serve several of them.
"""

from collections.abc import Iterator

_ACCURACY = {
    "meter_cct_percent": "How far the meter's CCT may be off, nine times in ten [%].",
    "meter_duv": "How far the meter's Duv may be off, nine times in ten.",
    "gel_percent": "How far a gel's shift may be off whose row does not say, nine sheets in ten [% of the "
    "shift].",
}
_LIMITS = {
    "tolerance_steps": "How far off still counts as matched [step = 0.0011 Δu′v′].",
    "max_layers": "The most gels that are added in one stack.",
    "max_stops": "The most light that a stack may cost [stop]; null for no limit.",
    "accuracy": "How far the meter and the gels may be off; chance and doubt go by it.",
    "exclude_families": "Families of gels that are not added, such as Plus Green.",
    "only_gels": "The gels that may be added, none other; null for all of the table.",
    "share_stock": "Whether all sources draw from one stock, so that no sheet is promised twice.",
}
_ASKED = {
    "target": "The white that is to be matched.",
    "sources": "The sources, in the order of the answer.",
    "source": "The source that the stack is for.",
    "stack": "The gels that are meant to hang, as people write them; empty for the bare source.",
    "gels": "The gels that hang or are to hang, by their names.",
    "AskedAdvice.gels": "The gel table to go by; null for the one in force.",
    "AskedPlans.gels": "The gel table to go by; null for the one in force.",
    "AskedPrediction.gels": "The gel table to go by; null for the one in force.",
    "changed": "What changed on the set; found from readings where nothing is said.",
    "WhatChanged.sources": "The names of the sources whose light moved.",
    "WhatChanged.before": "The target before the present one; null if it stayed.",
    "WhatChanged.failed": "The names of heads that are dark: their gels are free for others.",
}
_TARGET = {
    "Target.cct": "The CCT of the white [K]; null where a source is to be matched.",
    "Target.locus": "The line of whites that it lies on; where it is left out that of daylight, and "
    "the Planckian "
    "below 4 000 K, where daylight ends.",
    "Target.duv_offset": "How far off the locus it lies on purpose, as Duv, above 0 is green.",
    "Target.tint": "The green–magenta value of the camera's white balance [CC = 1000 × Duv]; above 0 takes "
    "out green.",
    "Target.source": "The name of the source whose white is to be matched; null where a CCT is given.",
}
_READING = {
    "cct": "The correlated colour temperature [K]; null where there is none.",
    "duv": "The distance from the Planckian locus in CIE 1960 (u, v), above 0 is green; null where "
    "there is none.",
    "xy": "The chromaticity x, y (CIE 1931, 2° observer), in the place of CCT and Duv.",
    "spectrum": "The measured spectrum; with it CCT and Duv count no more.",
    "lux": "The illuminance [lx]; null where nobody read it.",
    "ra": "The colour rendering index Ra (CIE 13.3), as the meter printed it.",
    "r9": "The special index R9 (CIE 13.3), as the meter printed it.",
    "rf": "The fidelity index Rf (ANSI/IES TM-30), as the meter printed it.",
    "rg": "The gamut index Rg (ANSI/IES TM-30), as the meter printed it.",
    "ssi": "The spectral similarity index (SMPTE ST 2122), as the meter printed it.",
    "ssi_reference": "What the SSI is against: P or D with kelvins, such as P3200.",
    "level": "Where the dimmer stands [%]; null where nobody said.",
    "modifier": "What shapes the light, such as a dish; empty for none.",
    "dial": "Where the dials of an adjustable head stand, in its own numbers; null without dials.",
    "Reading.gels": "All gels that hung when it was read; empty for the bare source.",
    "HeadReading.gels": "Always empty: a head is tested bare.",
    "SentReading.gels": "All gels that hung when it was read, as people write them; empty for the bare "
    "source.",
    "gels_checked": "Whether somebody looked at what hung; then no gel is suspected.",
    "gel_burnt": "Whether its gels had burnt or faded by then; it counts for nothing.",
    "duv_assumed": "Whether nobody read a Duv, and the one that is given stands in its place.",
    "Reading.as_far": "How many times as far from its subject the head stood as where it was first read.",
    "SentReading.as_far": "Of no use here: a set knows where each head stands.",
    "HeadReading.as_far": "Of no use here: a head is tested from one distance.",
    "lux_as_far": "For which such distance the lux is told, if another than it was read from; else null.",
    "taken_at": "When it was read, ISO 8601 with its zone.",
    "tested_at": "When the test began in which it was read, ISO 8601 with its zone; null outside one.",
    "HeadReading.level": "Where the dimmer stood [%].",
    "HeadReading.watts": "What the head drew from the mains [W]; null where nobody read it.",
    "Setting.cct": "The CCT on the head's own dial [K].",
    "Setting.green": "The green on the head's own dial, in its own unit.",
    "start": "The wavelength of the first value [nm].",
    "step": "From one value to the next [nm].",
    "Spectrum.values": "The relative spectral power at each wavelength.",
    "Transmittance.values": "The part of the light that passes at each wavelength, 0 to 1.",
}
_SOURCE = {
    "name": "What the crew calls it.",
    "kind": "What makes the light; it decides which spectra a reading can stand for.",
    "reading": "The reading that counts, the newest bare one.",
    "AskedSource.reading": "The reading that counts, the newest bare one; left out where `head` is named.",
    "readings": "The other readings, oldest first, bare or behind gels.",
    "note": "What the crew noted.",
    "keep": "Gels that always hang on it, such as diffusion and ND.",
    "aim": "What is wanted of it beside the target: warmer, greener, or left alone.",
    "AskedSource.level": "The dim level in use [%]; null for that of the reading.",
    "AskedSource.modifier": "The modifier in use, empty for none; null for that of the reading.",
    "AskedSource.dial": "Where the dials of the named head are to stand; null for as it was read.",
    "AskedSource.head": "A known head in the place of a reading, by its id or its name.",
    "reach": "What the dials of an adjustable head can do; null without dials.",
    "AskedSource.tolerance_steps": "Its own tolerance in the place of the set's [step = 0.0011 "
    "Δu′v′]; null for "
    "that.",
    "AskedSource.max_layers": "Its own most gels in the place of the set's; null for that.",
    "no_gel": "Why nothing may be added to it; null where gel may.",
    "AskedSource.only_gels": "The gels that are cut for it, none other; null for the set's.",
    "role": "What it does in the shot.",
    "on_subject": "Whether its light falls on the subject; null: all but back lights and practicals do.",
    "over_key": "How far it may stand over the key, below 0 under it [stop]; null for no limit.",
    "AskedSource.watts": "What it draws from the mains [W]; null where nobody said.",
    "openings": "What gel has to cover.",
    "as_far": "How many times as far it stands as where it was first read, but for a move in `stand`.",
    "stand": "Where its stand is to go, or went, until it is read there; null where it stays.",
    "StandMove.times": "How many times as far it goes.",
    "StandMove.distance": "How far that is [m]; null where nobody knows.",
    "StandMove.done": "Whether it stands there.",
    "StandMove.by_light": "Whether nobody said so, and the light that was read is that of there.",
    "lamp": "What became of its lamp; null while it burns and nobody changed it.",
    "Lamp.out": "Since when it is out, ISO 8601; null while it burns.",
    "Lamp.since": "Readings taken before are another lamp's, and count for nothing; null where none are.",
    "Lamp.before": "What `since` was for the lamp before; null where that was the first.",
    "work": "What was decided for it; null while it is bare.",
    "test": "How sure its light is, where it is on the set as it was tested; else null.",
    "hung": "The gels that hang now, where no `work` says so; null where nobody said.",
    "leave": "Whether nobody touches it.",
    "WantedOffset.mired": "How much warmer than the target it is wanted [MK⁻¹].",
    "WantedOffset.duv": "How much greener than the target it is wanted, as Duv.",
    "cct_from": "Where the CCT dial begins [K].",
    "cct_to": "Where the CCT dial ends [K].",
    "cct_step": "The least step of the CCT dial [K].",
    "green_from": "Where the green dial begins, in the head's own unit; 0 without one.",
    "green_to": "Where the green dial ends, in the head's own unit; 0 without one.",
    "green_step": "The least step of the green dial, in the head's own unit.",
    "width": "The width of the opening [m].",
    "height": "The height of the opening [m].",
    "count": "How many openings of this size there are.",
    "AsTested.head": "The head that it is.",
    "doubt_steps": "How far its light may be off its test, nine cases in ten [step = 0.0011 Δu′v′].",
    "AsTested.tests": "How many tests that rests on.",
    "distance": "From the head to the meter [m]; null where nobody said.",
}
_WORK = {
    "stage": "How far the work has come.",
    "Work.gels": "All that hangs, or is planned to.",
    "Work.dial": "The setting of the dials that belongs to it; null where they stay.",
    "predicted": "What was predicted when it was hung; null where nothing was.",
    "bare": "The bare reading that the prediction rests on.",
    "found": "The newest reading behind it; null before one.",
    "earlier": "Earlier readings behind it, at other levels or with other modifiers, oldest first.",
    "left": "How far off it was when somebody decided on it [step = 0.0011 Δu′v′]; null where nobody knows.",
    "Work.before": "What was read behind the same stack the day before; else null.",
    "instead": "What is planned to hang in its place; null where nothing is.",
    "reused": "Gels that were not cut anew when it was hung: cuts that had come down served.",
    "read_turned": "What was read last, with its dials turned since they were set; left out where none was.",
    "uncertainty_steps": "Nine outcomes in ten lie this near [step = 0.0011 Δu′v′].",
    "within": "The chance of landing within the tolerance, 0 to 1; null where none was stated.",
    "Predicted.tolerance_steps": "The tolerance that the chance was stated for [step = 0.0011 Δu′v′].",
    "Predicted.cct": "The CCT that was predicted [K].",
    "Predicted.duv": "The Duv that was predicted, above 0 is green.",
    "Predicted.as_far": "Where its lux is predicted for: how many times as far as where it was first read.",
    "Predicted.lux": "The illuminance that was predicted [lx]; null where none was.",
}
_GEL = {
    "family": "What it is for, such as CTO.",
    "fraction": "1/8 to full; of ND its density.",
    "Gel.mired": "Its shift on its reference, above 0 warms [MK⁻¹].",
    "Gel.cc": "Its green–magenta shift there, above 0 adds green [CC = 1000 × Duv].",
    "stops": "The light lost [stop].",
    "Gel.stops": "The light lost on its reference [stop]; null to work it out from the colour.",
    "stock": "Sheets at hand; null for plenty.",
    "on": "Whether it takes part in the ranking.",
    "reference": "The Planckian radiator on which the shift holds [K]; null for 3 200 K if it cools, else 5 "
    "600 K.",
    "known": "How its figures are known; null where nobody says.",
    "percent": "How far its shift may be off, nine sheets in ten [% of the shift]; null for what `known` "
    "implies.",
    "transmittance": "Its measured transmittance; then the figures only describe it.",
}
_ANSWER = {
    "Advice.sources": "What to do on each source, in the order of the request.",
    "SourceAdvice.name": "The source, as the request names it.",
    "needed": "The shift that carries it to where it is wanted.",
    "stacks": "The stacks, in rising order of `cost`, as if the source were alone.",
    "allocated": "What it gets where all share one stock; else null.",
    "glass_steps": "What each layer beyond the first costs more on glass [step]; left out on a head.",
    "least_stops": "The light that it has to lose to keep within its limit over the key [stop]; left out "
    "without one.",
    "asks": "A question for a person before anything is hung; left out where there is none.",
    "words": "The same in words, as the pages say it.",
    "Allocated.stack": "The stack that it gets.",
    "Allocated.words": "Why it gets that.",
    "KindQuestion.words": "The question.",
    "kinds": "The kinds of light that may be the answer.",
    "StackAdvice.gels": "The gels that hang, with what is kept; empty for bare.",
    "Prediction.gels": "The gels that hang, with what is kept; empty for bare.",
    "StackAdvice.dial": "The setting of an adjustable head; left out where the source has no `reach`.",
    "Prediction.dial": "The setting of an adjustable head; left out where the source has no `reach`.",
    "layers": "How many gels that is.",
    "after": "The light behind it.",
    "miss": "What is still off then.",
    "nominal": "The light behind it if the labels simply added up.",
    "Shift.duv": "How much greener it has to turn, as Duv; null where a colour is too far from white.",
    "take_off": "The gels that come off.",
    "hang": "The gels that go on.",
    "errors": "What is wrong, an entry each.",
    "where": "Where it is, such as sources[0].reading.cct; empty for the whole.",
    "says": "What is wrong, with the value.",
    "allowed": "What is allowed in its place.",
}
_PLANS = {
    "way": "Hold the white that was matched, follow what moved, or move the white.",
    "ToldPlan.target": "The target that it leads to.",
    "ToldPlan.white": "The white of that target.",
    "turns": "What each source does, in the order of the request.",
    "target_moved": "Whether the target itself moved.",
    "plans": "At most three plans, the fewest moves first.",
    "seen": "What the eye then makes of it beside the target.",
    "in_tolerance": "Whether it is then within its tolerance.",
}
_LIGHT = {
    "exposure": "How the camera is set; 800, 24 a second, 180° and 340 lx·s where it is not said.",
    "f_number": "The f-number of the key alone; 2.8 stands for √8. Null where it is not asked, or not known.",
    "key_to_fill": "Key to fill as (key + fill) : fill, 4 for 4:1; null where it is not asked, or not known.",
    "frame_rate": "Frames a second.",
    "iso": "The ISO speed.",
    "shutter_angle": "The shutter's angle [°]; null where the time says it.",
    "shutter_time": "The exposure time [s]; null where the angle says it.",
    "constant": "The meter's constant C of ISO 2720:1974 [lx·s].",
    "key_lux": "What the keys give together then [lx].",
    "wanted_lux": "What the source is to give [lx].",
    "ways": "Its ways there, the least cost first; with none, `why` says why.",
    "why": "Why there is no way; empty where there is one.",
    "move": "How it loses light: by gel alone, by the dimmer, by both, or by distance.",
    "ToldWay.gels": "What hangs then, colour gels, ND and scrims.",
    "ToldWay.dial": "The setting to turn its dials to; null where they stay.",
    "ToldWay.lux": "What it gives then [lx].",
    "ToldLight.sources": "The sources whose light is asked for, in the order of the request.",
}
_HEADS = {
    "id": "Its number in addresses.",
    "HeadList.heads": "The known heads, a line each.",
    "head": "The head, as the crew names it.",
    "group": "What the crew calls several alike; empty for none.",
    "KnownHead.nominal": "The CCT that it is sold as [K]; null where nobody said.",
    "ListedKnownHead.tested_at": "When its newest test began, ISO 8601 in UTC; null without one.",
    "ListedKnownHead.readings": "How many readings of its newest test count.",
    "ToldHead.changed": "When each of its fields got the value that it has, ISO 8601 in UTC, where known.",
    "tests": "Its tests, with all that was read.",
    "begun_at": "When the test began, ISO 8601 with its zone.",
    "who": "Who did it; empty where nobody said.",
    "FiledReading.reading": "What was read.",
    "struck_at": "Since when it counts nowhere, ISO 8601 in UTC; null while it counts.",
    "FiledTest.test": "What was to be read.",
    "FiledTest.readings": "What was read, oldest first.",
    "levels": "The dim levels to read, from the first to the last [%].",
    "modifiers": "The modifiers to read with, the empty one being none.",
    "dials": "The settings of the dials to read at; none without dials.",
    "minutes_on": "How long the head had been on [min]; null where nobody said.",
    "meter": "The meter's name in the crew's own words.",
    "new_lamp": "Whether somebody said that the head had got a new lamp by then.",
    "on_set": "The set on which it was read; empty for a test of its own.",
    "short": "Whether the ends and the middle of levels and dials are enough.",
    "others": "Where it was read beside that, as the head was set otherwise than asked.",
    "TestedHead.test": "What was to be read; where it is left out, what the readings say.",
    "TestedHead.readings": "What was read, in its order.",
}
SENTENCES = {
    **_LIMITS, **_ACCURACY, **_ASKED, **_TARGET, **_READING, **_SOURCE, **_WORK, **_GEL, **_ANSWER,
    **_PLANS, **_LIGHT, **_HEADS,
}  # fmt: skip
"""What each property says."""

PATHS = {
    "set_id": "The number of the set, from GET /api/v1/sets.",
    "number": "The number of the source in its set, as on its tag.",
    "work": "The number of the work, from the answer 503.",
    "head_id": "The number of the head, from GET /api/v1/heads.",
}
"""What each number in an address is."""

_AS_TEXT = "One as text, such as 5,6e3, is understood too"


def keys_of(model: str, name: str) -> Iterator[str]:
    """Return under what a property's sentence may stand, its own first."""
    yield f"{model}.{name}"
    yield name


def sentence(model: str, name: str, said: str) -> str:
    """Return what a property says; `said` is its description as the model has it, empty without one."""
    typed = _AS_TEXT in said
    own, common = (SENTENCES.get(key, "") for key in keys_of(model, name))
    found = own or (said if said and not typed else common) or said
    found = found[0].upper() + found[1:] if found else ""
    found += "." if found and not found.endswith(".") else ""
    return f"{found} {_AS_TEXT}." if typed and _AS_TEXT not in found else found
