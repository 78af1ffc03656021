"""What readings behind gels teach of one source: which count, what is not known, and the fit of all.

In: a source made ready, and its readings behind gels. Out: judges that know what was read.
May import readings, wording, stacks and cost.
"""
