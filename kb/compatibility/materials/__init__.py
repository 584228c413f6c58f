"""Wetted materials: metals beside metals, materials in fluids, fluids with additives.

Owns: judging substances in contact.
Does not own: rules and limits (rows), sentences (`kb/report/`).
"""
