"""The published schema of dialect files and the program's own reader must agree."""

import json
import os
import subprocess
import tempfile
import unittest

import jsonschema

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "..")
TOOL = os.environ["DIALECT_TOOL"]

MINIMAL = {"schema": "sagbench/dialect/1", "name": "mine"}

GOOD = [
    {},
    {"input_on": "OUTP 1", "input_off": "OUTP 0", "input_query": "OUTP?"},
    {"set_current": {"send": "CURR {}", "min": 0, "max": 30, "decimals": 3, "settle_s": 0.05, "takes_s": 1}},
    {"set_current": {"send": "CURR {}", "decimals": 3.0}},
    {"input_query": {"send": "INP?", "answer": "boolean"}},
    {"input_query": {"send": "INP?", "answer": "text", "on": "RUN", "off": "STOP"}},
    {"measure_both": {"send": "MEAS:CURR?;VOLT?", "first": "current"}},
    {"measure_both": {"send": "MEAS?", "answer": "numbers", "first": "voltage", "takes_s": 0.1}},
    {"measure_both": None, "list": None, "current_mode": None, "current_protection": None, "watchdog": None},
    {"error_query": {"send": "SYST:ERR?", "answer": "text"}},
    {"scan_voltages": {"send": "MEAS:VOLT? (@{})", "answer": "numbers"}},
    {"measure_voltage_channel": {"send": "MEAS:VOLT? (@{})", "answer": "number", "takes_s": 0.4}},
    {"list": {}},
    {"list": {"max_points": 84, "shortest_dwell_s": 1e-3, "longest_dwell_s": 10, "count": None,
              "currents": {"send": "LIST:CURR {}", "decimals": 2}, "trigger": "*TRG"}},
    {"watchdog": "A\t{}"},
    {"operation_complete": {"send": "*OPC?", "answer": "number"}},
]

BAD = [
    {"input_of": "INP OFF"},
    {"name": ""}, {"name": 5}, {"name": "two\nlines"},
    {"schema": "sagbench/dialect/2"}, {"schema": None},
    {"watchdog": 5}, {"watchdog": []}, {"watchdog": {}}, {"watchdog": True},
    {"input_on": None}, {"clear": None}, {"error_query": None}, {"measure_voltage": None},
    {"set_current": "CURR"}, {"set_current": "CURR {},{}"}, {"set_current": "CURR? {}"},
    {"input_off": ""}, {"input_off": " \t"}, {"input_off": "INP {}"}, {"input_off": "INP?"},
    {"input_off": "INP OFF\n"}, {"input_off": "Ä"}, {"input_off": "\x7f"},
    {"input_query": "INP"}, {"measure_current": "MEAS:CURR? {}"},
    {"clear": {"send": "*CLS", "max": 1}}, {"clear": {"send": "*CLS", "answer": "number"}},
    {"set_current": {"send": "CURR {}", "min": "0"}}, {"set_current": {"send": "CURR {}", "min": 1e10}},
    {"set_current": {"send": "CURR {}", "decimals": 1.5}}, {"set_current": {"send": "CURR {}", "decimals": 10}},
    {"set_current": {"send": "CURR {}", "settle_s": -1}}, {"set_current": {"send": "CURR {}", "takes_s": 61}},
    {"set_current": {"send": "CURR {}", "settle_s": None}}, {"set_current": {"send": "CURR {}", "first": "current"}},
    {"measure_voltage": {"send": "MEAS:VOLT?", "answer": "text"}},
    {"measure_voltage": {"send": "MEAS:VOLT?", "settle_s": 1}},
    {"input_query": {"send": "INP?", "answer": "number"}},
    {"input_query": {"send": "INP?", "answer": "text", "on": "RUN"}},
    {"input_query": {"send": "INP?", "on": "RUN", "off": "STOP"}},
    {"input_query": {"send": "INP?", "answer": "text", "on": "", "off": "STOP"}},
    {"measure_both": "MEAS:CURR?;VOLT?"}, {"measure_both": {"send": "MEAS:CURR?;VOLT?"}},
    {"measure_both": {"send": "MEAS:CURR?;VOLT?", "first": "power"}},
    {"measure_both": {"send": "MEAS:CURR?;VOLT?", "first": "current", "answer": "number"}},
    {"operation_complete": {"send": "*OPC?", "answer": "boolean"}},
    {"scan_voltages": "MEAS:VOLT?"}, {"measure_voltage_channel": "MEAS:VOLT?"},
    {"scan_voltages": {"send": "MEAS:VOLT? (@{})", "answer": "number"}},
    {"list": 5}, {"list": {"max_points": 0}}, {"list": {"max_points": 2.5}}, {"list": {"shortest_dwell_s": 0}},
    {"list": {"longest_dwell_s": 1e6}}, {"list": {"trigger": None}}, {"list": {"points": 5}},
    {"list": {"currents": "LIST:CURR"}},
]

# What the schema's description says no schema can express: the reader alone refuses.
BEYOND_SCHEMA = [
    {"set_current": {"send": "CURR {}", "min": 2, "max": 1}},
    {"list": {"shortest_dwell_s": 10, "longest_dwell_s": 1}},
    {"input_off": "INP ON"},
    {"set_current": "CURR {};:INP ON"},
]


def tool(*arguments):
    return subprocess.run([TOOL, *arguments], check=True, capture_output=True, text=True).stdout


def reader_accepts(document):
    with tempfile.NamedTemporaryFile("w", suffix=".json", encoding="utf-8") as file:
        json.dump(document, file)
        file.flush()
        return tool("read", file.name) == "accepted\n"


class DialectSchema(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        with open(os.path.join(ROOT, "docs", "schema", "dialect.schema.json"), encoding="utf-8") as file:
            cls.schema = json.load(file)
        jsonschema.Draft202012Validator.check_schema(cls.schema)
        cls.validator = jsonschema.Draft202012Validator(cls.schema)

    def test_every_built_in_dialect_as_written_is_valid_and_is_read(self):
        names = tool("names").split()
        self.assertGreater(len(names), 7)
        for name in names:
            with self.subTest(name):
                document = json.loads(tool("write", name))
                self.validator.validate(document)
                self.assertTrue(reader_accepts(document))

    def test_example_file_is_good_to_both(self):
        path = os.path.join(ROOT, "examples", "dialect-load.json")
        with open(path, encoding="utf-8") as file:
            self.validator.validate(json.load(file))
        self.assertEqual("accepted\n", tool("read", path))

    def test_the_richest_dialect_uses_every_key_of_the_schema(self):
        document = json.loads(tool("write", tool("names").split()[-1]))
        self.assertEqual(set(document), set(self.schema["properties"]))
        self.assertEqual(set(document["list"]), set(self.schema["$defs"]["list"]["properties"]))

    def test_defaults_of_the_schema_are_those_of_the_reader(self):
        written = json.loads(tool("write", "scpi-1999-list"))["list"]
        for key, entry in self.schema["$defs"]["list"]["properties"].items():
            self.assertEqual(written[key], entry["default"], key)

    def test_good_examples_are_good_to_both(self):
        for example in GOOD:
            with self.subTest(example):
                self.validator.validate({**MINIMAL, **example})
                self.assertTrue(reader_accepts({**MINIMAL, **example}))

    def test_bad_examples_are_bad_to_both(self):
        for example in [*({**MINIMAL, **example} for example in BAD), {}, {"name": "mine"}, [], "text", None]:
            with self.subTest(example):
                self.assertFalse(self.validator.is_valid(example))
                self.assertFalse(reader_accepts(example))

    def test_rules_beyond_a_schema_are_the_readers(self):
        for example in BEYOND_SCHEMA:
            with self.subTest(example):
                self.assertTrue(self.validator.is_valid({**MINIMAL, **example}))
                self.assertFalse(reader_accepts({**MINIMAL, **example}))


if __name__ == "__main__":
    unittest.main()
