"""Messages as people type and speak them: senders, spoken numbers, second thoughts, whose reading it is.

In: lines of a text. Out: what each says about a source, as cells by field, and what nobody can read.
May import vocabulary, text and sentences.
"""
