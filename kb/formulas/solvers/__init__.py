"""Solving equations: linear systems and roots.

Owns: the arithmetic.
Does not own: what the unknowns mean.
"""
