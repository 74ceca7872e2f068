"""From which side an assembly is looked at: the face that is drawn as its front, and the words that go with it."""

from collections.abc import Sequence

from wetside.basis.record import record
from wetside.basis.si import Metre
from wetside.house.spec import House
from wetside.pipework.spec import Vec
from wetside.pipework.vec import DIRECTIONS, dot, same, sub, times


@record(kw_only=False)
class Stand:
    """Where the person stands before an assembly."""

    datum: Vec
    right: Vec
    away: Vec
    """Level unit directions, seen by the person."""

    def __call__(self, p: Vec) -> Vec:
        """Right, away and up from the datum."""
        return self.turned(sub(p, self.datum))

    def turned(self, d: Vec) -> Vec:
        """A direction or distance as right, away and up."""
        return (dot(d, self.right), dot(d, self.away), d[2])

    @property
    def looking(self) -> str:
        return next(word for word, known in DIRECTIONS.items() if same(known, self.away))

    def word(self, d: Vec) -> str:
        """A unit direction as the person before the assembly says it; a slanting one by its parts."""
        parts = self.turned(d)
        words = (("right", "left"), ("away", "near"), ("up", "down"))
        said = [pair[0] if x > 0 else pair[1] for x, pair in zip(parts, words, strict=True) if abs(x) > 1e-6]
        return " and ".join(said)


def stand_before(steps: Sequence[Vec], points: Sequence[Vec], datum: Vec, house: House) -> Stand:
    """The stand that shows the most tube level before it, looking from the middle of the house.

    :param steps: from one end of each piece of tube to the other
    :param points: centres of the assembly's fittings
    :param datum: what distances are measured from
    """
    shown = [sum(abs(s[k]) > 1e-3 for s in steps) + sum(abs(s[k]) for s in steps) for k in (0, 1)]
    k = 0 if shown[0] >= shown[1] else 1
    middle = _middle_of(house)[1 - k]
    here = sum(p[1 - k] for p in points) / len(points)
    forward: Vec = (0.0, 1.0, 0.0) if k == 0 else (1.0, 0.0, 0.0)
    away = forward if here >= middle else times(forward, -1.0)
    # up × away is to the left
    return Stand(datum=datum, right=(away[1], -away[0], 0.0), away=away)


def _middle_of(house: House) -> tuple[Metre, Metre]:
    corners = [p for room in house.rooms for p in room.outline]
    if not corners:
        return (0.0, 0.0)
    xs, ys = [p[0] for p in corners], [p[1] for p in corners]
    return ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
