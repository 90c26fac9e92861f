// A page of one number and no script: what the browser itself takes until something is painted.
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';

const PAGE = '<!doctype html><html lang="en"><head><meta charset="utf-8" /><title>number</title></head><body><p class="wheel"><b class="figure">0.5</b></p></body></html>';

export class BareNumber {
  private constructor(private readonly server: Server, readonly address: string) {}

  static async start(): Promise<BareNumber> {
    const server = createServer((_, answer) => answer.writeHead(200, { 'content-type': 'text/html' }).end(PAGE));
    await new Promise<void>((listens) => server.listen(0, '127.0.0.1', listens));
    return new BareNumber(server, `http://127.0.0.1:${(server.address() as AddressInfo).port}`);
  }

  stop(): void {
    this.server.close();
  }
}
