"""Engineering formulas as pure functions, one subject a file.

Owns: numbers in, numbers out.
Does not own: rows, limits or verdicts.
"""
