"""What a change of the tables means for rows, verdicts and loops.

Owns: comparing two states of the tables.
Does not own: judging (`kb/compatibility/`, `kb/loops/`).
"""
