"""Heat: fins, films, fans, exchangers, the balance of a loop.

Owns: the formulas.
Does not own: rows.
"""
