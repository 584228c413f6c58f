"""The commands of `wetted`, one group a file.

Owns: arguments and options. Does not own: answering (`kb/`), printing (`api/cli/pages/`).
"""
