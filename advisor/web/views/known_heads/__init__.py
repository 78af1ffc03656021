"""View models of the pages about heads that are tested.

In: heads and tests of the store. Out: frozen dataclasses that templates only print.
May import: advice, model, store; of web all rooms but pages.
"""
