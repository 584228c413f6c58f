"""Filling a loop and keeping it up: volumes, expansion, dosing, pressure test, procedures.

Owns: judging it.
Does not own: telling it (`kb/report/`).
"""
