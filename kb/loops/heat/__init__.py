"""Heat of a loop: sources, radiators, balance, variants, failures.

Owns: judging it.
Does not own: the formulas (`kb/formulas/heat/`), telling it (`kb/report/`).
"""
