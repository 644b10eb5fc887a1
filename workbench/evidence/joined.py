"""The checker of evidence as one file: its modules, one after the other, to be copied and read anywhere."""

import ast
from collections.abc import Iterable
from importlib.resources import files

from workbench.evidence import checker

READING_ORDER = (
    "terms", "boards", "marks", "steps", "advance", "house_rules", "listed", "values", "shapes", "proofs", "plans",
    "turnings", "picks", "fewest", "talk", "conversations", "drills", "file", "checking",
)  # fmt: skip
"""The modules of the checker; none needs a later one, and no two give the same name to different things."""
RUN = 'if __name__ == "__main__":\n    sys.exit(main(sys.argv[1:]))\n'
WIDTH = 120


def joined() -> str:
    """The text of a Python file that does what the package `workbench.evidence.checker` does, and needs nothing else.

    The imports of all modules stand first, those of each other left out; then each module stands under its name, as it
    is, what it says of itself turned into a comment.
    """
    sources = {name: _source(name) for name in READING_ORDER}
    about = ast.get_docstring(ast.parse(_source("__init__")), clean=False)
    head = [f'"""{about}"""', "", *_imports(map(ast.parse, sources.values()))]
    parts = ["\n".join(head), *(_section(name, source) for name, source in sources.items()), RUN]
    return "\n\n\n".join(parts)


def _source(name: str) -> str:
    return files(checker).joinpath(f"{name}.py").read_text("utf-8")


def _imports(modules: Iterable[ast.Module]) -> list[str]:
    """What the modules import from elsewhere, once each, in the usual order."""
    whole: set[str] = set()
    parts: dict[str, set[str]] = {}
    for node in (node for module in modules for node in module.body):
        if isinstance(node, ast.Import):
            whole |= {each.name for each in node.names}
        elif isinstance(node, ast.ImportFrom) and not node.level:
            parts.setdefault(str(node.module), set()).update(each.name for each in node.names)
    return [
        *(f"import {name}" for name in sorted(whole)),
        *(f"from {name} import {', '.join(sorted(parts[name]))}" for name in sorted(parts)),
    ]


def _section(name: str, source: str) -> str:
    """A module under its name, without its imports."""
    module = ast.parse(source)
    told = (ast.get_docstring(module) or "").splitlines()
    about, *rest = module.body
    left_out = [about, *(node for node in rest if isinstance(node, ast.Import | ast.ImportFrom))]
    gone = {line for node in left_out for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)}
    kept = [text for line, text in enumerate(source.splitlines(), 1) if line not in gone]
    title = [f"# {name} {'-' * (WIDTH - len(name) - 3)}", "#", *(f"# {text}".rstrip() for text in told)]
    return "\n".join([*title, "", "", "\n".join(kept).strip("\n")])
