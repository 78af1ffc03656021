"""A whole set at one look: against a reference, against another day, and the light at the subject.

In: plans. Out: figures and words for the pages that compare.
May import all rooms from readings to plan, and pictures.
"""
