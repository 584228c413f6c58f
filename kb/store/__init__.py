"""Tables between text, typed rows and DuckDB file; the immutable snapshot.

Owns: reading, freezing and indexing tables.
Does not own: checks across tables (`kb/checks/`), loading (`kb/load.py`).
"""
