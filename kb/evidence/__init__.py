"""Reasons as data: the tree of typed facts, rules and limits.

Owns: what a reason is made of, which rule wins, a number against its limit.
Does not own: words (`kb/report/`) or finding reasons (`kb/compatibility/`, `kb/loops/`).
"""
