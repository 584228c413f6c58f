"""Shapes of tables, questions and answers, and units.

Owns: what a row, a question and an answer look like. Does not own: any knowledge or reasoning; imports nothing of ours.
"""
