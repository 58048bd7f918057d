"""For scenarios about what is done with a run afterwards: an archive with one of a minute, imported."""

from scenario import DONE, RUN_ID, Scenario, pack


class WithRun(Scenario):
    def setUp(self):
        super().setUp()
        self.run_id = self.measured(self.archive, "a.csv", 1.2)

    def measured(self, archive, name, current_a):
        lines = ["time_s,voltage_V,current_A"] + [f"{second},{13 - second * 0.01},{current_a}" for second in range(60)]
        file = self.write(name, "\n".join(lines) + "\n")
        result = self.sagbench("import", "--archive", archive, "--pack", self.write("pack.json", pack()), file)
        self.assertEqual(DONE, result.returncode, result.stderr)
        return RUN_ID.search(result.stdout)[0]

    def picture(self, name, data):
        path = self.folder / name
        path.write_bytes(data)
        return path

    def photo(self, *arguments, archive=None):
        return self.sagbench("photo", "--archive", archive or self.archive, self.run_id, *arguments)

    def remark(self, *arguments):
        return self.sagbench("remark", "--archive", self.archive, self.run_id, *arguments)
