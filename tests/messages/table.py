#!/usr/bin/python3
"""docs/messages.md: every message of the program and the test that provokes it.

    table.py             holds it against sources and tests
    table.py --write     writes it: known tests stay, a new message gets a test that quotes it
"""

import re
import sys
from pathlib import Path

from homes import PROVOKED, SECTIONS, UNPROVOKED
from messages import all_messages, quoted
from quotes import all_cases, all_quotes

ROOT = Path(__file__).resolve().parents[2]
TABLE = ROOT / "docs" / "messages.md"
ROW = re.compile(r"^\| (``? ?.*? ?``?) \| (.*?) \| (.*?) \|$")

HEAD = """# Every message, and the test that provokes it

`{}` stands for a value. A row may be part of a line that is put together from several. What the supervisor says, from which
limit on and what to do then is in `docs/safety-checks.md`. A test in *italics* meets the message without quoting its words, as
`tests/messages/record` saw it do; any other quotes words of it that no other message has, or the line that its few words go
into. What Windows words by itself (`*_windows.cpp`) is not here. Written by `tests/messages/table.py --write`, held to sources and tests by the test `messages_test`.
"""


class Tests:
    """Which tests there are, by the names that ctest gives them, and which of them quote which message."""

    def __init__(self, messages):
        quotes = list(all_quotes(ROOT / "tests"))
        self.cases = all_cases(ROOT / "tests")
        self.others = "".join(path.read_text() for path in sorted((ROOT / "tests").rglob("CMakeLists.txt")))
        self.quoting = {
            text: [name for _, name in sorted(((-size, name_of(file, case)) for size, file, case in found))]
            for text, found in quoted(messages, quotes).items()
        }

    def exists(self, name):
        """By the name that ctest gives it: that of its program or file before it."""
        return case_of(name) in self.cases or f'"{name}"' in self.others or f"NAME {name} " in self.others


def case_of(name):
    """Without the program or file that stands before it."""
    return name.split(":", 1)[-1].strip()


def name_of(file, case):
    """`file: case`; `file` alone where the words stand above its cases."""
    return f"{Path(file).stem}: {case}" if case else Path(file).stem


def span(text):
    return f"`` {text} ``" if "`" in text else f"`{text}`"


def rows_in(table):
    """Message to (places, test)."""
    rows = {}
    for line in table.splitlines():
        found = ROW.match(line)
        if found:
            rows[found[1].strip("`").strip()] = (found[2], found[3].replace("\\|", "|"))
    return rows


def test_for(message, tests, known, seen):
    """The one that homes.py names; else a test that quotes it; else one that was seen to meet it, in italics; else why none can; else nothing."""
    named = PROVOKED.get(message.text)
    if named and tests.exists(named):
        return named
    quoting = tests.quoting.get(message.text, [])
    met = [name for name in seen.get(message.text, []) if tests.exists(name)]
    kept = known.get(message.text, ("", ""))[1]
    if met:
        both = [name for name in quoting if any(same(name, other) for other in met)]
        return both[0] if both else f"*{met[0]}*"
    if kept in quoting or (kept.startswith("*") and tests.exists(kept.strip("*"))):
        return kept
    if quoting:
        return quoting[0]
    return f"none: {UNPROVOKED[message.text]}" if message.text in UNPROVOKED else ""


def same(quoting, met):
    return case_of(met) == case_of(quoting)


def write(messages, tests, known, seen):
    parts = [HEAD]
    for name, (title, meaning, _) in SECTIONS.items():
        parts.append(f"\n## {title}\n\n{meaning}\n\n| message | source | test |\n| --- | --- | --- |\n")
        for message in sorted((m for m in messages if m.section == name), key=lambda m: (m.files(), m.text.lower())):
            test = test_for(message, tests, known, seen) or "NO TEST YET"
            parts.append("| {} | {} | {} |\n".format(span(message.text), ", ".join(message.files()), test.replace("|", "\\|")))
    return "".join(parts)


def main(arguments, seen=None):
    messages = all_messages(ROOT)
    tests = Tests(messages)
    old = TABLE.read_text() if TABLE.exists() else ""
    new = write(messages, tests, rows_in(old), seen or {})
    if "--write" in arguments:
        TABLE.write_text(new)
    without = [span(text) for text, (_, test) in rows_in(new).items() if test == "NO TEST YET"]
    for text in without:
        print(f"no test provokes {text}")
    if "--write" not in arguments and new != old:
        lines = set(old.splitlines())
        print("docs/messages.md is not what tests/messages/table.py --write makes; first line that differs:")
        print(next((line for line in new.splitlines() if line not in lines), "(a row too much)"))
        return 1
    for text in UNPROVOKED | PROVOKED:
        if not any(message.text == text for message in messages):
            print(f"homes.py says which test provokes {span(text)}, or why none does, but no source says that")
            return 1
    return 1 if without else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
