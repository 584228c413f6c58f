"""What a change of the tables means, told before it is merged.

Owns: comparing two states of the tables by rows, by verdicts of pairs and by reference loops. Does not own: judging.
"""
