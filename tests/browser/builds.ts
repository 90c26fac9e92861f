// The daemon as if its page came from one build or another: the same files, with another name of
// the build in the index and in the service worker.
import { createServer, request, type Server } from 'node:http';
import type { AddressInfo, Socket } from 'node:net';

export class Builds {
  build = 'first';
  private readonly sockets = new Set<Socket>();

  private constructor(
    private readonly server: Server,
    private port = 0,
  ) {}

  static async of(daemon: string): Promise<Builds> {
    const server = createServer();
    const builds = new Builds(server);
    server.on('connection', (socket) => {
      builds.sockets.add(socket);
      socket.on('close', () => builds.sockets.delete(socket));
    });
    server.on('request', (asked, answer) => {
      const { 'accept-encoding': _, ...headers } = asked.headers;
      const passed = request(`${daemon}${asked.url}`, { method: asked.method, headers }, (told) => {
        if (asked.url !== '/' && asked.url !== '/worker.js') {
          answer.writeHead(told.statusCode!, told.headers);
          told.pipe(answer);
          return;
        }
        let text = '';
        told.setEncoding('utf8');
        told.on('data', (part: string) => (text += part));
        told.on('end', () => {
          const { 'content-length': __, etag: ___, ...kept } = told.headers;
          const version = (name: string) => text.replace(/(["`']?version["`']?:\s*["`'])[0-9a-f]+/, `$1${name}`);
          const body = asked.url === '/' ? text.replace('<title>', `<meta name="build" content="${builds.build}"><title>`) : version(builds.build);
          answer.writeHead(told.statusCode!, kept).end(body);
        });
      });
      passed.on('error', () => answer.destroy());
      asked.pipe(passed);
      answer.on('close', () => passed.destroy());
    });
    await builds.open();
    return builds;
  }

  get address(): string {
    return `http://localhost:${this.port}`;
  }

  async open(): Promise<void> {
    await new Promise<void>((listening) => this.server.listen(this.port, 'localhost', listening));
    this.port = (this.server.address() as AddressInfo).port;
  }

  /** Nobody answers there any more, as when the daemon has ended. */
  async close(): Promise<void> {
    const closed = new Promise((done) => this.server.close(done));
    for (const socket of this.sockets) socket.destroy();
    await closed;
  }

  /** Breaks every connection, as a restart does. */
  async restart(): Promise<void> {
    await this.close();
    await this.open();
  }
}
