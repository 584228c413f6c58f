"""Flow through a loop: network, pumps, failures.

Owns: judging it.
Does not own: the formulas (`kb/formulas/flow/`), telling it (`kb/report/`).
"""
