"""What is answered.

Owns: the shapes of answers. Does not own: making them (`kb/report/`).
"""
