"""Small faults put into a module's source, one at a time: what the mutation run is made of."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

COMPARES: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip
OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
}  # fmt: skip
CALLS = {"min": "max", "max": "min", "any": "all", "all": "any", "ceil": "floor", "floor": "ceil"}
SKIPPED = (ast.JoinedStr, ast.Raise, ast.arguments, ast.Import, ast.ImportFrom, ast.AnnAssign)
"""Nodes whose inside is words, signatures or declarations, as decorators and `strict=` are: no figure changes."""


@dataclass(frozen=True, slots=True)
class Mutation:
    """One fault: where it is, and what the line's expression was and became.

    `line` and `column` are those of the source, `text` is that line; `index` tells apart several faults of one node.
    """

    path: str
    function: str
    line: int
    column: int
    index: int
    before: str
    after: str
    text: str

    @property
    def key(self) -> str:
        """What names it in the list of equivalent mutations: it outlives a change of lines' numbers."""
        return f"{self.path}::{self.function}: {self.before} -> {self.after} in: {self.text}"

    def __str__(self) -> str:
        return f"{self.path}:{self.line} in {self.function}: {self.before}  ->  {self.after}"


def mutations_of(path: Path, root: Path) -> list[Mutation]:
    """Every fault that can be put into a file."""
    source = path.read_text(encoding="utf-8")
    tree, lines = ast.parse(source), source.splitlines()
    name = path.relative_to(root).as_posix()
    return [
        Mutation(
            name,
            function,
            node.lineno,
            node.col_offset,
            index,
            _shown(node),
            _shown(after),
            lines[node.lineno - 1].strip(),
        )
        for node, function in _mutable(tree)
        for index, after in enumerate(_faults(node))
    ]


def mutated(source: str, mutation: Mutation) -> ast.Module:
    """The module with the fault in it.

    Raises:
        LookupError: the source has changed since the mutation was made.
    """
    tree = ast.parse(source)
    for node, function in _mutable(tree):
        here = (node.lineno, node.col_offset, function, _shown(node))
        if here == (mutation.line, mutation.column, mutation.function, mutation.before):
            after = _faults(node)[mutation.index]
            return ast.fix_missing_locations(_Replaced(node, after).visit(tree))
    raise LookupError(str(mutation))


class _Replaced(ast.NodeTransformer):
    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        if node is self.old:
            return ast.copy_location(self.new, node)
        return self.generic_visit(node)


def _mutable(tree: ast.Module) -> Iterator[tuple[ast.expr | ast.stmt, str]]:
    """The nodes inside functions that a fault can be put into, with the function's name."""

    def walk(node: ast.AST, function: str) -> Iterator[tuple[ast.expr | ast.stmt, str]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, SKIPPED) or child in getattr(node, "decorator_list", ()):
                continue
            if isinstance(child, ast.keyword) and child.arg == "strict":
                continue
            within = function
            if isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef)):
                within = f"{function}.{child.name}" if function else child.name
            elif function and isinstance(child, (ast.expr, ast.stmt)) and _faults(child):
                yield child, function
            yield from walk(child, within)

    return walk(tree, "")


def _faults(node: ast.AST) -> list[ast.AST]:
    """What the node can become; empty where nothing is put in."""
    match node:
        case ast.Compare(left, ops, comparators):
            return [
                ast.Compare(left, [*ops[:at], COMPARES[type(op)](), *ops[at + 1 :]], comparators)
                for at, op in enumerate(ops)
            ]
        case ast.BinOp(left, op, right) if type(op) in OPERATORS and not _is_text(left, right):
            return [ast.BinOp(left, OPERATORS[type(op)](), right)]
        case ast.BoolOp(ast.And(), values):
            return [ast.BoolOp(ast.Or(), values)]
        case ast.BoolOp(ast.Or(), values):
            return [ast.BoolOp(ast.And(), values)]
        case ast.UnaryOp(ast.Not(), operand) | ast.UnaryOp(ast.USub(), operand):
            return [operand]
        case ast.Constant(value) if isinstance(value, bool):
            return [ast.Constant(not value)]
        case ast.Constant(value) if isinstance(value, (int, float)):
            return [ast.Constant(value + 1)]
        case ast.Call(ast.Name(name), args, keywords) if name in CALLS:
            return [ast.Call(ast.Name(CALLS[name], ast.Load()), args, keywords)]
        case ast.IfExp(test, body, orelse):
            return [ast.IfExp(test, orelse, body)]
        case ast.If(test, body, orelse):
            return [ast.If(ast.UnaryOp(ast.Not(), test), body, orelse)]
        case ast.Break():
            return [ast.Continue()]
        case ast.Continue():
            return [ast.Break()]
        case ast.Expr(ast.Call()):
            return [ast.Pass()]
    return []


def _is_text(*nodes: ast.expr) -> bool:
    return any(isinstance(node, (ast.JoinedStr, ast.List, ast.Tuple)) or _is_word(node) for node in nodes)


def _is_word(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and isinstance(node.value, str)


def _shown(node: ast.AST) -> str:
    if isinstance(node, ast.If):
        return f"if {ast.unparse(node.test)}"
    shown = " ".join(ast.unparse(node).split())
    return shown if len(shown) < 200 else f"{shown[:199]}…"
