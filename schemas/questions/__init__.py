"""What may be asked.

Owns: the shapes of questions. Does not own: answering them.
"""
