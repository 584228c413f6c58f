"""Spec-sheet words become parts, likeliest first.

Owns: reading words and ranking what they can mean.
Does not own: sentences about it (`kb/report/`).
"""
