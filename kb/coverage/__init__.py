"""How far the tables reach: what they decide, on what evidence, and what is missing most.

Owns: counting. Does not own: judging, or how pairs and reference loops are chosen (`kb/changes/`).
"""
