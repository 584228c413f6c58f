"""The command line `wetted`.

Owns: arguments, exit codes, terminal text. Does not own: deciding, wording of reasons, or loading (`kb/`).
"""
