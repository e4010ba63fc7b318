// A wire to the server that can be cut, or lose answers on their way back.
import { createServer, request, type Server } from "node:http";

export class Wire {
  loses = false;
  private server: Server;
  origin = "";

  constructor(public to: string) {
    this.server = createServer((asked, answered) => {
      const target = new URL(this.to);
      const forwarded = request(
        {
          host: target.hostname,
          port: target.port,
          method: asked.method,
          path: asked.url,
          headers: asked.headers,
        },
        (response) => {
          // The server has done it; the phone does not hear of it.
          if (this.loses && asked.method === "POST") {
            response.resume();
            response.on("end", () => answered.destroy());
            return;
          }
          answered.writeHead(response.statusCode ?? 500, response.headers);
          response.pipe(answered);
        },
      );
      forwarded.once("error", () => answered.destroy());
      asked.pipe(forwarded);
    });
  }

  async start(): Promise<void> {
    await new Promise<void>((resolve) => this.server.listen(0, "127.0.0.1", resolve));
    const address = this.server.address();
    if (address === null || typeof address === "string") throw new Error("no port");
    this.origin = `http://127.0.0.1:${address.port}`;
  }

  async stop(): Promise<void> {
    this.server.closeAllConnections();
    await new Promise((resolve) => this.server.close(resolve));
  }
}
