"""What a cell may hold: columns, sizes, amounts, damage, provenance.

Owns: declaring columns and reading single values. Does not own: rows (`schemas/tables/`).
"""
