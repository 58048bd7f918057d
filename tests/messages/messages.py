"""The messages of the sources, and the tests that quote them."""

import fnmatch
import re
from pathlib import Path

from homes import NAMES, SECTIONS, SILENT, SINKS
from literals import sentences
from quotes import all_quotes

SHORTEST_QUOTE = 10  # characters; shorter runs of words stand in sentences of all kinds
FIELD = re.compile(r"\{\d*(?::[^{} ]*)?\}")
NO_PROSE = re.compile(r"^\s*(SELECT|INSERT|UPDATE|DELETE|CREATE|PRAGMA|ALTER|WITH|ATTACH|BEGIN)\b|^default-src|^attachment;|</")
SAYS = re.compile(r"[^\W\d_]{2,}[,:;]? \W?(?:[^\W\d_]{2,}|\{)|\}\W* [^\W\d_]{2,}")


class Message:
    def __init__(self, text, section):
        self.text, self.section, self.places = text, section, []

    def files(self):
        return sorted({file for file, _ in self.places})

    def parts(self):
        """What stands in it whatever the values are."""
        return [part for part in self.text.split("{}") if part.strip(" ;:,.")]


def as_shown(literal):
    """As a person reads it: values as {}, on one line, without what only moves the cursor or rings the bell."""
    plain = FIELD.sub("\0", literal.replace("{{", "\2").replace("}}", "\3")).replace("\0", "{}")
    plain = plain.replace("\2", "{").replace("\3", "}")
    return re.sub(r"\s+", " ", re.sub(r"\x1b\[[\x20-\x3f]*[A-Za-z]|\x07", " ", plain)).strip()


def is_prose(text):
    words = re.findall(r"[^\W\d_]{2,}", FIELD.sub("", as_shown(text)))
    return len(words) >= 2 and bool(SAYS.search(text)) and not NO_PROSE.search(text)


def section_of(path):
    return next((name for name, (_, _, files) in SECTIONS.items() if any(fnmatch.fnmatch(path, f) for f in files)), None)


def of_sink(tokens, at):
    """The call whose arguments hold the literal, if it is one of the sinks."""
    depth = 0
    for back in range(at - 1, max(-1, at - 400), -1):
        token = tokens[back]
        if token.kind != "sign":
            continue
        if token.value in ")]}":
            depth += 1
        elif token.value in "([{":
            if depth:
                depth -= 1
            elif tokens[back - 1].kind == "word" and tokens[back - 1].value in SINKS:
                return tokens[back - 1].value
        elif token.value == ";" and not depth:
            return None
    return None


def messages_of(path, name, found):
    home = section_of(name)
    if any(fnmatch.fnmatch(name, silent) for silent in SILENT):
        return
    literals, tokens = sentences(path.read_text())
    for line, text, at in literals:
        if not is_prose(text) or as_shown(text) in NAMES:
            continue
        sink = of_sink(tokens, at)
        section = home or (SINKS[sink] if sink else None)
        if section:
            shown = as_shown(text)
            message = found.setdefault(shown, Message(shown, section))
            message.places.append((name, line))


def all_messages(root):
    found = {}
    for folder in ("bench", "drivers", "reports", "analysis"):
        for path in sorted((Path(root) / folder).rglob("*.[ch]pp")):
            if path.stem.endswith("_windows"):
                continue  # these tests do not run there
            messages_of(path, str(path.relative_to(root)), found)
    return list(found.values())


def runs_of_words(text):
    """Every run of two to six words of it, as it stands there, without the signs at its ends."""
    words = [(match.start(), match.end()) for match in re.finditer(r"\S+", text)]
    for first in range(len(words)):
        for last in range(first + 1, min(first + 6, len(words))):
            yield text[words[first][0]:words[last][1]].strip(" ;:,.()[]")


def quoted(messages, quotes):
    """The tests (file, case) that quote words which stand in one message only, for each message."""
    homes = {}
    for message in messages:
        for part in message.parts():
            for run in runs_of_words(part):
                homes.setdefault(run, set()).add(message.text)
    found = {}
    for text, file, case in quotes:
        for run in runs_of_words(text):
            texts = homes.get(run, ())
            if len(texts) == 1 and len(run) >= SHORTEST_QUOTE:
                found.setdefault(next(iter(texts)), []).append((len(run), file, case))
    return found
