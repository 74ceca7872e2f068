"""Where in a TOML file a thing stands. Needed only to report a mistake, so the parser is imported only then."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node

Path = tuple[str | int, ...]
"""Keys and list positions from the top of the file: ``("run", 3, "moves", 4)``."""

_DEEPEST = 12
_KEYS = ("bare_key", "quoted_key", "dotted_key")


class Lines:
    """Line of every key and list entry of one file."""

    def __init__(self, content: bytes) -> None:
        import tree_sitter_toml
        from tree_sitter import Language, Parser

        self._lines: dict[Path, int] = {}
        self._counts: dict[Path, int] = {}
        tree = Parser(Language(tree_sitter_toml.language())).parse(content)
        for node in tree.root_node.named_children:
            if node.type == "pair":
                self._pair(node, ())
            elif node.type in ("table", "table_array_element"):
                self._table(node)

    def of(self, path: Path) -> int | None:
        """The line of the path, or of the nearest thing round it that the file does have."""
        for end in range(len(path), 0, -1):
            if (line := self._lines.get(path[:end])) is not None:
                return line
        return None

    def _table(self, node: "Node") -> None:
        children = node.named_children
        if not children or children[0].type not in _KEYS:
            return
        keys, path = _keys(children[0]), ()
        for position, key in enumerate(keys):
            path = (*path, key)
            self._note(path, node)
            last = position == len(keys) - 1
            if last and node.type == "table_array_element":
                index = self._counts.get(path, -1) + 1
                self._counts[path] = index
                path = (*path, index)
            elif path in self._counts:
                path = (*path, self._counts[path])
        self._note(path, node)
        for child in children[1:]:
            if child.type == "pair":
                self._pair(child, path)

    def _pair(self, node: "Node", under: Path) -> None:
        children = node.named_children
        if not children or children[0].type not in _KEYS:
            return
        path = under
        for key in _keys(children[0]):
            path = (*path, key)
            self._note(path, node)
        if len(children) > 1:
            self._value(children[1], path)

    def _value(self, node: "Node", path: Path) -> None:
        if len(path) >= _DEEPEST:
            return
        if node.type == "array":
            index = 0
            for child in node.named_children:
                if child.type != "comment":
                    self._note((*path, index), child)
                    self._value(child, (*path, index))
                    index += 1
        elif node.type == "inline_table":
            for child in node.named_children:
                if child.type == "pair":
                    self._pair(child, path)

    def _note(self, path: Path, node: "Node") -> None:
        self._lines.setdefault(path, node.start_point[0] + 1)


def _keys(node: "Node") -> list[str]:
    if node.type == "dotted_key":
        return [k for child in node.named_children for k in _keys(child)]
    text = (node.text or b"").decode("utf-8", "replace")
    return [text[1:-1] if node.type == "quoted_key" and len(text) > 1 else text]
