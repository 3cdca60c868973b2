"""Rewrites decorated functions so that they can be mutated: mutmut leaves functions with a decorator alone."""

import ast

#: Decorators that mutmut handles itself.
HANDLED = ("staticmethod", "classmethod")


def without_decorators(source: str) -> str:
    """Turn ``@wrap`` above ``def name`` into ``name = wrap(name)`` below it; the module behaves as before."""
    lines = source.splitlines()
    functions = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef)]
    for node in sorted(functions, key=lambda node: -node.lineno):
        decorators = [ast.unparse(decorator) for decorator in node.decorator_list]
        if not decorators or decorators[0] in HANDLED:
            continue
        indent = " " * node.col_offset
        calls = [f"{indent}{node.name} = {decorator}({node.name})" for decorator in reversed(decorators)]
        lines[node.end_lineno : node.end_lineno] = ["", *calls]
        del lines[node.decorator_list[0].lineno - 1 : node.lineno - 1]
    return "\n".join(lines) + "\n"
