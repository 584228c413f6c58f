"""Example loops: whole loops that come with the program, as JSON files of `kb/examples/`.

Owns: finding them by name. Does not own: what a loop may hold (`schemas/`), judging (`kb/loops/`).
"""

from __future__ import annotations

from pathlib import Path

from kb.store.faults import QuestionError

EXAMPLES_FOLDER = Path(__file__).parent.parent / "examples"
EXAMPLE = "example/"


def example_names() -> tuple[str, ...]:
    """Return the names of the example loops, such as `example/first-loop`, in alphabetical order."""
    return tuple(sorted(f"{EXAMPLE}{path.stem}" for path in EXAMPLES_FOLDER.glob("*.json")))


def read_example(name: str, field: str) -> bytes:
    """Return an example loop as JSON text.

    Args:
        name: such as `example/first-loop`.
        field: name of the argument, for errors.

    Raises:
        QuestionError: if there is no such example; it names those there are.

    >>> read_example("example/first-loop", "loop")[:1]
    b'{'
    """
    names = example_names()
    if name not in names:
        raise QuestionError(field, f"there is no example {name[:80]!r}", "name one of those that exist", names)
    return (EXAMPLES_FOLDER / f"{name.removeprefix(EXAMPLE)}.json").read_bytes()
