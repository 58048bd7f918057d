"""String literals of C++ sources: joined as the compiler joins them, and over `+`, with {} for what
stands between."""

import re

TOKEN = re.compile(r'''
    (?P<comment>//[^\n]*|/\*.*?\*/)
  | (?P<include>^[ \t]*\#[ \t]*include[^\n]*)
  | (?P<raw>R"(?P<mark>[^()\\\s]*)\((?P<content>.*?)\)(?P=mark)")
  | (?P<text>"(?:[^"\\\n]|\\.)*")
  | (?P<character>'(?:[^'\\\n]|\\.)+')
  | (?P<number>\d(?:[\w.]|'(?=\w))*)
  | (?P<word>[A-Za-z_]\w*)
  | (?P<sign>::|->|[^\s\w])
''', re.S | re.X | re.M)

ESCAPES = {"n": "\n", "t": "\t", "r": "\r", "a": "\a", "0": "\0", "e": "\x1b"}


class Token:
    __slots__ = ("kind", "value", "line")

    def __init__(self, kind, value, line):
        self.kind, self.value, self.line = kind, value, line


def unescaped(text):
    def meant(found):
        if found[1]:
            return bytes.fromhex(found[1].replace("\\x", "")).decode(errors="replace")
        return ESCAPES.get(found[2], found[2])
    return re.sub(r"((?:\\x[0-9A-Fa-f]{2})+)|\\(.)", meant, text, flags=re.S)


def tokens(source):
    found, line, at = [], 1, 0
    for match in TOKEN.finditer(source):
        line += source.count("\n", at, match.start())
        at = match.start()
        kind = match.lastgroup if match.lastgroup != "content" else "raw"
        if match["comment"] or match["include"]:
            continue
        if match["raw"]:
            found.append(Token("text", match["content"], line))
        elif match["text"]:
            found.append(Token("text", unescaped(match["text"][1:-1]), line))
        else:
            found.append(Token(kind, match[0], line))
    return found


OPEN, CLOSE = "([{", ")]}"


def operand_end(all_tokens, at):
    """Behind what stands between two `+`: names, calls, their arguments."""
    depth = 0
    while at < len(all_tokens):
        value = all_tokens[at].value if all_tokens[at].kind == "sign" else None
        if value is not None and value in OPEN:
            depth += 1
        elif value is not None and value in CLOSE:
            if depth == 0:
                return at
            depth -= 1
        elif depth == 0 and value is not None and value in "+,;?:<>=&|!":
            return at
        elif depth == 0 and all_tokens[at].kind == "text":
            return at
        at += 1
    return at


def sentences(source):
    """(line, text, index of its first token) of every literal, joined."""
    everything = tokens(source)
    found, at = [], 0
    while at < len(everything):
        if everything[at].kind != "text":
            at += 1
            continue
        first, text = at, ""
        while True:
            while at < len(everything) and everything[at].kind == "text":
                text += everything[at].value
                at += 1
            if at >= len(everything) or everything[at].value != "+":
                break
            end = operand_end(everything, at + 1)
            if end >= len(everything):
                break
            if everything[end].kind == "text" and end == at + 1:
                at = end
            elif everything[end].value == "+" and everything[end + 1].kind == "text":
                text += "{}"
                at = end + 1
            else:
                break
        found.append((everything[first].line, text, first))
    return found, everything
