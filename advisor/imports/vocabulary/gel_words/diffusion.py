"""Words for what hangs with gels and shifts no colour: diffusion, nets, foil. Common practice, no source."""

import re

_WORDS = re.compile(
    r"(?<!\w)(?:frost(?:ed)?|diff(?:us(?:ion[es]?|er|or|eur|ore|ie)?)?|difus(?:ión|ion|or|ão|ao)|dyfuzja|dyfuzor|"
    r"silk|seide|soie|seta|seda|grid ?cloth|(?:light|half|full|quarter) grid|spun|muslin|opal|bobbinet|"
    r"single net|double net|tracing paper|black ?(?:wrap|foil)|heat ?shield)(?!\w)"
    r"|ディフューザー|トレーシング",
    re.IGNORECASE,
)
_LONGEST = 80


def is_diffusion(name: str) -> bool:
    """Whether a name is that of a diffusion or a net, and so of no gel that corrects."""
    return len(name) <= _LONGEST and _WORDS.search(name) is not None
