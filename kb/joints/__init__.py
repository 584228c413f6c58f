"""Joints: where two parts meet; one kind of joint a file.

Owns: putting the quantities of `kb/fit/` against limits. Does not own: formulas, limits, rules or words.
"""
