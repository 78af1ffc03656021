"""Lines that hold numbers of something else: calls, takes, cameras, patches, telephones, prices."""

import re

_TECHNICAL = re.compile(
    r"\b(?:iso|ei|asa)\s?\d|\d\s?(?:iso|ei|asa|fps)\b|\bf\s?/?\s?\d|\bt\s?/?\s?\d\.\d|\bshutter\b|\b1/\d{2,4}\b"
    r"|\b(?:call|wrap|lunch|crew\scall|call\stime|on\sset)\s(?:is\s|at\s|@\s?)?\d|\bscenes?\s\d|\btakes?\s\d|\bslates?\s\d"
    r"|\b(?:dmx|universe|address|addr|patch(?:ed)?|channels?|ch|dimmer)\s?(?:is\s|to\s|at\s)?\d|\b(?:tel|phone|ring|call\sme|mobile)\b"
    r"|\b(?:hire|rental|rent|prices?|costs?|budget|deposit|delivery)\b|\d\s(?:a|per)\s(?:day|week|month|hour)\b"
    r"|[£$€]\s?\d|\d\s?(?:€|eur|usd|gbp|quid)\b|\b(?:invoice|order|po|serial|sn|s/n|room|zip|postcode)\s?#?\s?\d"
    r"|\d\s?(?:mireds?|mk-1|k)\s(?:warmer|cooler|colder|higher|lower|off|apart|more|less)\b"
    r"|\bon\s(?:the\s)?cam(?:era)?\b|\bcam(?:era)?\s(?:is\s)?(?:at|on|set)\b|\bwhite\sbalance|\bwb\s?\d"
    r"|\+\d{1,3}[\s(]\d{2}|\(0\d{2,4}\)|\b0\d{2,4}[\s/-]\d{3}",
    re.IGNORECASE,
)


def is_technical(text: str) -> bool:
    """Whether a line speaks of what is numbered on set beside light."""
    return _TECHNICAL.search(text) is not None
