"""Fit: one subject a file, pure functions over quantities.

Owns: formulas of geometry. Does not own: limits (rows of limits.csv) or verdicts (`kb/joints/`).
"""
