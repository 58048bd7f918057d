#!/usr/bin/python3
"""docs/messages.md has every message of the sources, each with a test that there is."""

import unittest

import table
from literals import sentences
from messages import Message, as_shown, is_prose, quoted


class Literals(unittest.TestCase):
    def of(self, source):
        return [text for _, text, _ in sentences(source)[0]]

    def test_they_are_joined_as_the_compiler_joins_them_and_over_plus(self):
        self.assertEqual(["one two"], self.of('f("one " /* not "this" */\n  "two");'))
        self.assertEqual(["at {} V"], self.of('f("at " + rounded(v, 2) + " V");'))
        self.assertEqual(['a "b"\n', "c"], self.of('f("a \\"b\\"\\n", \'"\', "c");'))
        self.assertEqual(['raw "x"', "µ"], self.of('R"(raw "x")"; "\\xc2\\xb5";'))
        self.assertEqual([], self.of('#include "a file"\n// "a comment"\n'))

    def test_a_message_is_what_a_person_reads(self):
        self.assertEqual("the pack reads {} V; an object {...}", as_shown("\a the pack reads {:.3f} V;\n an object {{...}}"))
        self.assertTrue(is_prose("the input did not switch on"))
        for text in ("voltage_V", "{}: {}", "SELECT id FROM run ORDER BY id", "CURR {}"):
            self.assertFalse(is_prose(text), text)


class Quotes(unittest.TestCase):
    def test_only_words_that_no_other_message_has_are_a_quote(self):
        messages = [Message("{}: the lead came off at {} V", "run"), Message("{}: the lead came off; look at it", "run")]
        found = quoted(messages, [("b: the lead came off", "x_test.cpp", "shared"), ("came off; look at", "x_test.cpp", "own")])
        self.assertEqual([messages[1].text], list(found))
        self.assertEqual({"own"}, {case for _, _, case in found[messages[1].text]})


class Table(unittest.TestCase):
    def test_every_message_has_its_row_and_every_row_its_test(self):
        self.assertEqual(0, table.main([]), "see above; DEVELOPERS.md says how to add a message")

    def test_a_test_that_is_gone_is_missed(self):
        tests = table.Tests([])
        self.assertTrue(tests.exists("messages: the pack reads") is False)
        self.assertTrue(tests.exists("bad_input_test: BadFile.test_unknown_key"))


if __name__ == "__main__":
    unittest.main()
