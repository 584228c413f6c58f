"""The knowledge and what reasons over it.

Owns: the in-process interface: `load()` and the `KnowledgeBase` it returns. Does not own: web, command line, printing.
"""

from kb.knowledge_base import KnowledgeBase, load
from kb.store.faults import Fault, QuestionError, TablesRefusedError

__all__ = ["Fault", "KnowledgeBase", "QuestionError", "TablesRefusedError", "load"]
