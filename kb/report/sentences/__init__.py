"""The words: every sentence of an answer that is not already a row of a table.

Owns: evidence -> plain sentences. Does not own: what is decided.
"""
