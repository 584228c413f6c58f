"""The addresses of the service, one subject a file.

Owns: addresses and their forms. Does not own: answering (`kb/`).
"""
