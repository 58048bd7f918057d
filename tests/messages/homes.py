"""Where the program's messages live in its sources, and what a person meets them as."""

# Title, what it means for the person, whole files: every sentence in them is a message.
SECTIONS = {
    "files": (
        "Your files",
        "Exit code 2. Each begins with the file, and names key and value; what stands behind the semicolon is what is accepted.",
        ["bench/files/json_reader.cpp", "bench/files/bench_file.cpp", "bench/files/pack_file.cpp",
         "bench/files/radio_file.cpp", "bench/files/plan_file.cpp", "bench/files/cable_keys.cpp",
         "bench/files/sending_keys.cpp", "bench/safety/radio_check.cpp", "bench/safety/dialect_check.cpp",
         "bench/safety/pre_check.cpp", "drivers/dialect.cpp", "drivers/dialect_file.cpp",
         "drivers/dialect_words.cpp", "drivers/json_keys.cpp"],
    ),
    "words": (
        "The command line",
        "Exit code 2.",
        ["bench/commands/hashed_things.cpp", "bench/files/photo_file.cpp", "bench/commands/run_list.cpp"],
    ),
    "archive": (
        "Archives, pictures, tables and reports",
        "Exit code 2, but what `merge` and `import` leave out: they go on with the rest. What `verify` finds is among them.",
        ["reports/archive*.cpp", "reports/sqlite_database.cpp", "reports/atomic_file.cpp",
         "reports/temporary_file_posix.cpp", "reports/alteration.cpp", "reports/measured_csv.cpp",
         "reports/samples_csv.cpp", "reports/photo.cpp", "reports/picture.cpp", "reports/pdf_attachments.cpp",
         "reports/run_claim_posix.cpp", "bench/files/run_folder_file.cpp", "bench/files/stated_seal.cpp",
         "bench/commands/command_exchange.cpp", "bench/commands/command_verify.cpp",
         "bench/commands/report_file.cpp"],
    ),
    "instruments": (
        "Instruments and the lines to them",
        "Exit code 4. Each begins with the port; in a run the record has it as the reason of the end, or as a warning where it was read again.",
        ["drivers/device_transport_posix.cpp", "drivers/electronic_load*.cpp", "drivers/meter.cpp",
         "drivers/port_*.cpp", "drivers/pty_transport.cpp", "drivers/reading.cpp", "drivers/scpi_response.cpp",
         "drivers/scpi_session*.cpp", "drivers/serial_*.cpp", "drivers/stream_transport.hpp",
         "drivers/tcp_transport.cpp", "drivers/transport.cpp", "drivers/usbtmc_*.cpp",
         "bench/commands/command_ports.cpp"],
    ),
    "probe": (
        "What `probe` could not find out",
        "No fault: the instrument's manual has it.",
        ["drivers/probe/*.cpp", "bench/commands/command_probe.cpp"],
    ),
    "run": (
        "A run: before, during, at its end",
        "Refused before it begins: 2. A safety limit: 3. An instrument: 4. The operator: 5. Notes and warnings do not end it.",
        ["bench/safety/rig*.cpp", "bench/run/controller.cpp", "bench/run/session*.cpp",
         "bench/safety/supervisor.cpp", "bench/steps/discharge_end.cpp", "bench/steps/board_search.cpp",
         "bench/steps/peak_current.cpp", "bench/steps/transmit.cpp", "bench/radio/followed_pattern.cpp",
         "bench/radio/simulated_radio.cpp", "bench/radio/loop_pace.cpp", "bench/run/predictions.cpp",
         "bench/run/foretelling.cpp", "bench/radio/reduction.cpp", "bench/run/continuation*.cpp",
         "bench/run/cut_short_runs.cpp", "bench/run/operator_recharger.cpp", "bench/safety/off_alarm.cpp",
         "bench/run/run_header.cpp", "bench/system/run_signals_posix.cpp", "bench/run/run_teller.cpp",
         "bench/commands/command_run.cpp", "bench/run/journal_writer.cpp"],
    ),
    "page": (
        "The live page",
        "An answer of the page's server; those about the address, before it is there: exit code 2.",
        ["bench/live/*.cpp"],
    ),
    "cautions": (
        "Cautions",
        "In `analyse`, `endurance`, JSON and the report.",
        ["analysis/cautions.cpp", "analysis/endurance_cautions.cpp", "analysis/field_recharge.cpp", "reports/cautions.cpp"],
    ),
    "missing": (
        "Why a figure is missing",
        "The `why` of a figure that is null, and the words behind its name in the report.",
        ["analysis/charge_circuit_fit.cpp", "analysis/charge_estimate.cpp", "analysis/circuit_fit.cpp", "analysis/delivery.cpp",
         "analysis/discharge.cpp", "analysis/end_shape.cpp", "analysis/endurance.cpp", "analysis/figures.cpp",
         "analysis/imported_discharge.cpp", "analysis/sample_series.cpp", "analysis/slow_discharge.cpp",
         "analysis/temperature_correction.cpp", "analysis/untapped_cells.cpp", "analysis/on_air.cpp", "analysis/prediction.cpp",
         "analysis/peukert.cpp", "analysis/trend.cpp", "analysis/conformance.cpp", "analysis/pack_choice.cpp"],
    ),
    "defects": (
        "A defect of the program",
        "Exit code 1, as one line behind \"a defect of sagbench, please report it\".",
        ["bench/main.cpp"],
    ),
}

# In every other file: what goes into these calls. The section it belongs to.
SINKS = {
    "InputError": "words",
    "refuse": "words",
    "ReportError": "archive",
    "ArchiveError": "archive",
    "CsvError": "archive",
    "Error": "instruments",
    "Stop": "run",
    "missing": "missing",
    "logic_error": "defects",
    "runtime_error": "defects",
    "fputs": "words",
    "say": "run",
}
# Where its sentences are no messages to a person who did something.
SILENT = ["drivers/virtual/*", "drivers/probe/probe_words.cpp", "bench/commands/man_page.cpp", "bench/commands/shell_completion.cpp", "bench/safety/safety_checks.cpp"]

# Words that stand in messages as values do: names of settings, of parts of a record, of what a probe or a rig is busy with.
NAMES = {
    "1 stop bit", "8 data bits", "DTR on", "RTS on", "no parity", "no CTS flow control", "no DSR flow control",
    "no XON/XOFF flow control", "header hash", "its head", "pack name", "pack file", "bench file", "plan file", "start time",
    "end code", "asked current", "its hash", "its seals", "its record", "the record", "its {}", "mains cycles",
    "current and voltage", "pack voltage", "pack and cells", "cell voltage", "state of the input", "the load's guards",
    "the load's voltage", "what was found", "the speed", "settings as they were", "limits of its own", "lists of currents",
    "switching off", "both readings at once", "the input", "the mode", "the current", "integration time", "asking about {}",
    "over-current protection", "over-power protection", "power protection", "low-voltage stop", "the number", "the numbers",
    "the channel", "the channels", "the remark", "page {}",
}

# Words that a line is put together from, too short to be quoted: the test that has the whole line.
PROVOKED = {
    text: "archive_check_test: Each change of a run is told, and where it is"
    for text in ("is missing", "are missing", "was added", "cannot be read")
} | {
    "not sealed": "verify_test: NotSealed.test_runs_of_an_older_archive_say_why",
    "samples {} to {}": "exchange_test: Exchange.test_a_folder_that_does_not_give_the_hash_it_states_is_refused",
    "no such file": "archive_file_test: A missing file, a missing folder and a folder are the user's errors",
    "{}: cannot be read": "measured_csv_test: A doubtful file is refused as a whole",
    "{}: is empty": "measured_csv_test: A doubtful file is refused as a whole",
    "{}: cannot be read: {}": "photo_test: Beside.test_bad_pictures",
    "at least": "pack_choice_test: bounds are told as what they are",
    "at most": "pack_choice_test: bounds are told as what they are",
    "does not suit": "rating_test: a margin must exceed its uncertainty",
    "not measured": "figures_json_test: Figures stand in the document as measured, rounded to what is known",
    "were added": "seal_test: A change of rows is placed",
    "and {} more": "exchange_test: Exchange.test_a_folder_that_does_not_give_the_hash_it_states_is_refused",
    ", {} left out": "exchange_test: Exchange.test_an_altered_run_goes_nowhere_and_keeps_none_of_the_others",
}

SYSTEM = "only where the system itself refuses"
GUEST = "only on a real serial port; `uart_guest_test` is such a one, in a guest machine where this record does not see it"
RACE = "only where another program acts at that very instant"
MEMORY = "only where memory runs out"
DEFECT = "a defect, and none is known that brings it about"

# Messages that no test brings about, and why. A new message does not belong here: it wants its test.
UNPROVOKED = {
    "cannot be locked": GUEST,
    "cannot be set to {}": GUEST,
    "cannot be taken exclusively": GUEST,
    "does not keep the setting: {}": GUEST,
    "does not tell its line settings": GUEST,
    "takes no line settings:": GUEST,
    "baud {} is not possible here: the port went to {}": GUEST,
    "not a serial port": GUEST,
    "unplugged: no such adapter is there": GUEST,
    "not a serial line": SYSTEM,
    "cannot be set to raw bytes": SYSTEM,
    "no permission to open it": SYSTEM,
    "the system does not list its serial ports": SYSTEM,
    "the host name was not found in time": SYSTEM,
    "no connection in time": SYSTEM,
    "the instrument does not react to a clear": SYSTEM,
    "the system gives no random number": SYSTEM,
    "{} has no {} {} any more": RACE,
    "run {} cannot be found again": RACE,
    "another program is changing it": RACE,
    "this computer ran out of memory": MEMORY,
    "out of memory": MEMORY,
    "the PDF library could not start: out of memory": MEMORY,
    "{}: samples {} to {} do not come back from a block as they are": DEFECT,
    "a defect of sagbench: a step asked for {} A; up to {} A is allowed": DEFECT,
    "the model has no derivatives at the minimum": DEFECT,
    "a defect of sagbench: a step asked for a list with {} A; up to {} A is allowed, and only with the input on": DEFECT,
}
