"""What goes back to the counter when the work is done, and the money that comes back for it."""

from collections.abc import Iterable
from difflib import get_close_matches

from wetside.basis.record import record
from wetside.takeoff.buy import BuyLine, BuyList
from wetside.takeoff.spec import Buying, LeftOver


@record
class Return:
    """One line of the returns list."""

    group: str
    """Where it stands at the counter; empty for what the buy list does not have."""
    item: str
    size: str
    count: int
    each: float | None
    """Price of one; none where the job gives none."""
    back: float | None
    """Money back for all of them, less the return fee."""
    line: BuyLine | None
    """The line of the buy list that it was bought by."""
    likely: str = ""
    """For what the buy list does not have: what may be meant."""


def returns(bought: BuyList, buying: Buying) -> tuple[Return, ...]:
    """The returns list, in the order of the buy list; what that does not have stands last.

    A price is the buy list's, else the job's own; of tube that was bought in several lengths it is the shortest one's.
    Money back is the price less the share that the counter keeps.
    """
    by_name: dict[tuple[str, str], tuple[int, BuyLine]] = {}
    for k, x in enumerate(bought.lines):
        # tube stands longest first: the shortest stick stays
        by_name[x.item, x.size] = (k, x)
    given = {(p.item, p.size): p.each for p in buying.prices}
    found: list[tuple[int, Return]] = []
    for left in buying.left:
        k, line = _line(left, by_name)
        each = line.each if line is not None else given.get((left.item, left.size), given.get((left.item, "")))
        found.append(
            (
                k if line is not None else len(bought.lines),
                Return(
                    group="" if line is None else line.group,
                    item=left.item,
                    size=left.size if line is None else line.size,
                    count=left.count,
                    each=each,
                    back=None if each is None else each * left.count * (1.0 - bought.terms.return_fee),
                    line=line,
                    likely="" if line is not None else _likely(left, (x.item for x in bought.lines)),
                ),
            )
        )
    return tuple(r for _, r in sorted(found, key=lambda x: x[0]))


def _line(left: LeftOver, by_name: dict[tuple[str, str], tuple[int, BuyLine]]) -> tuple[int, BuyLine | None]:
    """The buy list's line: of item and size, or of the item alone where it has one size and none is said."""
    if (left.item, left.size) in by_name:
        return by_name[left.item, left.size]
    same = [x for (item, _), x in by_name.items() if item == left.item]
    return same[0] if len(same) == 1 and not left.size else (-1, None)


def _likely(left: LeftOver, items: Iterable[str]) -> str:
    known = list(dict.fromkeys(items))
    if left.item in known:
        return f"{left.item} in another size"
    return next(iter(get_close_matches(left.item, known, 1)), "")
