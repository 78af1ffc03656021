"""View models: what a page prints, decided in Python; one module a page, made by its `view_of`.

In: plans, stored sets and what a page was asked. Out: frozen dataclasses that templates only print.
May import: advice, model, store; of web all rooms but pages.
"""
