"""The server: settings into processes, workers, connections.

Owns: starting and stopping, connections. Does not own: the application.
"""
