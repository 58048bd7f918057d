"""A watcher of the live page: HTTP, and as much of WebSocket (RFC 6455) as one needs who mostly listens."""

import base64
import hashlib
import http.client
import json
import os
import re
import socket
import struct
import threading

GUID = "258EAFA5-E914-47DA-95CA-C5AB0DC85B11"
URL = re.compile(r"live page: http://(\[[^]]*\]|[^:/]+):(\d+)/(?:#(\w+))?")
PATIENCE_S = 60


class Page:
    """One place where the page is served."""

    def __init__(self, host, port, token=None):
        self.host, self.port, self.token = host, port, token

    @property
    def name(self):
        return f"{self.host}:{self.port}"

    def ask(self, path, method="GET", body=None, **headers):
        """Status, fields, body. Headers by keyword, "_" for "-"; None leaves out what is sent usually."""
        connection = http.client.HTTPConnection(self.host, self.port, timeout=PATIENCE_S)
        sent = {"Host": self.name}
        if self.token:
            sent["Authorization"] = f"Bearer {self.token}"
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in sent.items():
            if value is not None:
                connection.putheader(name, value)
        if body is not None:
            connection.putheader("Content-Length", str(len(body)))
        connection.endheaders(body.encode() if body is not None else None)
        answer = connection.getresponse()
        content = answer.read()
        connection.close()
        return answer.status, dict(answer.getheaders()), content

    def status(self, path, method="GET", body=None, **headers):
        return self.ask(path, method, body, **headers)[0]

    def json(self, path):
        status, _, content = self.ask(path)
        if status != 200:
            raise AssertionError(f"{path}: {status} {content}")
        return json.loads(content)

    def stop(self, **headers):
        status, _, content = self.ask(
            "/api/stop", "POST", '{"stop": true}', **({"Content_Type": "application/json"} | headers)
        )
        return status, json.loads(content)

    def raw(self, sent, patience_s=PATIENCE_S):
        """All that comes back, until the other side closes."""
        with socket.create_connection((self.host, self.port), timeout=patience_s) as line:
            line.sendall(sent)
            received = b""
            while chunk := line.recv(65536):
                received += chunk
            return received


class Refused(Exception):
    """The status in place of an upgrade."""


def watcher_request(page, key, query="", **headers):
    """The bytes that ask for the WebSocket."""
    protocols = "sagbench.1" + (f", token.{page.token}" if page.token else "")
    fields = {
        "Host": page.name,
        "Connection": "Upgrade",
        "Upgrade": "websocket",
        "Sec-WebSocket-Version": "13",
        "Sec-WebSocket-Key": key,
        "Sec-WebSocket-Protocol": protocols,
    } | {name.replace("_", "-"): value for name, value in headers.items()}
    text = "".join(f"{name}: {value}\r\n" for name, value in fields.items())
    return f"GET /api/live{query} HTTP/1.1\r\n{text}\r\n".encode()


class Watcher:
    """Connected when it is made; a thread takes in what comes. `source`: an address of this computer to come from."""

    def __init__(self, page, query="", source=None, **headers):
        self.line = socket.create_connection(
            (page.host, page.port), PATIENCE_S, (source, 0) if source else None
        )
        key = base64.b64encode(os.urandom(16)).decode()
        self.line.sendall(watcher_request(page, key, query, **headers))
        self.rest = b""
        head = self.until(b"\r\n\r\n").decode()
        self.status = int(head.split()[1])
        if self.status != 101:
            self.line.close()
            raise Refused(self.status)
        accepted = base64.b64encode(hashlib.sha1((key + GUID).encode()).digest()).decode()
        assert f"Sec-WebSocket-Accept: {accepted}" in head, head
        assert "Sec-WebSocket-Protocol: sagbench.1" in head, head
        self.messages, self.closed = [], False
        self.news = threading.Condition()
        self.thread = threading.Thread(target=self.listen, daemon=True)
        self.thread.start()

    def until(self, mark):
        while mark not in self.rest:
            chunk = self.line.recv(65536)
            if not chunk:
                raise ConnectionError("closed")
            self.rest += chunk
        taken, self.rest = self.rest.split(mark, 1)
        return taken

    def take(self, count):
        while len(self.rest) < count:
            chunk = self.line.recv(65536)
            if not chunk:
                raise ConnectionError("closed")
            self.rest += chunk
        taken, self.rest = self.rest[:count], self.rest[count:]
        return taken

    def frame(self):
        """One frame: its kind, whether it is a message's last, and what is in it."""
        first, length = self.take(2)
        if length == 126:
            (length,) = struct.unpack(">H", self.take(2))
        elif length == 127:
            (length,) = struct.unpack(">Q", self.take(8))
        return first & 0xF, first >= 0x80, self.take(length)

    def listen(self):
        text = b""
        try:
            while True:
                kind, last, content = self.frame()
                if kind == 8:
                    break
                if kind > 1:
                    continue
                text += content
                if not last:
                    continue
                with self.news:
                    self.messages.append(json.loads(text))
                    self.news.notify_all()
                text = b""
        except (OSError, ConnectionError):
            pass  # it was closed, by whomever
        with self.news:
            self.closed = True
            self.news.notify_all()

    def say(self, content, kind=1):
        """Masked, as a client must."""
        mask = os.urandom(4)
        masked = bytes(byte ^ mask[i % 4] for i, byte in enumerate(content))
        length = len(content)
        size = bytes([0x80 | length]) if length < 126 else struct.pack(">BH", 0x80 | 126, length)
        self.line.sendall(bytes([0x80 | kind]) + size + mask + masked)

    def wait_for(self, true_of):
        """Until `true_of(self)`; False when nothing more can come."""
        with self.news:
            self.news.wait_for(lambda: true_of(self) or self.closed, PATIENCE_S)
            return true_of(self)

    def of_type(self, kind):
        return [message for message in self.messages if message["type"] == kind]

    def samples(self):
        """(time, voltage, current), each as often as it came; a history begins anew."""
        rows = []
        for message in list(self.messages):
            if message["type"] == "history":
                rows = []
            if "columns" in message:
                columns = message["columns"]
                rows += zip(columns["time_s"], columns["voltage_V"], columns["current_A"])
        return rows

    def close(self):
        try:
            self.line.shutdown(socket.SHUT_RDWR)
        except OSError:
            pass  # it is closed already
        self.line.close()
        self.thread.join()


class Told:
    """What a program says on stderr, line by line, while it runs."""

    def __init__(self, process):
        self.lines = []
        self.news = threading.Condition()
        self.ended = False
        self.process = process
        self.thread = threading.Thread(target=self.listen, daemon=True)
        self.thread.start()

    def listen(self):
        for line in self.process.stderr:
            with self.news:
                self.lines.append(line)
                self.news.notify_all()
        with self.news:
            self.ended = True
            self.news.notify_all()

    def pages(self, count=1):
        """The addresses that were told, once there are so many."""
        with self.news:
            self.news.wait_for(lambda: len(self.found()) >= count or self.ended, PATIENCE_S)
        found = self.found()
        if len(found) < count:
            raise AssertionError("".join(self.lines))
        return [Page(host.strip("[]"), int(port), token) for host, port, token in found]

    def close(self):
        if self.process.poll() is None:
            self.process.kill()
        self.thread.join()

    def found(self):
        return URL.findall("".join(self.lines))
