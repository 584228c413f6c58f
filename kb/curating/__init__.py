"""What helps to change the tables: proposing, judging and writing new rows.

Owns: the work of a curator at the tables. Does not own: judging them (`kb/checks/`), comparing them (`kb/changes/`) or
publishing them (`kb/publishing/`).
"""
