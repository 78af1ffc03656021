"""Messages as people type and speak them: several readings a line, labels in any order or none.

In: lines of a text. Out: what each says about a source, as cells by field, and what nobody can read.
May import vocabulary and text.
"""
