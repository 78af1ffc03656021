"""What readings behind gels teach of one source: which of them count, what is not known, and the fit.

`taken` picks the readings, `unknowns` says along what a light may differ from what is predicted, `posterior`
fits that to the readings, and `informed` judges stacks by it. `off_label` names gels that readings on several
sources say are weak or strong.
"""
