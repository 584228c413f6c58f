"""What an asker names becomes a part with elements.

Owns: ids, descriptions and words -> parts.
Does not own: judging parts (`kb/compatibility/`).
"""
