"""Many questions in one request.

Owns: reading lines and answering each. Does not own: single questions.
"""
