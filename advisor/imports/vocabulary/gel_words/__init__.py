"""The words of gel tables in many languages: headings, strengths, families. Common practice, no source.

In: nothing. Out: words, by what they mean.
May import nothing of the other rooms.
"""
