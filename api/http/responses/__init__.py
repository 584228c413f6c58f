"""What leaves: answers in their forms, entity tags, kept answers, logs, metrics.

Owns: sending answers. Does not own: making them (`kb/`).
"""
