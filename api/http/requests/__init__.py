"""What arrives: addresses, bodies, JSON, fields, ids of requests.

Owns: reading requests strictly. Does not own: answering them.
"""
