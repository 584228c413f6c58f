"""Refusals: every problem the service tells, in one shape.

Owns: problem documents. Does not own: noticing that something is wrong.
"""
