#!/usr/bin/python3
"""The live page of a run and of an archive: what it tells, whom, and that a run does not care."""

import contextlib
import json
import os
import signal
import socket
import time
import unittest

from live_client import Page, Refused, Told, Watcher, watcher_request
from scenario import DONE, OPERATOR, USER, Scenario, bench, pack, plan, read_archive

RESTED = plan({"do": "rest", "seconds": 2}, {"do": "capacity", "current_A": 1.2})


def own_address():
    """One of this computer's that is not loopback; none where it has no network. Nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        try:
            line.connect(("192.0.2.1", 9))
        except OSError:
            return None
        address = line.getsockname()[0]
    return None if address.startswith("127.") else address


class LiveScenario(Scenario):
    def setUp(self):
        super().setUp()
        self.server = self.serve()

    def start_run(self, *more, address="127.0.0.1:0", plan_json=RESTED):
        arguments = self.run_arguments(
            bench(f"tcp:{self.server.address}"), pack(), plan_json
        )
        self.process = self.start(*arguments, "--live", address, *more)
        self.told = Told(self.process)
        self.addCleanup(self.told.close)
        self.page = self.told.pages()[0]

    def virtual_arguments(self, name):
        channels = {"pack": 101, "cells": [102, 103, 104, 105], "temperature": 106}
        on_virtual = bench("virtual") | {"meter": {"port": "virtual", "channels": channels}}
        return self.run_arguments(on_virtual, pack(name=name, rated_capacity_Ah=2), RESTED)

    def start_live(self, *more):
        process = self.start("live", "--archive", self.archive, "--listen", "127.0.0.1:0", *more)
        told = Told(process)
        self.addCleanup(told.close)
        return process, told.pages()[0]

    def watch(self, page=None, query="", **headers):
        watcher = Watcher(page or self.page, query, **headers)
        self.addCleanup(watcher.close)
        return watcher

    def wait_until(self, true):
        end = time.monotonic() + 60
        while not true():
            self.assertLess(time.monotonic(), end, "".join(self.told.lines))
            time.sleep(0.05)

    def wait_on(self):
        self.wait_until(lambda: self.server.truth()["input_on"])

    def run_id(self):
        """Of the run that the process has told the end of."""
        return self.process.stdout.readline().strip()

    def end(self, code=DONE):
        self.assertEqual(code, self.process.wait(60), "".join(self.told.lines))
        self.told.thread.join()
        self.assertNotIn("defect", "".join(self.told.lines))

    def archived(self):
        with contextlib.closing(read_archive(self.archive)) as archive:
            return archive.execute(
                "SELECT time_s, voltage_V, current_A FROM sample ORDER BY seq"
            ).fetchall()


class WatchedRun(LiveScenario):
    def test_everybody_sees_what_the_archive_holds(self):
        self.start_run()
        whole = self.watch()
        self.wait_on()
        _, other = self.start_live()
        followed = self.watch(other)
        left = self.watch()
        left.wait_for(lambda w: len(w.samples()) > 30)
        left.close()
        first = left.samples()
        again = self.watch(query=f"?since={first[-1][0]!r}&run={left.messages[0]['run']['id']}")
        for watcher in (whole, again, followed):
            self.assertTrue(watcher.wait_for(lambda w: w.of_type("end")), "no end was told")
        archived = self.archived()
        self.assertGreater(len(archived), 60)
        self.assertEqual(archived, whole.samples())
        self.assertEqual("continues", again.messages[0]["history"])
        self.assertEqual([], again.of_type("history"))
        self.assertEqual(archived, first + again.samples())
        self.assertEqual(archived, followed.samples())
        self.check_states(whole)
        self.assertTrue(all(s["input_on"] is None for s in followed.of_type("state")))
        end = whole.of_type("end")[0]
        self.assertEqual(("done", 0, True), (end["end"], end["exit_code"], end["load_confirmed_off"]))
        for watcher in (whole, again):
            watcher.close()
        self.assertEqual(end["run"], self.run_id())
        self.end()

    def check_states(self, watcher):
        states = watcher.of_type("state")
        self.assertTrue(any(state["input_on"] for state in states))
        self.assertEqual("rest", states[0]["step"]["label"])
        self.assertEqual("capacity at 1.2 A", states[0]["next"])
        self.assertEqual(2, states[-1]["step"]["index"])
        self.assertGreater(states[-1]["charge_removed_Ah"], 0.002)
        rooms = [limit["room"] for limit in states[-1]["limits"]]
        self.assertEqual(sorted(rooms), rooms)
        self.assertIn("pack_low", [limit["id"] for limit in states[-1]["limits"]])
        history = self.page.json(f"/api/runs/{watcher.of_type('end')[0]['run']}/history")
        self.assertEqual(watcher.samples()[0][0], history["columns"]["time_s"][0])

    def test_who_misbehaves_is_dropped_and_the_run_goes_on(self):
        self.start_run()
        good, loud, long, torn = (self.watch() for _ in range(4))
        for _ in range(11):
            with contextlib.suppress(OSError):
                loud.say(b"hello")
        long.say(b"x" * 2000)
        torn.line.sendall(b"\xff" * 50)
        for bad in (loud, long, torn):
            self.assertTrue(bad.wait_for(lambda w: w.closed), "it is served still")
        self.assertTrue(good.wait_for(lambda w: w.of_type("end")))
        self.assertEqual(self.archived(), good.samples())
        good.close()
        self.end()

    def test_stays_when_told_to_until_a_signal(self):
        self.start_run("--stay")
        run = self.run_id()
        self.assertIsNone(self.process.poll())
        self.assertEqual("done", self.page.json("/api/runs")[0]["end"])
        self.assertEqual(self.analyse(run), self.page.json(f"/api/runs/{run}"))
        self.assertEqual(409, self.page.stop()[0])
        late = self.watch()
        self.assertTrue(late.wait_for(lambda w: w.of_type("end")))
        self.assertEqual(self.archived(), late.samples())
        self.assertEqual("done", late.messages[0]["run"]["ended"]["end"])
        self.process.send_signal(signal.SIGINT)
        self.end()


class Stop(LiveScenario):
    def test_from_this_computer_the_load_is_off_before_the_answer(self):
        self.start_run()
        self.wait_on()
        self.assertEqual(409, self.page.status(f"/api/runs/{self.page.json('/api/now')['run']}"))
        self.assertTrue(self.page.json("/api/now")["may_stop"])
        status, answer = self.page.stop(Origin=f"http://{self.page.name}")
        self.assert_off(self.server)
        self.assertEqual((200, True, True), (status, answer["stopped"], answer["load_off"]))
        self.end(OPERATOR)
        self.assertEqual(OPERATOR, self.only_run()["end_code"])
        self.assertEqual(answer["run"], self.only_run()["id"])

    def test_by_pages_from_elsewhere_is_refused(self):
        self.start_run()
        self.wait_on()
        page, wrong = self.page, Page(self.page.host, self.page.port)
        self.assertEqual(403, page.stop(Origin="http://example.org")[0])
        self.assertEqual(403, page.stop(Origin="null")[0])
        self.assertEqual(403, page.stop(Sec_Fetch_Site="cross-site")[0])
        self.assertEqual(415, page.stop(Content_Type="text/plain")[0])
        self.assertEqual(403, wrong.stop(Host=f"example.org:{page.port}")[0])
        self.assertEqual(403, page.status("/api/now", Host="127.0.0.1:1"))
        self.assertEqual(403, page.status("/api/now", Host=None, Origin=None))
        self.assertEqual(405, page.status("/api/stop"))
        with self.assertRaises(Refused) as refused:
            self.watch(Origin="http://example.org")
        self.assertEqual(403, refused.exception.args[0])
        self.assertTrue(self.server.truth()["input_on"])
        self.end()


class FromElsewhere(LiveScenario):
    def setUp(self):
        super().setUp()
        self.own = own_address()
        if self.own is None:
            self.skipTest("this computer has no address but loopback")
        self.start_run(address="0.0.0.0:0")
        pages = self.told.pages(2)
        self.port, self.token = pages[1].port, pages[1].token

    def test_nothing_without_the_token_all_with_it(self):
        stranger, guest = Page(self.own, self.port), Page(self.own, self.port, self.token)
        self.assertEqual(26, len(self.token))
        self.assertEqual(200, stranger.status("/"))
        self.assertEqual(401, stranger.status("/api/now"))
        self.assertEqual(401, stranger.status("/api/nothing"))
        with self.assertRaises(Refused) as refused:
            self.watch(stranger)
        self.assertEqual(401, refused.exception.args[0])
        guess = Page(self.own, self.port, "a" * 26)
        self.assertEqual(401, guess.stop()[0])
        self.assertEqual(200, guest.status("/api/now"))
        self.wait_on()
        self.assertEqual(401, stranger.stop()[0])
        self.assertTrue(self.server.truth()["input_on"])
        watcher = self.watch(guest)
        self.assertTrue(watcher.wait_for(lambda w: w.of_type("state")))
        watcher.close()
        # Guessing is slow: each wrong token counts as several requests.
        self.assertIn(429, [guess.status("/api/now") for _ in range(12)])
        self.assertTrue(self.page.json("/api/now")["may_stop"])  # on this computer, without
        time.sleep(1)  # eight requests a second are given again
        status, answer = guest.stop()
        self.assertEqual((200, True), (status, answer["load_off"]))
        self.assert_off(self.server)
        self.end(OPERATOR)


class Requests(LiveScenario):
    def test_too_large_too_slow_or_none_at_all(self):
        self.start_run()
        host = f"Host: {self.page.name}\r\n".encode()
        slow = socket.create_connection((self.page.host, self.page.port), timeout=30)
        slow.sendall(b"GET /api/now HTTP/1.1\r\n")
        begun = time.monotonic()
        head = b"GET / HTTP/1.1\r\n" + host
        large = head + b"X: " + b"a" * 20000 + b"\r\n\r\n"
        self.assertIn(b" 413 ", self.page.raw(large).split(b"\r\n")[0])
        body = b"POST /api/stop HTTP/1.1\r\n" + host + b"Content-Length: 5000\r\n\r\n"
        self.assertIn(b" 413 ", self.page.raw(body).split(b"\r\n")[0])
        self.assertIn(b" 400 ", self.page.raw(b"\x16\x03\x01\x02\x00\r\n\r\n").split(b"\r\n")[0])
        two = head + host + b"Connection: close\r\n\r\n"
        self.assertIn(b" 403 ", self.page.raw(two).split(b"\r\n")[0])
        for path in ("/../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/api/runs/.."):
            self.assertEqual(404, self.page.status(path), path)
        self.assertEqual(404, self.page.status("/api/runs/20200101-000000-0000"))
        status, fields, _ = self.page.ask("/", Origin=None)
        self.assertEqual(200, status)
        self.assertIn("default-src 'none'", fields["Content-Security-Policy"])
        self.assertEqual("nosniff", fields["X-Content-Type-Options"])
        self.assertEqual(304, self.page.status("/", If_None_Match=fields["ETag"]))
        self.assertEqual("no-store", self.page.ask("/api/now")[1]["Cache-Control"])
        self.assertEqual(b"", slow.recv(100))  # closed without a word, soon
        self.assertLess(time.monotonic() - begun, 25)
        slow.close()
        self.end()

    def test_a_place_that_cannot_be_served_is_told_before_anything_is_touched(self):
        with socket.create_server(("127.0.0.1", 0)) as taken:
            port = taken.getsockname()[1]
            for address, word in (
                (f"127.0.0.1:{port}", "in use"),
                ("192.0.2.1:8073", "192.0.2.1:8073"),
                ("8073", "no address with a port"),
            ):
                arguments = self.run_arguments(bench(f"tcp:{self.server.address}"))
                result = self.sagbench(*arguments, "--live", address)
                self.assert_one_line(result, USER, "--live", word)
        self.assert_never_on(self.server)
        self.assertFalse(self.archive.exists())
        alone = self.sagbench(*self.run_arguments(bench(f"tcp:{self.server.address}")), "--stay")
        self.assert_one_line(alone, USER, "--stay", "--live")


class Asleep:
    """A watcher that takes nothing of what it asked for."""

    def __init__(self, page):
        self.line = socket.socket()
        self.line.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        self.line.connect((page.host, page.port))
        self.line.sendall(watcher_request(page, "dGhlIHNhbXBsZSBub25jZQ=="))
        self.ends = (page.port, self.line.getsockname()[1])

    def is_served(self):
        """The server's end of the connection is open still; not asked of the line: nothing is taken from it."""
        opened = "01"
        with open("/proc/net/tcp", encoding="ascii") as table:
            rows = [row.split() for row in table.readlines()[1:]]
        ports = [tuple(int(end.rsplit(":", 1)[1], 16) for end in row[1:3]) for row in rows]
        return any(end == self.ends and row[3] == opened for end, row in zip(ports, rows))

    def taken_now(self):
        """How many bytes the server got rid of."""
        count = 0
        with contextlib.suppress(ConnectionResetError):
            while chunk := self.line.recv(65536):
                count += len(chunk)
        return count


class SlowWatchers(LiveScenario):
    COUNT = 30

    def test_who_takes_nothing_is_dropped_and_costs_no_memory(self):
        process = self.start(*self.virtual_arguments("Thimble"), "--live", "127.0.0.1:0", "--stay")
        self.told = Told(process)
        self.addCleanup(self.told.close)
        page = self.told.pages()[0]
        awake = self.watch(page)
        self.assertTrue(awake.wait_for(lambda w: w.of_type("end")))
        late = self.watch(page)
        self.assertTrue(late.wait_for(lambda w: w.of_type("end")))
        history = len(json.dumps(late.of_type("history")[0], separators=(",", ":")))
        before = self.held(process)
        asleep = [Asleep(page) for _ in range(self.COUNT)]
        for watcher in asleep:
            self.addCleanup(watcher.line.close)
        self.wait_until(lambda: all(watcher.is_served() for watcher in asleep))
        self.wait_until(lambda: not any(watcher.is_served() for watcher in asleep))
        if not os.environ.get("SAGBENCH_SANITIZE"):  # a sanitizer keeps what was freed
            self.assertLess(self.held(process) - before, self.COUNT * history / 3)
        for watcher in asleep:
            self.assertLess(watcher.taken_now(), history)
        self.assertFalse(awake.closed or late.closed, "who listens is served still")
        archived, told = self.archived(), late.samples()
        self.assertEqual((archived[0], archived[-1]), (told[0], told[-1]))
        process.send_signal(signal.SIGINT)
        self.assertEqual(DONE, process.wait(30))

    def held(self, process):
        """Bytes of memory."""
        with open(f"/proc/{process.pid}/status", encoding="ascii") as status:
            return next(int(row.split()[1]) for row in status if row.startswith("VmRSS")) * 1024


class PageOfAnArchive(LiveScenario):
    def virtual_run(self, name, seed):
        arguments = self.virtual_arguments(name)
        result = self.sagbench(*arguments, "--seed", seed)
        self.assertEqual(DONE, result.returncode, result.stderr)
        return result.stdout.strip()

    def test_answers_as_the_commands_do(self):
        one, two = self.virtual_run("Thimble", 1), self.virtual_run("Acorn", 2)
        listed = self.json_of("runs", "--archive", self.archive)
        figures = self.sagbench("analyse", "--archive", self.archive, one, "--json").stdout
        before = self.archive.read_bytes()
        process, page = self.start_live()
        self.assertEqual(listed, page.json("/api/runs"))
        self.assertEqual([two], [run["run"] for run in page.json("/api/runs?pack=acorn")])
        self.assertEqual(400, page.status("/api/runs?since=yesterday"))
        self.assertEqual(figures.encode(), page.ask(f"/api/runs/{one}")[2])
        status, fields, content = page.ask(f"/api/runs/{one}/report.pdf")
        self.assertEqual((200, "application/pdf"), (status, fields["Content-Type"]))
        self.assertEqual(b"%PDF-", content[:5])
        self.assertIn(f"{one}.pdf", fields["Content-Disposition"])
        compared = page.json(f"/api/compare?run={one}&run={two}")
        self.assertEqual([one, two], [curve["run"] for curve in compared["curves"]])
        for curve in compared["curves"]:
            self.assertEqual(len(curve["charge_Ah"]), len(curve["voltage_V"]))
            self.assertGreater(len(curve["charge_Ah"]), 10)
        part = page.json(f"/api/runs/{one}/history?from=3&to=5&columns=2")["columns"]["time_s"]
        self.assertTrue(part and all(3 <= time_s <= 5 for time_s in part), part)
        self.assertLessEqual(len(part), 12)
        now = page.json("/api/now")
        self.assertEqual(("archive", None, False), (now["mode"], now["run"], now["may_stop"]))
        self.assertEqual(409, page.stop()[0])
        watcher = self.watch(page)
        self.assertTrue(watcher.wait_for(lambda w: w.messages))
        self.assertIsNone(watcher.messages[0]["run"])
        self.assertEqual(before, self.archive.read_bytes())
        same = self.json_of("compare", "--archive", self.archive, one, two)  # keeps their figures
        self.assertEqual(same, compared["runs"])
        self.assertEqual(compared, page.json(f"/api/compare?run={one}&run={two}"))
        process.send_signal(signal.SIGTERM)
        self.assertEqual(DONE, process.wait(30))


if __name__ == "__main__":
    unittest.main()
