// Boards that the test itself is: each a little server that speaks lines of numbers, as a radio board does.
import { createServer, type AddressInfo, type Server, type Socket } from 'node:net';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const EVERY_MS = 10;

/** A board at 100 Hz that stands upright, Y up and Z outboard, and leans a little to and fro. */
export class TcpBoard {
  private readonly sockets = new Set<Socket>();
  private readonly began_ms = performance.now();
  private told = 0;
  private readonly timer = setInterval(() => this.speak(), EVERY_MS);

  private constructor(
    private readonly server: Server,
    readonly mount: string,
    readonly port: number,
  ) {
    server.on('connection', (socket) => {
      socket.setNoDelay(true);
      socket.on('error', () => socket.destroy());
      socket.on('close', () => this.sockets.delete(socket));
      socket.write('t_ms,ax,ay,az,gx,gy,gz\n');
      this.sockets.add(socket);
    });
  }

  static async open(mount: string): Promise<TcpBoard> {
    const server = createServer();
    await new Promise<void>((open) => server.listen(0, '127.0.0.1', open));
    return new TcpBoard(server, mount, (server.address() as AddressInfo).port);
  }

  /** All readings that are due: a timer that comes late leaves none out. */
  private speak(): void {
    const due = Math.floor((performance.now() - this.began_ms) / EVERY_MS);
    let lines = '';
    for (; this.told < due; this.told += 1) {
      const lean = 0.02 + 0.001 * Math.sin(this.told / 50);
      lines += `${this.told * EVERY_MS},0,${Math.cos(lean).toFixed(5)},${Math.sin(lean).toFixed(5)},0,0,0\n`;
    }
    if (lines !== '') for (const socket of this.sockets) socket.write(lines);
  }

  /** Its power goes: the line is cut and nobody answers any more. */
  async cut(): Promise<void> {
    clearInterval(this.timer);
    const closed = new Promise<void>((gone) => this.server.close(() => gone()));
    for (const socket of this.sockets) socket.destroy();
    await closed;
  }
}

/** Arguments of a daemon that listens to these boards, with a store of its own. */
export function listening(boards: readonly TcpBoard[]): string[] {
  const folder = mkdtempSync(join(tmpdir(), 'hubplumb-boards-'));
  const config = join(folder, 'car.toml');
  writeFileSync(
    config,
    boards
      .map(({ mount, port }) => `[[board]]\nname = "${mount}"\nport = "tcp:127.0.0.1:${port}"\nformat = "csv"\nmount = "${mount}"\nmounting = { outboard = "+z", up = "+y" }\nchip = "good"\n`)
      .join(''),
  );
  return ['--config', config, '--store', join(folder, 'store')];
}
