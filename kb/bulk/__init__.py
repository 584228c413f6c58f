"""Millions of pairs at once, from file to file, with the verdicts that single questions get.

Owns: judging pairs once and looking them up for whole columns. Does not own: judging itself (`kb/pair.py`).
"""
