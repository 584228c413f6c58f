"""New tables while the service answers.

Owns: loading, judging and exchanging tables. Does not own: serving.
"""
