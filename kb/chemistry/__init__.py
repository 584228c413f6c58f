"""Chemistry: what the wetted materials, the fluid and its additives do to one another.

Owns: galvanic couples, surfaces that coolant touches, mixing of fluids. Does not own: rules and limits (tables).
"""
