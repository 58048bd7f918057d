"""What the tests quote: string literals of test files, each with the test it stands in."""

import ast
import re
from pathlib import Path

from literals import sentences

CASE = {"TEST_CASE", "TEST_CASE_METHOD", "SCENARIO"}
NO_QUOTE = CASE | {"SECTION", "INFO", "DYNAMIC_SECTION"}


def of_cpp(path):
    """The literals of each case; those above the first case, or between, belong to the whole file."""
    found, tokens = sentences(path.read_text())
    cases, depth, ends = [], 0, 0
    for at, token in enumerate(tokens):
        if token.value in CASE and token.kind == "word":
            name = next(t.value for t in tokens[at:] if t.kind == "text")
            open_at = next(i for i in range(at, len(tokens)) if tokens[i].value == "{" and tokens[i].kind == "sign")
            level, end = 1, open_at + 1
            while level:
                if tokens[end].kind == "sign":
                    level += {"{": 1, "}": -1}.get(tokens[end].value, 0)
                end += 1
            cases.append((open_at, end, name))
    for _, text, at in found:
        if at >= 2 and tokens[at - 2].value in NO_QUOTE:
            continue
        case = next((name for start, end, name in cases if start < at < end), "")
        yield text, case


def text_of(node):
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(text_of(part) if isinstance(part, ast.Constant) else "{}" for part in node.values)
    return None


def of_python(path):
    def walk(node, where):
        if isinstance(node, ast.ClassDef):
            where = node.name
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            where = f"{where}.{node.name}"
        text = text_of(node)
        if text is not None:
            yield text, where if "." in where else ""
            return
        body = node.body if isinstance(node, (ast.ClassDef, ast.FunctionDef, ast.Module)) else None
        for child in ast.iter_child_nodes(node):
            if body and child is body[0] and isinstance(child, ast.Expr) and text_of(child.value) is not None:
                continue  # its description
            yield from walk(child, where)

    yield from walk(ast.parse(path.read_text()), "")


def of_javascript(path):
    case = ""
    for line in path.read_text().splitlines():
        begins = re.match(r'\s*(?:test|it)\(["\'`](.*?)["\'`],', line)
        if begins:
            case = begins[1]
            continue
        for found in re.finditer(r'"((?:[^"\\]|\\.)*)"|/((?:[^/\\\n]|\\.)+)/[a-z]*\b', line):
            yield re.sub(r"\\(.)", r"\1", found[1] or found[2]), case


def test_files(tests):
    for path in sorted(Path(tests).rglob("*_test.*")):
        if path.relative_to(tests).parts[0] != "messages" and "node_modules" not in path.parts:
            yield path


def all_quotes(tests):
    """(text, file, case) of every literal of a test file."""
    readers = {".cpp": of_cpp, ".py": of_python, ".js": of_javascript}
    for path in test_files(tests):
        if path.suffix not in readers:
            continue
        for text, case in readers[path.suffix](path):
            yield text, str(path.relative_to(Path(tests).parent)), case


def all_cases(tests):
    """The name of every test: those of a class as Class.method, be the method its own or lent."""
    found = set()
    for path in test_files(tests):
        text = path.read_text()
        if path.suffix == ".cpp":
            literals, tokens = sentences(text)
            found |= {name for _, name, at in literals if at >= 2 and tokens[at - 2].value in CASE}
        elif path.suffix == ".py":
            classes = re.findall(r"^class (\w+)", text, re.M)
            found |= {f"{name}.{method}" for name in classes for method in re.findall(r"^    def (test_\w+)", text, re.M)}
            found.add(path.stem)
        else:
            found.add(path.stem)
    return found
