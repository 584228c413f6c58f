"""Answers: from decisions to what everyone reads, one question a file.

Owns: decisions -> `schemas/answers/`. Does not own: sentences (`kb/report/sentences/`).
"""
