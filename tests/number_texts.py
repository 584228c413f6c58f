"""Texts that the language reads as numbers and JSON does not: made up, for every door through which numbers come."""

from __future__ import annotations

import json

from hypothesis import strategies as st

ZEROS = "\u0660\u0966\uff10"  # of three other scripts; their other digits follow
BLANKS = (" ", "\u00a0", "\u2003")


def _is_json(text: str) -> bool:
    try:
        return isinstance(json.loads(text), (int, float)) and text == text.strip() and text[-1].isdigit()
    except ValueError:
        return False


def _is_read(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


@st.composite
def _twisted(draw: st.DrawFn) -> str:
    text = draw(st.sampled_from(("5", "12", "1.5", "1e1", "120", "0", "7.0", "2E-1")))
    for _ in range(draw(st.integers(1, 2))):
        at = draw(st.integers(0, len(text)))
        match draw(st.integers(0, 5)):
            case 0:
                text = text[:at] + "_" + text[at:]
            case 1:
                text = "+" + text
            case 2:
                text = draw(st.sampled_from(BLANKS)) + text
            case 3:
                text = text + draw(st.sampled_from((*BLANKS, ".")))
            case 4:
                text = "0" + text
            case 5:
                zero = ord(draw(st.sampled_from(ZEROS)))
                text = "".join(chr(zero + int(mark)) if mark in "0123456789" else mark for mark in text)
    return text


NO_NUMBERS = st.one_of(
    _twisted().filter(lambda text: _is_read(text) and not _is_json(text)),
    st.sampled_from(("1_0", "+5", "05", "5.", ".5", "nan", "-inf", "infinity", "1_0.5", "-05", "\u0665", "\uff15")),
    st.sampled_from(("0x5", "5,0", "1/2", "5 5", "--5", "", "five", "1e", "\u00bd", "5\u00b2")),
)
NO_WHOLE_NUMBERS = st.one_of(NO_NUMBERS, st.sampled_from(("5.0", "1e1", "5e0", "1.5", "-5.0")))
