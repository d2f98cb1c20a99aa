"""The size rules of the house: files of at most 300 lines of code, functions of at most 70."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

MOST_CODE_LINES = 300
MOST_FUNCTION_LINES = 70
ROOTS = ("src", "tests", "bench", "tools")


def docstring_lines(tree: ast.AST) -> set[int]:
    lines: set[int] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", None)
        if isinstance(body, list) and body and isinstance(body[0], ast.Expr):
            value = body[0].value
            if isinstance(value, ast.Constant) and isinstance(value.value, str):
                lines.update(range(value.lineno, (value.end_lineno or value.lineno) + 1))
    return lines


def faults(path: Path) -> list[str]:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    docs = docstring_lines(tree)
    code = [
        number
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.strip().startswith("#") and number not in docs
    ]
    found = []
    if len(code) > MOST_CODE_LINES:
        found.append(f"{path}: {len(code)} lines of code, at most {MOST_CODE_LINES}")
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            length = (node.end_lineno or node.lineno) - node.lineno + 1
            if length > MOST_FUNCTION_LINES:
                where = f"{path}:{node.lineno}: {node.name}"
                found.append(f"{where} has {length} lines, at most {MOST_FUNCTION_LINES}")
    return found


def main() -> int:
    paths = [path for root in ROOTS for path in sorted(Path(root).rglob("*.py"))]
    found = [fault for path in paths for fault in faults(path)]
    print("\n".join(found) if found else "every file and function is within the house rule")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
