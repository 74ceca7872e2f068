"""What a place of the page is, and which there are, in the order of the header."""

from collections.abc import Callable
from typing import Any

from starlette.routing import BaseRoute

from wetside.basis.quantity import System
from wetside.basis.record import record
from wetside.page.doc import Doc, Reading

Answer = dict[str, Any]
Reader = Callable[[Doc, Reading, System], Answer]


@record
class Place:
    """One place of the page. `data` and `live` run in a worker thread and must not write."""

    key: str
    """Its part of the address, ``/water``, and of its template ``templates/water.html``."""
    title: str
    module: str
    """Its script in `static`, which imports ``./page.js``."""
    data: Reader
    """What the place shows: sent with the page and after every revision. Texts in the system asked for."""
    live: Reader
    """What it shows of a change that is only tried: sent while something is dragged. Keep it small."""
    routes: tuple[BaseRoute, ...] = ()
    """Further addresses of its own; begin them with ``/api/KEY/``."""


def places() -> tuple[Place, ...]:
    """Every place. Imported here and not above, so that a place may import this module."""
    from wetside.page.draw import DRAW
    from wetside.page.pack import PACK
    from wetside.page.pipes import PIPES
    from wetside.page.rules import JUDGED
    from wetside.page.shop import SHOP
    from wetside.page.water import WATER

    return (DRAW, PIPES, WATER, JUDGED, SHOP, PACK)
