"""``/api/v1``: advice for programs, gels, known heads and sets. Describes itself in ``openapi.json``.

In: JSON of `model`. Out: JSON of `model`, from the same advice, plans and stores as the pages.
May import all of the web but its pages.
"""
