#!/usr/bin/python3
"""Bad input: one clear line, the right exit code, the load never on, no half-written file, nothing lost."""

import os
import socket
import subprocess
import unittest

from scenario import DONE, INSTRUMENT, PROGRAM, USER, Scenario, bench, pack, plan


class BadFile(Scenario):
    """The files a user writes. A server stands by, to see that the load stays off."""

    def refused(self, *words, bench_json=None, pack_json=None, plan_json=None):
        server = self.serve()
        bench_json = bench_json or bench(f"tcp:{server.address}")
        result = self.sagbench(*self.run_arguments(bench_json, pack_json, plan_json))
        self.assert_one_line(result, USER, *words)
        self.assert_never_on(server)

    def test_json_that_breaks_off_is_named_with_its_line(self):
        self.refused(
            "pack.json",
            "3",
            pack_json='{"schema": "sagbench/pack/1",\n "name": "Thimble",\n "series" 4}\n',
        )

    def test_unknown_key(self):
        self.refused("pack.json", "capacity_mAh", pack_json=pack(capacity_mAh=3))

    def test_missing_key(self):
        without = pack()
        del without["rated_capacity_Ah"]
        self.refused("pack.json", "rated_capacity_Ah", pack_json=without)

    def test_text_where_a_number_belongs(self):
        self.refused(
            "pack.json", "rated_capacity_Ah", "10 Ah", pack_json=pack(rated_capacity_Ah="10 Ah")
        )

    def test_wrong_schema(self):
        self.refused(
            "plan.json", "sagbench/plan/1", plan_json={"schema": "sagbench/pack/1", "steps": []}
        )

    def test_unknown_chemistry_lists_those_there_are(self):
        self.refused("chemistry", "LiPo", "LFP", pack_json=pack(chemistry="LiPo"))

    def test_cut_off_below_the_floor_of_the_chemistry(self):
        self.refused("end_of_discharge_V", "7.2", pack_json=pack(end_of_discharge_V=7.2))

    def test_charge_end_above_the_chemistry(self):
        self.refused("end_of_charge_V", "16.8", pack_json=pack(end_of_charge_V=16.8))

    def test_temperature_above_the_chemistry(self):
        self.refused("max_temperature_C", "95", pack_json=pack(max_temperature_C=95))

    def test_negative_capacity(self):
        self.refused("rated_capacity_Ah", pack_json=pack(rated_capacity_Ah=-10))

    def test_five_cells_at_a_four_cell_pack(self):
        self.refused("5S", pack_json=pack(series=5, end_of_discharge_V=12.5))

    def test_current_above_the_pack(self):
        self.refused("plan.json", "3", plan_json=plan({"do": "capacity", "current_A": 3}))

    def test_current_above_the_fuse(self):
        self.refused("1.2", "fuse", pack_json=pack(fuse_A=1))

    def test_load_too_small_for_the_plan(self):
        server = self.serve()
        result = self.sagbench(*self.run_arguments(bench(f"tcp:{server.address}", max_current_A=1)))
        self.assert_one_line(result, USER, "1.2")
        self.assert_never_on(server)

    def test_power_too_small_for_the_plan(self):
        server = self.serve()
        result = self.sagbench(*self.run_arguments(bench(f"tcp:{server.address}", max_power_W=10)))
        self.assert_one_line(result, USER, "10")
        self.assert_never_on(server)

    def test_plan_without_steps(self):
        self.refused("plan.json", "steps", plan_json={"schema": "sagbench/plan/1", "steps": []})

    def test_unknown_step(self):
        self.refused("plan.json", "charge", plan_json=plan({"do": "charge"}))

    def test_capacity_step_with_two_rates(self):
        self.refused(
            "plan.json",
            "rate_It",
            plan_json=plan({"do": "capacity", "rate_It": 0.2, "current_A": 1}),
        )

    def transmit(self, radio_keys=None, **keys):
        radio = {
            "schema": "sagbench/radio/1",
            "name": "R",
            "class": "QRP",
            "supply_min_V": 10,
            "supply_max_V": 15,
            "receive_A": 0.1,
            "transmit_peak_A": 1,
        } | (radio_keys or {})
        step = {"do": "transmit", "radio": radio, "mode": "cw", "transmit_share": 0.5, "minutes": 1}
        return plan(step | keys)

    def test_transmit_share_above_one(self):
        self.refused("transmit_share", "1.5", plan_json=self.transmit(transmit_share=1.5))

    def test_radio_that_drops_out_above_the_resting_voltage(self):
        tall = self.transmit({"supply_min_V": 14.2})
        self.refused("plan.json", "steps[0].radio.supply_min_V", "14.2 V", "rests at", plan_json=tall)

    def test_radio_that_bears_less_than_the_resting_voltage(self):
        short = self.transmit({"supply_max_V": 11})
        self.refused("plan.json", "steps[0].radio.supply_max_V", "11 V", "rests at", plan_json=short)

    def test_restart_below_the_drop_out(self):
        wrong = self.transmit({"restart_V": 9.5})
        self.refused("restart_V", "9.5", "supply_min_V (10 V)", plan_json=wrong)

    def test_text_with_a_sign_that_has_no_code(self):
        self.refused("plan.json", "text", "CQ #", '"#" has none', plan_json=self.transmit(text="CQ #"))

    def test_text_for_a_voice(self):
        self.refused("plan.json", "text", "only cw", plan_json=self.transmit(text="CQ", mode="ssb"))

    def test_speed_that_nobody_keys(self):
        self.refused("words_per_minute", "200", "60", plan_json=self.transmit(words_per_minute=200))

    def test_rhythm_for_slots(self):
        self.refused("rhythm", "qso", "ft8", plan_json=self.transmit(rhythm="qso", mode="ft8"))

    def test_radio_file_that_is_not_there(self):
        step = {
            "do": "transmit",
            "radio": "attic.json",
            "mode": "cw",
            "transmit_share": 0.5,
            "minutes": 1,
        }
        self.refused("attic.json", plan_json=plan(step))

    def test_port_that_is_none(self):
        result = self.sagbench(*self.run_arguments(bench("COM3")))
        self.assert_one_line(result, USER, "bench.json", "port", "COM3")


class BadCommandLine(Scenario):
    def test_missing_file(self):
        arguments = self.run_arguments(bench("tcp:127.0.0.1:9"))
        arguments[arguments.index("--pack") + 1] = self.folder / "nowhere.json"
        self.assert_one_line(self.sagbench(*arguments), USER, "nowhere.json")

    def test_unknown_command(self):
        self.assertEqual(USER, self.sagbench("discharge").returncode)

    def test_missing_option(self):
        result = self.sagbench("run", "--bench", "bench.json")
        self.assertEqual(USER, result.returncode)
        self.assertIn("--pack", result.stderr)

    def test_seed_that_is_no_number(self):
        result = self.sagbench("demo", "--out", self.folder / "demo", "--seed", "one")
        self.assertEqual(USER, result.returncode)
        self.assertFalse((self.folder / "demo").exists())


class BadInstrument(Scenario):
    def test_nobody_listens(self):
        with socket.create_server(("127.0.0.1", 0)) as closed:
            port = closed.getsockname()[1]
        result = self.sagbench(*self.run_arguments(bench(f"tcp:127.0.0.1:{port}")))
        self.assert_one_line(result, INSTRUMENT, f"127.0.0.1:{port}")

    def test_no_such_device(self):
        result = self.sagbench(*self.run_arguments(bench("/dev/ttyNOWHERE")))
        self.assert_one_line(result, INSTRUMENT, "/dev/ttyNOWHERE")

    def test_meter_that_is_not_there(self):
        server = self.serve()
        result = self.sagbench(
            *self.run_arguments(
                bench(f"tcp:{server.address}") | {"meter": {"port": "tcp:127.0.0.1:1"}}
            )
        )
        self.assert_one_line(result, INSTRUMENT, "meter")
        self.assert_never_on(server)


class BadArchive(Scenario):
    def test_folder_that_is_not_there(self):
        server = self.serve()
        arguments = self.run_arguments(bench(f"tcp:{server.address}"))
        arguments[arguments.index("--archive") + 1] = self.folder / "attic" / "club.db"
        self.assert_one_line(self.sagbench(*arguments), USER, "club.db")
        self.assert_never_on(server)

    def test_file_that_is_no_archive_is_left_as_it_was(self):
        server = self.serve()
        self.archive.write_text("minutes of the meeting\n" * 100)
        self.assert_one_line(
            self.sagbench(*self.run_arguments(bench(f"tcp:{server.address}"))), USER, "club.db"
        )
        self.assert_never_on(server)
        self.assertEqual("minutes of the meeting\n" * 100, self.archive.read_text())

    def test_reading_never_makes_an_archive(self):
        for command in (
            ["runs"],
            ["analyse", "2"],
            ["report", "2", "--out", "r.pdf"],
            ["compare", "2", "--out", "c.pdf"],
        ):
            with self.subTest(command=command[0]):
                self.assert_one_line(
                    self.sagbench(command[0], "--archive", self.archive, *command[1:]),
                    USER,
                    "club.db",
                )
                self.assertEqual([], list(self.folder.iterdir()))


class BadRun(Scenario):
    """An archive with one imported run."""

    def setUp(self):
        super().setUp()
        rows = "".join(f"{10 * i},{13.3 - 0.03 * i:.3f},1.0\n" for i in range(110))
        csv = self.write("discharge.csv", "time_s,voltage_V,current_A\n" + rows)
        result = self.import_csv(csv)
        self.assertEqual(DONE, result.returncode, result.stderr)
        self.before = self.archive.read_bytes()
        self.run_id = result.stdout.strip()

    def import_csv(self, csv, *options):
        return self.sagbench(
            "import",
            "--archive",
            self.archive,
            "--pack",
            self.write("pack.json", pack(rated_capacity_Ah=0.3)),
            csv,
            *options,
        )

    def test_unknown_run(self):
        for command in ("analyse", "report", "compare"):
            with self.subTest(command=command):
                out = ["--out", self.folder / "out.pdf"] if command != "analyse" else []
                result = self.sagbench(
                    command, "--archive", self.archive, "19990101-000000-ffff", *out
                )
                self.assert_one_line(result, USER, "19990101-000000-ffff")
                self.assertFalse((self.folder / "out.pdf").exists())

    def test_report_to_a_place_that_is_not_there(self):
        out = self.folder / "attic" / "report.pdf"
        for command in ("report", "compare"):
            with self.subTest(command=command):
                result = self.sagbench(
                    command, "--archive", self.archive, self.run_id, "--out", out
                )
                self.assert_one_line(result, USER, "report.pdf")

    def test_report_onto_a_folder_leaves_nothing_behind(self):
        (self.folder / "report.pdf").mkdir()
        before = sorted(self.folder.iterdir())
        result = self.sagbench(
            "report", "--archive", self.archive, self.run_id, "--out", self.folder / "report.pdf"
        )
        self.assert_one_line(result, USER, "report.pdf")
        self.assertEqual(before, sorted(self.folder.iterdir()))

    def test_operation_with_a_transmit_share_above_one(self):
        radio = {
            "schema": "sagbench/radio/1",
            "name": "R",
            "class": "QRP",
            "supply_min_V": 10,
            "supply_max_V": 15,
            "receive_A": 0.1,
            "transmit_peak_A": 1,
        }
        operation = self.write(
            "operation.json",
            {
                "schema": "sagbench/operation/1",
                "name": "O",
                "radio": radio,
                "mode": "cw",
                "transmit_share": 1.5,
                "hours": 2,
            },
        )
        result = self.sagbench(
            "endurance", "--archive", self.archive, self.run_id, "--operation", operation
        )
        self.assert_one_line(result, USER, "operation.json", "transmit_share", "1.5")

    def test_csv_faults_are_named_and_add_no_run(self):
        header = "time_s,voltage_V,current_A\n"
        for name, text, words in (
            ("empty", "", ["bad.csv"]),
            ("column missing", "time_s,voltage_V\n0,13\n", ["current_A"]),
            ("text for a number", header + "0,13,1\n10,low,1\n", ["bad.csv", "3", "low"]),
            ("not finite", header + "0,13,1\n10,nan,1\n", ["bad.csv", "3"]),
            ("time backwards", header + "0,13,1\n10,13,1\n5,13,1\n", ["bad.csv", "4"]),
        ):
            with self.subTest(name):
                self.assert_one_line(self.import_csv(self.write("bad.csv", text)), USER, *words)
                self.assertEqual(self.run_id, self.only_run()["id"])

    def test_csv_that_is_not_there(self):
        self.assert_one_line(self.import_csv(self.folder / "nowhere.csv"), USER, "nowhere.csv", "no such file")

    def test_report_or_folder_that_is_not_there(self):
        for name in ("nowhere.pdf", "nowhere"):
            result = self.sagbench("import", "--archive", self.archive, self.folder / name)
            self.assert_one_line(result, USER, f"{name}: no such file or folder")


class Output(Scenario):
    """What was to be printed and cannot be is no result; whoever has read enough is told nothing."""

    def explain(self, **where):
        return subprocess.run([PROGRAM, "explain"], stderr=subprocess.PIPE, text=True, check=False, **where)

    def test_full_disk(self):
        with open("/dev/full", "w", encoding="ascii") as full:
            result = self.explain(stdout=full)
        self.assertEqual(USER, result.returncode)
        self.assertEqual("sagbench: the output cannot be written: No space left on device\n", result.stderr)

    def test_reader_that_left(self):
        reading, writing = os.pipe()
        os.close(reading)
        with open(writing, "w", encoding="ascii") as pipe:
            result = self.explain(stdout=pipe)
        self.assertEqual((DONE, ""), (result.returncode, result.stderr))


if __name__ == "__main__":
    unittest.main()
