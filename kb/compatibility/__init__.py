"""Two things meet: a pair of parts, its partners, adapters between them, remedies.

Owns: judging what two parts, ends or substances are to one another, as decisions.
Does not own: sentences and answers (`kb/report/`), whole loops (`kb/loops/`).
"""
