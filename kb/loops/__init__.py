"""A whole loop, judged: structure, joints, chemistry, flow, heat, fill, space.

Owns: decisions on loops, as data.
Does not own: sentences and answers (`kb/report/`).
"""
