"""Fits: threads, tubes on barbs, O-rings, screws, radiator stacks.

Owns: the formulas.
Does not own: rows.
"""
