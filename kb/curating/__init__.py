"""What helps to change the tables: adding rows, and seeing what a change means.

Owns: the work of a curator at the tables. Does not own: judging them (`kb/checks/`) or publishing them (`kb/publishing/`).
"""
