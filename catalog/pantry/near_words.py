"""Words that are spelled nearly right: one letter more, less or changed, or two in turn."""


def one_off(word: str, right: str) -> bool:
    """Return whether a word is right, or one letter away from it."""
    at = next((at for at, (one, other) in enumerate(zip(word, right, strict=False)) if one != other), None)
    if at is None:
        return abs(len(word) - len(right)) < 2
    ends = ((word[at + 1 :], right[at + 1 :]), (word[at + 1 :], right[at:]), (word[at:], right[at + 1 :]))
    swapped = word[at + 1 : at + 2] + word[at : at + 1] + word[at + 2 :] == right[at:]
    return swapped or any(one == other for one, other in ends)
