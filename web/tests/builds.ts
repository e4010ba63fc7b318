// A server whose pages are renewed: what stands there then is the same as another build, in which every file has another
// name, and those of before are gone.
import { createServer, request, type IncomingMessage, type Server, type ServerResponse } from "node:http";

const RENEWED = "-renewed";
const ASSET = /[\w.-]+(?=\.(?:js|css|woff2)\b)/g;
/** The hash of all files, as the service worker has it. */
const HASH = /\b[0-9a-f]{16}\b/g;
const TEXT = /^(?:text\/|application\/manifest)/;

export class Builds {
  isRenewed = false;
  readonly #to: URL;
  readonly #server: Server;
  /** The names of all assets, without their endings. */
  readonly #assets = new Set<string>();
  origin = "";

  constructor(to: string) {
    this.#to = new URL(to);
    this.#server = createServer((asked, answered) => this.#answer(asked, answered));
  }

  async start(): Promise<void> {
    const worker = await (await fetch(new URL("/service-worker.js", this.#to))).text();
    for (const [, name] of worker.matchAll(/\/assets\/([\w.-]+)\.\w+/g)) this.#assets.add(name!);
    await new Promise<void>((resolve) => this.#server.listen(0, "127.0.0.1", resolve));
    const address = this.#server.address();
    if (address === null || typeof address === "string") throw new Error("no port");
    this.origin = `http://127.0.0.1:${address.port}`;
  }

  async stop(): Promise<void> {
    this.#server.closeAllConnections();
    await new Promise((resolve) => this.#server.close(resolve));
  }

  #answer(asked: IncomingMessage, answered: ServerResponse): void {
    const path = asked.url ?? "/";
    const isOfPages = !path.startsWith("/api/");
    if (this.isRenewed && path.startsWith("/assets/") && !path.includes(RENEWED)) {
      answered.writeHead(404).end();
      return;
    }
    const headers = { ...asked.headers };
    // Texts are rewritten: they may not come pressed, nor be told to be the same as before.
    if (isOfPages) for (const name of ["accept-encoding", "if-none-match"]) delete headers[name];
    const forwarded = request(
      {
        host: this.#to.hostname,
        port: this.#to.port,
        method: asked.method,
        path: path.replace(`${RENEWED}.`, "."),
        headers,
      },
      (response) => {
        const status = response.statusCode ?? 500;
        const isText = TEXT.test(response.headers["content-type"] ?? "");
        if (!(this.isRenewed && isOfPages && isText)) {
          answered.writeHead(status, response.headers);
          response.pipe(answered);
          return;
        }
        const chunks: Buffer[] = [];
        response.on("data", (chunk: Buffer) => chunks.push(chunk));
        response.on("end", () => {
          const { "content-length": _, etag: __, ...told } = response.headers;
          answered.writeHead(status, told);
          answered.end(this.#renewed(Buffer.concat(chunks).toString()));
        });
      },
    );
    forwarded.once("error", () => answered.destroy());
    asked.pipe(forwarded);
  }

  #renewed(text: string): string {
    return text
      .replace(ASSET, (name) => (this.#assets.has(name) ? `${name}${RENEWED}` : name))
      .replace(HASH, "0".repeat(16));
  }
}
