"""Words of messages that are no names of sources, and words that are. Common practice, no source."""

from .words import words

#: What stands in front of a source. A message may name it behind the numbers.
MODIFIERS = words("softbox silk muslin grid gridcloth frame umbrella bounce diffusion eggcrate snoot")
#: Words that say how something looks or went, and name nothing.
DESCRIPTIONS = words(
    "a bit green magenta warm cool bright dim ok okay good now again low high too looks look still same "
    "fine flickers flicker flickering hot dark slightly very quite little more less done stable steady "
    "drifting drifts after before maybe probably nice clean dirty off"
)
#: Words before a kind of source that belong to it: "white LED", "metal halide".
KIND_OF_KIND = words(
    "white daylight metal high low pressure cool warm bicolour bicolor bi-colour tri-band rgb"
)
#: Words before a number that has nothing to do with light.
NOT_LIGHT = words(
    "iso ei asa scene take slate sc tk ch channel dmx address addr serial sn shutter fps lens day page"
)
#: Words that sources are called by for what they do, or for where they are.
ROLES = words(
    "key fill back backlight rim edge hair kicker kick bounce top side front background bg practical "
    "practicals window windows door lamp light panel tube tubes head sun sky kitchen desk table shelf "
    "wall ceiling"
)
