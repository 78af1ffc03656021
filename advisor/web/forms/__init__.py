"""What was typed, what is wrong with it, and the model that it makes; two people at one form.

In: a posted form. Out: a model, or the form again with its problems.
May import access and wording.
"""
