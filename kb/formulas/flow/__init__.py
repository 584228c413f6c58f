"""Flow: friction, losses, pump curves, networks.

Owns: the formulas.
Does not own: rows.
"""
