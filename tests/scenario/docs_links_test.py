#!/usr/bin/python3
"""Every link and every file that README, DEVELOPERS, docs and examples name is there."""

import re
import tempfile
import unittest
from pathlib import Path
from urllib.parse import unquote

from docs_text import ROOT, anchors_in, links_in, name_of, paths_named_in, texts


def broken_links(path, root=ROOT):
    for link in links_in(path):
        if re.match(r"[a-z]+:", link):
            continue  # elsewhere: nothing here can be held to it
        target, _, anchor = unquote(link).partition("#")
        there = (path.parent / target).resolve() if target else path
        if not there.is_relative_to(root) or not there.exists():
            yield link
        elif anchor and (there.suffix != ".md" or anchor not in anchors_in(there)):
            yield link


class Links(unittest.TestCase):
    def test_every_link_and_anchor_is_there(self):
        self.assertGreater(sum(len(links_in(path)) for path in texts()), 20)
        for path in texts():
            with self.subTest(file=name_of(path)):
                self.assertEqual([], list(broken_links(path)))

    def test_every_file_that_is_named_is_there(self):
        self.assertGreater(sum(len(paths_named_in(path)) for path in texts()), 20)
        for path in texts():
            with self.subTest(file=name_of(path)):
                missing = [named for named in paths_named_in(path) if not (ROOT / named).exists()]
                self.assertEqual([], missing)

    def test_every_page_is_linked_or_named_by_another(self):
        """A page that nothing leads to is read by nobody."""
        led_to = set()
        for path in texts():
            led_to |= {ROOT / named for named in paths_named_in(path)}
            led_to |= {(path.parent / unquote(link).split("#")[0]).resolve() for link in links_in(path)}
        roots = {ROOT / "README.md", ROOT / "DEVELOPERS.md"}
        self.assertEqual([], [name_of(path) for path in texts() if path not in led_to | roots])


class Faults(unittest.TestCase):
    """That the tests above would notice."""

    def test_each_fault_is_found(self):
        with tempfile.TemporaryDirectory() as folder:
            root = Path(folder).resolve()
            (root / "there.md").write_text("# What it is: a test\n", encoding="utf-8")
            page = root / "page.md"
            good = "[a](there.md) [b](there.md#what-it-is-a-test) [c](#here) [d](https://example.org/x)"
            bad = ["gone.md", "there.md#gone", "#gone", "../out.md"]
            links = good + "".join(f" [x]({link})" for link in bad)
            page.write_text(f"# Here\n{links}\n```\n[not](a-link)\n```\n", encoding="utf-8")
            self.assertEqual(bad, list(broken_links(page, root)))


if __name__ == "__main__":
    unittest.main()
