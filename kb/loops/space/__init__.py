"""Whether a loop's parts have room: screws, stacks, port clearance.

Owns: judging it.
Does not own: the formulas (`kb/formulas/fit/`), telling it (`kb/report/`).
"""
