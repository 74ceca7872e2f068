"""Cutting plans made quickly: good ones, without a proof. Whole lengths, as in `bounds`."""

from collections.abc import Sequence
from time import monotonic

NODES = 3000
"""Combinations tried for one stock length before the best so far is taken."""


def first_fit(pieces: Sequence[int], stock: int) -> list[list[int]]:
    """Each piece put in the first stock length that has room for it, in the order given; indices of pieces."""
    left: list[int] = []
    cut: list[list[int]] = []
    for i, piece in enumerate(pieces):
        for s, room in enumerate(left):
            if piece <= room:
                left[s] = room - piece
                cut[s].append(i)
                break
        else:
            left.append(stock - piece)
            cut.append([i])
    return cut


def best_fit(pieces: Sequence[int], stock: int) -> list[list[int]]:
    """Each piece put where it leaves least, in the order given; indices of pieces."""
    left: list[int] = []
    cut: list[list[int]] = []
    for i, piece in enumerate(pieces):
        best = min((s for s, room in enumerate(left) if piece <= room), key=left.__getitem__, default=-1)
        if best < 0:
            left.append(stock - piece)
            cut.append([i])
        else:
            left[best] -= piece
            cut[best].append(i)
    return cut


def fullest(
    pieces: Sequence[int], stocks: Sequence[tuple[int, int]], at_hand: Sequence[int], until: float
) -> list[tuple[int, list[int]]]:
    """Sticks at hand, then one bought stick after the other, filled as full as a short search finds.

    The longest piece left comes first, in the stock that then costs least for the length cut from it.

    :param pieces: longest first
    :param stocks: length and cost of one stick, for each stock on sale
    :param at_hand: lengths of sticks that cost nothing
    :param until: moment (monotonic clock) after which the rest is filled by best fit
    :returns: (stock or -1 - stick at hand, indices of pieces) for each stick
    """
    left = list(range(len(pieces)))
    cut: list[tuple[int, list[int]]] = []

    def take(stock: int, chosen: list[int]) -> None:
        nonlocal left
        if chosen:
            cut.append((stock, chosen))
            taken = set(chosen)
            left = [i for i in left if i not in taken]

    for s in sorted(range(len(at_hand)), key=lambda s: at_hand[s]):
        take(-1 - s, _fill(pieces, left, at_hand[s]))
    while left and monotonic() < until:
        first, *others = left
        fits = [s for s, (size, _) in enumerate(stocks) if size >= pieces[first]]
        ways = [(s, [first, *_fill(pieces, others, stocks[s][0] - pieces[first])]) for s in fits]
        take(*min(ways, key=lambda w: (stocks[w[0]][1] / sum(pieces[i] for i in w[1]), w[0])))
    # what is left when the time is up
    longest = max(size for size, _ in stocks)
    for stick in best_fit([pieces[i] for i in left], longest):
        need = sum(pieces[left[k]] for k in stick)
        s = min((s for s, (size, _) in enumerate(stocks) if size >= need), key=lambda s: stocks[s][1])
        cut.append((s, [left[k] for k in stick]))
    return cut


def _fill(pieces: Sequence[int], others: Sequence[int], room: int) -> list[int]:
    """The combination that leaves least of the room, by depth-first search over distinct lengths, longest first."""
    lengths: list[int] = []
    who: list[list[int]] = []
    for i in others:
        if pieces[i] > room:
            continue
        if lengths and lengths[-1] == pieces[i]:
            who[-1].append(i)
        else:
            lengths.append(pieces[i])
            who.append([i])
    best_left, best = room, list[int]()
    nodes = 0
    counts = [0] * len(lengths)
    # each entry: next length to try, room left before it
    stack = [(0, room)]
    while stack:
        k, left = stack.pop()
        if k >= 0:
            nodes += 1
            if left < best_left:
                best_left = left
                best = [who[j][c] for j in range(len(lengths)) for c in range(counts[j])]
                if left == 0:
                    return best
            if nodes > NODES:
                return best
            while k < len(lengths) and lengths[k] > left:
                k += 1
            if k == len(lengths) or left < lengths[-1]:
                continue
            n = min(left // lengths[k], len(who[k]))
            # most of this length first, then one fewer, … then none: undone by a marker (-1 - k)
            for c in range(n + 1):
                stack.append((-1 - k, 0))
                stack.append((k + 1, left - c * lengths[k]))
                stack.append((-1 - k, c))
        else:
            counts[-1 - k] = left
    return best
