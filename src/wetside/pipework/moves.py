"""Reading one move as a fitter says it: ``"down 350 mm"``, ``"up to 2.40 m"``, ``"west …"``, ``"fit gate valve"``."""

import re
from functools import lru_cache

from wetside.basis.errors import nearest
from wetside.basis.quantity import Kind, System, example, parse, show
from wetside.pipework.spec import ChangeTube, Fit, Go, Move, Tee
from wetside.pipework.vec import DIRECTIONS

FURTHEST_M = 1000.0
"""No move and no level of a house lies beyond; more is a slip of the unit, and would be cut into endless sticks."""
_VERBS = ("fit", "tee", "tube")
_OPEN = ("...", "…", "..", "....")


@lru_cache(maxsize=8192)
def parse_move(text: str, system: System) -> Move:
    """One move from its text.

    A direction (north, south, east, west, up, down, northeast, northwest, southeast, southwest) is followed by a
    distance with its unit (``"west 3 m"``, ``"up 1 ft 6 in"``), by ``to`` and a coordinate in the job's datum
    (``"up to 2.40 m"``, ``"west to 0 m"``), or by ``…`` for a distance that the run's end settles. ``fit ITEM``,
    ``tee NAME`` and ``tube NAME`` are the other moves.

    :raises ValueError: the text is no move; the message is a sentence that says what would be right
    """
    words = text.split(maxsplit=1)
    if not words:
        raise ValueError(f'a move is empty; write for instance "down {example(Kind.LENGTH, system)}"')
    verb = re.sub(r"^(north|south)-(east|west)$", r"\1\2", words[0].casefold())
    rest = words[1].strip() if len(words) > 1 else ""
    if verb in DIRECTIONS:
        return _go(verb, rest, text, system)
    if verb not in _VERBS:
        known = (*DIRECTIONS, *_VERBS)
        glued = re.match(r"([a-z-]+)\d", words[0].casefold())
        raise ValueError(f'"{words[0]}" is no move; {nearest(glued[1] if glued else words[0], known)}')
    name = " ".join(rest.split())
    if not name:
        what = {"fit": "what to fit", "tee": "the tee's name", "tube": "which tube goes on"}[verb]
        given = {"fit": "fit isolating valve", "tee": "tee A", "tube": "tube copper 22"}[verb]
        raise ValueError(f'"{text.strip()}" does not say {what}; write for instance "{given}"')
    if verb == "fit":
        return Fit(name, text)
    return Tee(name, text) if verb == "tee" else ChangeTube(name, text)


def _go(verb: str, rest: str, text: str, system: System) -> Go:
    direction = DIRECTIONS[verb]
    if rest in _OPEN:
        return Go(direction, text=text)
    sample = example(Kind.LENGTH, system)
    if not rest:
        raise ValueError(
            f'"{verb}" does not say how far; write "{verb} {sample}", or "{verb} …" where the run\'s end settles it'
        )
    to = re.match(r"to\s+(.+)$", rest, re.IGNORECASE)
    if to:
        if sum(1 for c in direction if c) != 1:
            raise ValueError(
                f'"{text.strip()}" goes along no single axis, so it can\'t go to a coordinate; give the distance'
            )
        return Go(direction, level_m=_length(to[1], system, text), text=text)
    distance = _length(rest, system, text)
    if distance <= 0.0:
        back = next(
            w for w, d in DIRECTIONS.items() if all(abs(p + q) < 1e-9 for p, q in zip(d, direction, strict=True))
        )
        remedy = "leave it out" if distance == 0.0 else f'write "{back} {rest.lstrip("-− ")}"'
        raise ValueError(f'"{text.strip()}" does not go forward; {remedy}')
    return Go(direction, distance, text=text)


def _length(quantity: str, system: System, text: str) -> float:
    try:
        length = parse(quantity, Kind.LENGTH, system)
    except ValueError as error:
        raise ValueError(f'"{text.strip()}": {error}') from None
    if abs(length) > FURTHEST_M:
        limit = show(FURTHEST_M, Kind.LENGTH, system, 0)
        raise ValueError(f'"{text.strip()}" is further than any house reaches; stay within {limit} and mind the unit')
    return length
