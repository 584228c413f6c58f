"""Coolant: properties, mixtures, freezing, expansion, amounts, pressure test.

Owns: the formulas.
Does not own: rows.
"""
