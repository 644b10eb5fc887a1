"""Symmetries as what they do to the moves: whether they are a group, the identity first."""

from collections.abc import Sequence


def why_no_group(images: Sequence[Sequence[int]]) -> str:
    """What is wrong with symmetries, in words; nothing if they are a group with the identity first.

    images: for each symmetry the image of every move, by number.
    """
    every = list(range(len(images[0])))
    for symmetry, image in enumerate(images):
        if sorted(image) != every:
            return f"symmetry {symmetry} does not carry each move to one of its own; expected every move once"
    if list(images[0]) != every:
        return "symmetry 0 changes moves; expected the identity first"
    number_of = {tuple(image): symmetry for symmetry, image in reversed(list(enumerate(images)))}
    for symmetry, image in enumerate(images):
        if number_of[tuple(image)] != symmetry:
            return f"symmetry {symmetry} does to the moves what {number_of[tuple(image)]} does; expected each once"
    for first, image in enumerate(images):
        for second, other in enumerate(images):
            if tuple(other[move] for move in image) not in number_of:
                return (
                    f"symmetry {first} and then {second} is none of them; expected a group, closed in itself"
                )
    return ""
