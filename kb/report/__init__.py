"""Decisions become answers: every sentence and every answer of the project.

Owns: decisions -> answers and words.
Does not own: deciding (`kb/compatibility/`, `kb/loops/`).
"""
