"""The changes: the operators of cosmic-ray that matter to a judgement, and three of our own.

Words for people (f-strings), type hints and docstrings are left alone: a test of wording is another matter.
"""

from __future__ import annotations

import ast
import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from typing import Any

import parso
from cosmic_ray.mutating import mutate_code
from cosmic_ray.operators.operator import Operator
from cosmic_ray.plugins import get_operator

COMPARISONS = (
    "Lt_LtE", "Lt_GtE", "LtE_Lt", "LtE_Gt", "Gt_GtE", "Gt_LtE", "GtE_Gt", "GtE_Lt", "Eq_NotEq", "NotEq_Eq", "Is_IsNot",
    "IsNot_Is",
)  # fmt: skip
ARITHMETIC = (
    "Add_Sub",
    "Sub_Add",
    "Mul_Div",
    "Div_Mul",
    "FloorDiv_Mul",
    "Mod_Mul",
    "Pow_Mul",
    "BitAnd_BitOr",
)
OTHERS = (
    "AddNot", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue", "ReplaceAndWithOr", "ReplaceOrWithAnd",
    "ReplaceUnaryOperator_Delete_USub", "ReplaceUnaryOperator_Delete_Not", "ReplaceContinueWithBreak",
    "ZeroIterationForLoop",
)  # fmt: skip
SHARE = 1.2
"""A figure is made larger and smaller by a fifth: a threshold that no test holds to that is not held."""


@dataclass(frozen=True)
class Mutant:
    """A module with one change: the line it is in, that line as it was and as it is now, the whole text."""

    line: int
    was: str
    now: str
    text: str


class Figure(Operator):
    """A number: a whole one by one up and down, another by a fifth."""

    def mutation_positions(self, node: Any) -> Iterator[tuple[Any, Any]]:
        if isinstance(node, parso.python.tree.Number):
            yield from [(node.start_pos, node.end_pos)] * 2

    def mutate(self, node: Any, index: int) -> Any:
        value = ast.literal_eval(node.value)
        changed = value + (1, -1)[index] if isinstance(value, int) else value * (SHARE, 1 / SHARE)[index]
        if value == 0:
            changed = (1, -1)[index]
        return parso.python.tree.Number(f"({changed!r})", node.start_pos, node.prefix)

    @classmethod
    def examples(cls) -> tuple[()]:
        return ()


class LeastOrMost(Operator):
    """One argument in place of the least or the most of several."""

    def mutation_positions(self, node: Any) -> Iterator[tuple[Any, Any]]:
        yield from [(node.start_pos, node.end_pos)] * len(self._arguments(node))

    def mutate(self, node: Any, index: int) -> Any:
        code = self._arguments(node)[index].get_code(include_prefix=False)
        return parso.python.tree.Name(f"({code})", node.start_pos, node.get_first_leaf().prefix)

    @staticmethod
    def _arguments(node: Any) -> list[Any]:
        if node.type not in ("atom_expr", "power") or len(node.children) != 2:
            return []
        name, trailer = node.children
        if getattr(name, "value", "") not in ("min", "max") or trailer.children[1].type != "arglist":
            return []
        given = [part for part in trailer.children[1].children if part != ","]
        return [] if any(part.type == "argument" for part in given) else given

    @classmethod
    def examples(cls) -> tuple[()]:
        return ()


class Membership(Operator):
    """In for not in, and the other way round."""

    def mutation_positions(self, node: Any) -> Iterator[tuple[Any, Any]]:
        if node.type == "comparison" and self._words(node) in ("in", "not in"):
            yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        word = "in" if self._words(node) == "not in" else "not in"
        node.children[1] = parso.python.tree.Keyword(word, node.children[1].start_pos, " ")
        return node

    @staticmethod
    def _words(node: Any) -> str:
        return " ".join(node.children[1].get_code().split())

    @classmethod
    def examples(cls) -> tuple[()]:
        return ()


def mutants_of(text: str) -> list[Mutant]:
    """Every mutant of a module that differs in more than words and hints, line by line."""
    original = _meaning(text)
    seen = {original}
    found = []
    for operator in _operators():
        for changed in _each(text, operator):
            meaning = _meaning(changed)
            if meaning and meaning not in seen:
                seen.add(meaning)
                found.append(_mutant(text, changed))
    return sorted(found, key=lambda mutant: mutant.line)


def _operators() -> Iterator[Operator]:
    yield from (Figure(), LeastOrMost(), Membership())
    for kind, names in (("Comparison", COMPARISONS), ("Binary", ARITHMETIC)):
        yield from (get_operator(f"core/Replace{kind}Operator_{name}")() for name in names)
    yield from (get_operator(f"core/{name}")() for name in OTHERS)


def _each(text: str, operator: Operator) -> Iterator[str]:
    for occurrence in count():
        changed = mutate_code(text, operator, occurrence)
        if changed is None:
            return
        yield changed


OPPOSITE = {
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is, ast.In: ast.NotIn, ast.NotIn: ast.In,
}  # fmt: skip


class _Meaning(ast.NodeTransformer):
    """What a module does, without hints and words; the opposite of a comparison is one thing however it is written."""

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        self.generic_visit(node)
        within = node.operand
        if isinstance(node.op, ast.Not) and isinstance(within, ast.Compare) and len(within.ops) == 1:
            return ast.Compare(within.left, [OPPOSITE[type(within.ops[0])]()], within.comparators)
        if (
            isinstance(node.op, ast.Not)
            and isinstance(within, ast.UnaryOp)
            and isinstance(within.op, ast.Not)
        ):
            return within.operand
        return node

    def visit_JoinedStr(self, node: ast.JoinedStr) -> ast.AST:
        return ast.Constant("words")

    def visit_arg(self, node: ast.arg) -> ast.AST:
        return ast.arg(node.arg)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        node.annotation = ast.Constant("hint")
        self.generic_visit(node)
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        node.returns = None
        self.generic_visit(node)
        return node


def _meaning(text: str) -> str:
    """A change that is no Python has none."""
    try:
        return ast.dump(_Meaning().visit(ast.parse(text)))
    except SyntaxError:
        return ""


def _mutant(text: str, changed: str) -> Mutant:
    before, after = text.splitlines(), changed.splitlines()
    for tag, first, last, start, end in difflib.SequenceMatcher(
        None, before, after, autojunk=False
    ).get_opcodes():
        if tag != "equal":
            was, now = (" ".join(part).strip() for part in (before[first:last], after[start:end]))
            return Mutant(first + 1, was, now, changed)
    raise ValueError("the mutant is the module itself")
