"""What the project's texts show: commands to type, links, headings. For the tests that hold the texts to what is there."""

import re
import shlex
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
TYPED = ("sagbench ", "build/bench/sagbench ", "./dev ", "python3 ")  # how a line to type begins
FENCE = re.compile(r"^ *```\w*\n(.*?)^ *```$", re.DOTALL | re.MULTILINE)


def texts():
    """Every Markdown file that a user or a contributor is meant to read."""
    folders = (ROOT / "docs").rglob("*.md"), (ROOT / "examples").rglob("*.md")
    return [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(path for found in folders for path in found)]


def name_of(path):
    return str(path.relative_to(ROOT))


class Command(NamedTuple):
    where: str  # the file
    line: str  # as it stands there, white space made single

    @property
    def words(self):
        """Without a comment behind it and without where its output goes."""
        words = shlex.split(self.line, comments=True)
        return words[: words.index(">")] if ">" in words else words


def fenced_lines(text):
    for block in FENCE.findall(text):
        for line in block.replace("\\\n", " ").splitlines():
            yield line.strip().removeprefix("$ ")


def quoted(text):
    return re.findall(r"`([^`]+)`", FENCE.sub("", text))


def commands_of(text, where):
    """Those in fenced blocks and in backticks, each once, in their order."""
    lines = (" ".join(line.split()) for line in (*fenced_lines(text), *quoted(text)))
    return list(dict.fromkeys(Command(where, line) for line in lines if line.startswith(TYPED)))


def commands_in(path):
    return commands_of(path.read_text(encoding="utf-8"), name_of(path))


def options_in(words):
    return [word.split("=")[0].strip("[]") for word in words if re.match(r"\[?--?[a-zA-Z]", word)]


def anchors_in(path):
    """As forges make them of headings: lower case, spaces to dashes, all else but letters, digits and dashes dropped."""
    headings = re.findall(r"^#+ +(.*)$", FENCE.sub("", path.read_text(encoding="utf-8")), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


def links_in(path):
    """Targets of [text](target) and of pictures."""
    return re.findall(r"\]\(([^)\s]+)\)", FENCE.sub("", path.read_text(encoding="utf-8")))


def paths_named_in(path):
    """docs/... and examples/... as written in backticks or in commands."""
    text = path.read_text(encoding="utf-8")
    return set(re.findall(r"(?<![\w/.])(?:docs|examples)/[\w./-]*\w/?", text))
