// A network that can be cut: passes bytes on from one address to another, or lets nothing through.

import {once} from "node:events";
import net from "node:net";

export class CuttableLine {
  requests = [];  // first line of each connection
  #sockets = new Set();
  #cut = false;
  #server;

  constructor(to) {
    this.#server = net.createServer((from) => this.#pass(from, to));
  }

  async listen(host, port) {
    this.#server.listen(port, host);
    await once(this.#server, "listening");
  }

  cut() {
    this.#cut = true;
    for (const socket of this.#sockets) socket.destroy();
  }

  mend() {
    this.#cut = false;
  }

  close() {
    this.cut();
    this.#server.close();
  }

  #pass(from, to) {
    if (this.#cut) {
      from.destroy();
      return;
    }
    from.once("data", (bytes) => this.requests.push(bytes.toString("latin1").split("\r\n")[0]));
    const onward = net.connect(to.port, to.host);
    for (const [one, other] of [[from, onward], [onward, from]]) {
      this.#sockets.add(one);
      one.pipe(other);
      one.on("error", () => other.destroy());
      one.on("close", () => { this.#sockets.delete(one); other.destroy(); });
    }
  }
}
