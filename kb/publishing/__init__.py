"""Releases: the tables as files that anybody can take, check and load.

Owns: building a release, reading and checking one. Does not own: the tables (`kb/store.py`) or the faces (`api/`).
"""
