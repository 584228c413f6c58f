"""The faces: what people and programs reach the knowledge through.

Owns: the HTTP service and the command line. Does not own: any rule, formula or threshold (`kb/`).
"""
