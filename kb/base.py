"""The knowledge base as a program sees it: load once, ask many times.

Owns: the in-process face. Does not own: how a question is answered (one module a question) or words (`kb/wording.py`).
"""

from __future__ import annotations
