"""The interfaces: what people and programs reach the knowledge through.

Owns: the HTTP service and the command line. Does not own: any rule, formula or threshold (`kb/`).
"""

__version__ = "0.1.0"  # of the program; the tables carry a version of their own
