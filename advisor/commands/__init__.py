"""What the `advisor` command does besides starting the server, a module for each thing.

In: what was typed, already taken apart by `advisor.cli`. Out: lines for a person or a program, and the exit
status. May import anything of the advisor; nothing else imports it but `advisor.cli`.
"""
