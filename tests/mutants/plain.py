"""Writes decorated functions so that they can be changed: mutmut leaves alone what stands under a decorator."""

import ast

#: mutmut knows these itself.
KNOWN = ("staticmethod", "classmethod")


def without_decorators(source: str) -> str:
    """Turn ``@wrap`` above ``def name`` into ``name = wrap(name)`` below it; what the module does stays the same."""
    lines = source.splitlines()
    functions = [node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef)]
    for node in sorted(functions, key=lambda node: -node.lineno):
        wraps = [ast.unparse(wrap) for wrap in node.decorator_list]
        if not wraps or wraps[0] in KNOWN:
            continue
        indent = " " * node.col_offset
        again = [f"{indent}{node.name} = {wrap}({node.name})" for wrap in reversed(wraps)]
        lines[node.end_lineno : node.end_lineno] = ["", *again]
        del lines[node.decorator_list[0].lineno - 1 : node.lineno - 1]
    return "\n".join(lines) + "\n"
