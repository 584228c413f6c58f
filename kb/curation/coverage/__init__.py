"""How far the tables reach, and which gaps matter most.

Owns: counting.
Does not own: printing (`api/cli/tables/cover.py`).
"""
