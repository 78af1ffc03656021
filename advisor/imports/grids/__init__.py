"""Texts of any shape to tables: separators, fixed widths, turned and stacked tables, name and value.

In: text. Out: tables of cells, each with its headings and the line of each row.
May import vocabulary and text.
"""
