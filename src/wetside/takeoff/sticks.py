"""How many stock lengths suffice for the pieces that are cut from them."""

from collections.abc import Iterable

from wetside.basis.si import Metre

KERF: Metre = 0.002
"""Lost at each cut (a saw; a wheel cutter loses nothing)."""
_SLACK = 1e-9


def sticks_needed(pieces: Iterable[Metre], stock: Metre, kerf: Metre = KERF) -> int:
    """Stock lengths that surely suffice, by first fit decreasing; at most about 11/9 of the fewest.

    A piece longer than the stock takes whole lengths, and its rest is one piece more. Pieces fit in a length when
    ``sum(piece + kerf) <= stock + kerf``: n pieces need n - 1 cuts.

    :raises ValueError: the stock length is not positive
    """
    if stock <= 0.0:
        raise ValueError("a stock length must be longer than nothing")
    whole = 0
    rests: list[Metre] = []
    for piece in pieces:
        full = int(piece / stock + _SLACK)
        whole += full
        rest = piece - full * stock
        if rest > _SLACK:
            rests.append(rest)
    return whole + len(first_fit(sorted(rests, reverse=True), stock, kerf))


def first_fit(pieces: Iterable[Metre], stock: Metre, kerf: Metre) -> list[list[Metre]]:
    """Each piece put in the first length that has room for it; pieces no longer than the stock, in the order given."""
    left: list[Metre] = []
    cut: list[list[Metre]] = []
    for piece in pieces:
        for i, room in enumerate(left):
            if piece + kerf <= room + _SLACK:
                left[i] = room - piece - kerf
                cut[i].append(piece)
                break
        else:
            left.append(stock - piece)
            cut.append([piece])
    return cut
