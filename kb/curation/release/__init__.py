"""Building a release: one folder with everything, checksums last.

Owns: writing releases.
Does not own: reading them (`kb/store/release_reader.py`).
"""
