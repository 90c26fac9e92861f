// A wire between browser and daemon that can be cut without telling either end, as a radio does
// when somebody walks out of its reach.
import { connect, createServer, type AddressInfo, type Server, type Socket } from 'node:net';

export class Wire {
  private readonly pairs = new Set<[Socket, Socket]>();
  private isCut = false;

  private constructor(
    private readonly server: Server,
    private readonly to: URL,
  ) {}

  static async lay(daemon: string): Promise<Wire> {
    const server = createServer({ pauseOnConnect: true });
    const wire = new Wire(server, new URL(daemon));
    server.on('connection', (near) => wire.join(near));
    await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
    return wire;
  }

  get address(): string {
    return `http://127.0.0.1:${(this.server.address() as AddressInfo).port}`;
  }

  private join(near: Socket): void {
    const far = connect(Number(this.to.port), this.to.hostname);
    const pair: [Socket, Socket] = [near, far];
    this.pairs.add(pair);
    const part = () => {
      this.pairs.delete(pair);
      near.destroy();
      far.destroy();
    };
    for (const [from, to] of [pair, [far, near]] as const) {
      from.on('data', (bytes) => {
        // What is sent into a cut wire is gone.
        if (!this.isCut) to.write(bytes);
      });
      from.on('close', part);
      from.on('error', part);
    }
    near.resume();
  }

  /** From now on nothing gets through, and nobody is told. */
  cut(): void {
    this.isCut = true;
  }

  /** What comes from now on gets through; connections of before are broken, as their ends will find out. */
  mend(): void {
    this.isCut = false;
    for (const [near, far] of [...this.pairs]) {
      near.destroy();
      far.destroy();
    }
  }

  async take_up(): Promise<void> {
    this.mend();
    await new Promise((closed) => this.server.close(closed));
  }
}
