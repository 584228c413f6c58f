"""The HTTP interface: the questions of `kb` as a JSON API.

Owns: reading requests, writing answers and problem documents, describing itself. Does not own: any answer.
The web framework is imported in this package only, so that nothing else pays for it.
"""
