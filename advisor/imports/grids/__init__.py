"""Texts of any shape to tables: separators, fixed widths, JSON, web pages, turned and stacked tables.

In: text. Out: tables of cells, each with its headings and the line of each row.
May import vocabulary and text.
"""
