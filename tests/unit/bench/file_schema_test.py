"""The published schemas of the user's files and the program's own readers must agree, value by value."""

import copy
import json
import os
import subprocess
import tempfile
import unittest
from pathlib import Path

import jsonschema

ROOT = Path(__file__).resolve().parents[3]
SCHEMAS = ROOT / "docs" / "schema"
EXAMPLES = ROOT / "examples"
TOOL = os.environ["FILE_TOOL"]

RADIO = {
    "schema": "sagbench/radio/1", "name": "R", "class": "QRO", "supply_min_V": 11.7, "supply_max_V": 15.9,
    "supply_nominal_V": 13.8, "receive_A": 1, "transmit_peak_A": 20, "transmit_idle_A": 2, "stage": "linear",
    "clips_below_V": 13, "restart_V": 12, "restart_s": 2,
}
ACCURACY = {"of_reading": 0.001, "of_range": 0.001}
LOAD = {
    "port": "tcp:192.0.2.7:5025", "baud": 9600, "dialect": "scpi-1999", "remote_sense": True, "slew_A_per_s": 5,
    "max_current_A": 30, "max_power_W": 300, "max_voltage_V": 60, "min_voltage_V": 1, "calibrated": "2026-03-01",
    "accuracy": {"voltage": {**ACCURACY, "range_V": 60}, "current": {**ACCURACY, "range_A": 30}},
}
METER = {
    "port": "/dev/ttyUSB0", "baud": 9600, "dialect": "scpi-1999", "nplc": 1, "calibrated": "2026-03-01",
    "channels": {"pack": 101, "cells": [102, 103], "temperature": 111},
    "accuracy": {"voltage": {**ACCURACY, "range_V": 20}, "temperature_C": 0.5},
}
BENCH = {"schema": "sagbench/bench/1", "name": "B", "load": LOAD, "meter": METER}
TRANSMIT = {"do": "transmit", "radio": RADIO, "mode": "cw", "transmit_share": 0.3, "minutes": 5, "until": "supply_min",
            "rhythm": "qso", "text": "CQ", "words_per_minute": 20, "weighting": 0.5, "jitter": 0.1}


def plan(*steps):
    return {"schema": "sagbench/plan/1", "name": "P", "steps": list(steps)}


# Between them these have every key of the schemas.
FULL = {
    "pack": [{
        "schema": "sagbench/pack/1", "name": "P", "serial": "1", "builder": "Q", "built": "2025-05-01",
        "chemistry": "LFP", "series": 4, "parallel": 2, "rated_capacity_Ah": 10, "mass_kg": 1.9,
        "max_discharge_current_A": 30, "fuse_A": 30, "protection_board": True, "end_of_discharge_V": 10,
        "end_of_charge_V": 14.6, "max_temperature_C": 55, "price": {"amount": 120, "currency": "EUR"},
    }],
    "bench": [
        {**BENCH, "leads": {"resistance_ohm": 0.004}},
        {**BENCH, "leads": {"awg": 10, "length_m": 1, "temperature_C": 20}},
        {"schema": "sagbench/bench/1", "load": {"port": "virtual", "max_current_A": 30, "max_power_W": 300,
                                                "max_voltage_V": 60}, "leads": {"area_mm2": 6, "length_m": 1},
         "simulated_room_C": -8},
    ],
    "radio": [{**RADIO, "cable_ohm": 0.01}, {**RADIO, "cable": {"area_mm2": 6, "length_m": 1, "temperature_C": 20}},
              {**RADIO, "cable": {"awg": 10, "length_m": 1}}],
    "operation": [{
        "schema": "sagbench/operation/1", "name": "O", "radio": RADIO, "mode": "ssb", "transmit_share": 0.3, "hours": 4,
        "other_loads_W": 5, "recharge_W": 20, "sun_hours": 3, "carry_limit_kg": 2, "temperature_C": 5,
    }],
    "plan": [
        plan({"do": "rest", "minutes": 10}, {"do": "rest", "seconds": 3}, {"do": "capacity", "rate_It": 0.2},
             {"do": "capacity", "current_A": 2}),
        plan({"do": "peak-current", "currents_A": [5, 10], "hold_s": 10, "at_charge": [0.9, 0.5],
              "find_board_trip": True, "up_to_A": 30, "two_point": False}),
        plan(TRANSMIT),
        plan({"do": "transmit", "radio": RADIO, "mode": "ssb", "transmit_share": 0.3, "seconds": 5, "voice_step_s": 0.1}),
    ],
}

VALUES = [None, True, False, "", "x", "two\nlines", "x" * 201, "ssb", "ft8", "cw", "AGM", "constant-power", "virtual",
          "tcp:a:1", "tcp:a", "2026-13-01", "2024-02-29", -1, 0, 1e-9, 0.05, 0.3, 0.5, 1, 1.5, 10, 40, 41, 61, 100, 151,
          301, 601, 1001, 2e4, 1e5, 1e8, [], [1], [0.5], [0], ["x"], {}, {"x": 1}]

# Where the reader knows a rule that a schema cannot say (told in the schema's description): paths in the file.
BEYOND = {
    "pack": {"chemistry", "series", "end_of_discharge_V", "end_of_charge_V", "max_temperature_C"},
    "bench": {"load.port", "meter.port", "meter.nplc", "leads.length_m", "leads.area_mm2", "leads.awg"},
    "radio": {"supply_min_V", "supply_max_V", "supply_nominal_V", "clips_below_V", "restart_V", "transmit_idle_A",
              "transmit_peak_A", "receive_A", "cable.length_m", "cable.area_mm2"},
    "operation": {"hours", "sun_hours", "radio"},
    "plan": {"steps.0.currents_A", "steps.0.currents_A.0", "steps.0.currents_A.1", "steps.0.up_to_A", "steps.0.radio",
             "steps.0.text"},
}


def validator(kind):
    schemas = {path.as_uri(): json.loads(path.read_text(encoding="utf-8")) for path in SCHEMAS.glob("*.json")}
    here = (SCHEMAS / f"{kind}.schema.json").as_uri()
    jsonschema.Draft202012Validator.check_schema(schemas[here])
    resolver = jsonschema.RefResolver(here, schemas[here], store=schemas)
    return jsonschema.Draft202012Validator(schemas[here], resolver=resolver)


def read(kind, documents):
    with tempfile.NamedTemporaryFile("w", suffix=".json", encoding="utf-8") as file:
        json.dump(documents, file)
        file.flush()
        told = subprocess.run([TOOL, "read", kind, file.name, str(EXAMPLES)], check=True, capture_output=True, text=True)
    return told.stdout.splitlines()


def places(value, path=()):
    """Every place in a document, the document itself left out."""
    parts = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, part in parts:
        yield (*path, key)
        if key != "radio":  # has a schema of its own
            yield from places(part, (*path, key))


def changed(document, path, change):
    result = copy.deepcopy(document)
    holder = result
    for key in path[:-1]:
        holder = holder[key]
    change(holder, path[-1])
    return result


def variants(document):
    for path in places(document):
        name = ".".join(map(str, path))
        yield name, changed(document, path, lambda holder, key: holder.pop(key))
        for value in VALUES:
            yield name, changed(document, path, lambda holder, key: holder.__setitem__(key, value))
        yield name, changed(document, path, lambda holder, key: isinstance(holder[key], dict)
                            and holder[key].__setitem__("unknown", 1))


def keys_of(schema):
    """Of all objects in it, those behind references too."""
    keys = set()
    if isinstance(schema, dict):
        keys |= set(schema.get("properties", ()))
        for part in schema.values():
            keys |= keys_of(part)
    elif isinstance(schema, list):
        for part in schema:
            keys |= keys_of(part)
    return keys


class FileSchemas(unittest.TestCase):
    def test_every_example_is_valid(self):
        seen = set()
        for path in EXAMPLES.rglob("*.json"):
            document = json.loads(path.read_text(encoding="utf-8"))
            kind = document["schema"].split("/")[1]
            with self.subTest(path.name):
                validator(kind).validate(document)
            seen.add(kind)
        self.assertEqual({*FULL, "dialect"}, seen)

    def test_the_full_files_have_every_key(self):
        for kind, documents in FULL.items():
            used = {key for document in documents for path in places(document) for key in path if isinstance(key, str)}
            schema = json.loads((SCHEMAS / f"{kind}.schema.json").read_text(encoding="utf-8"))
            self.assertEqual(keys_of(schema), used, kind)

    def test_readers_and_schemas_agree_value_by_value(self):
        for kind, documents in FULL.items():
            checks = validator(kind)
            tried = [("", document) for document in documents]
            tried += [variant for document in documents for variant in variants(document)]
            answers = read(kind, [document for _, document in tried])
            self.assertEqual(len(tried), len(answers))
            self.assertEqual({"accepted"}, set(answers[: len(documents)]), kind)
            for (place, document), answer in zip(tried, answers):
                valid = checks.is_valid(document)
                if valid != (answer == "accepted") and not (valid and place in BEYOND[kind]):
                    self.fail(f"{kind}, {place}: schema says {valid}, reader: {answer}\n{json.dumps(document)}")

    def test_what_new_asks_for_is_in_the_schema(self):
        for kind in set(FULL) - {"plan"}:  # whose questions are not about its keys
            schema = json.loads((SCHEMAS / f"{kind}.schema.json").read_text(encoding="utf-8"))
            told = subprocess.run([TOOL, "keys", kind], check=True, capture_output=True, text=True).stdout.split()
            self.assertLessEqual({key for words in told for key in words.split(".")}, keys_of(schema), kind)
            self.assertLessEqual(set(schema["required"]) - {"schema"}, {words.split(".")[0] for words in told}, kind)


if __name__ == "__main__":
    unittest.main()
