"""Proposing, tidying and writing rows of tables.

Owns: new rows and the style of tables.
Does not own: checks (`kb/checks/`).
"""
