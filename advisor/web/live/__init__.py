"""Pages that stay true while several phones write: writes done once, conflicts, the pulse, long work.

In: requests. Out: answers kept, differences shown, numbers of revisions.
May import access, wording, forms and the state; from `advice` how work is watched.
"""
