"""The sections of a loop's answer: chemistry, flow, heat, fill, space, one a file.

Owns: what was found of a section -> its part of the answer. Does not own: finding it (`kb/loops/`), sentences.
"""
