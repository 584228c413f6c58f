"""For people who change tables: rows, what a change means, coverage, releases.

Owns: commands of curators as functions.
Does not own: how they are printed (`api/cli/tables/`).
"""
