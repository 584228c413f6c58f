"""Joints of two ends, one kind a file.

Owns: which numbers of a joint are judged, at which end of the tolerances.
Does not own: the formulas (`kb/formulas/fit/`) or the limits (rows).
"""
