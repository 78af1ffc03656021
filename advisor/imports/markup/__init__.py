"""Documents that mark what each thing is, such as JSON, XML and web pages, as lines with tabs.

In: a text. Out: its records as lines of tables, each with its line in the text.
May import vocabulary, text and grids.
"""
