/** Browser mode against a hostile client: real ports, raw requests. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { type IncomingHttpHeaders, request } from 'node:http';
import { connect, type Socket } from 'node:net';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { z } from 'zod';
import type { ArgumentChecks, Host } from '../../electron/ipc/bridge.ts';
import {
  BRIDGE_PATH,
  BRIDGE_PROTOCOL,
  CLOSE_BAD_MESSAGE,
  CLOSE_TAKEN_OVER,
  CLOSE_TOO_FAST,
  CONNECTIONS_MAX,
  cookieFrom,
  MESSAGE_BYTES_MAX,
  MESSAGES_PER_S_MAX,
  NOTE_MESSAGE_BYTES_MAX,
  REQUESTS_PER_S_MAX,
  rateLimit,
  type Serving,
  serve,
  TOKENS_MAX,
} from '../../electron/serve.ts';

let folder: string;
let serving: Serving;
let options: Parameters<typeof serve>[0];
let asked: string[];
let push: (push: unknown) => void;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'stepcaller-serve-'));
  mkdirSync(join(folder, 'pages/ears'), { recursive: true });
  mkdirSync(join(folder, 'pages/assets'));
  writeFileSync(join(folder, 'pages/index.html'), '<meta name="ears-origin" content="app://ears">');
  writeFileSync(join(folder, 'pages/ears/ears.html'), 'ears');
  writeFileSync(join(folder, 'pages/assets/app.js'), 'app');
  asked = [];
  const host = {
    ask: async (channel: string) => {
      asked.push(channel);
      return { ok: true, value: channel };
    },
    onPush: (listener: (push: unknown) => void) => {
      push = listener;
      return () => undefined;
    },
    close: async () => undefined,
  } as unknown as Host;
  options = {
    roots: {
      pages: join(folder, 'pages'),
      models: join(folder, 'models'),
      procedures: [join(folder, 'units')],
    },
    host,
    checks: { 'app.info': z.null() } as unknown as ArgumentChecks,
    port: 0,
    report: () => undefined,
  };
  serving = await serve(options);
});
afterEach(async () => {
  await serving.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Reply {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

/** One request as a client sends it, with nothing added but `Host` where it is not given. */
function ask(
  address: string,
  options: { method?: string; headers?: object; body?: string; path?: string } = {},
) {
  const url = new URL(address);
  return new Promise<Reply>((resolve, reject) => {
    const sent = request(
      {
        host: url.hostname,
        port: url.port,
        path: options.path ?? url.pathname + url.search,
        method: options.method ?? 'GET',
        headers: { ...options.headers },
        agent: false,
      },
      (response) => {
        let body = '';
        response.on('data', (chunk) => {
          body += String(chunk);
        });
        response.on('end', () =>
          resolve({ status: response.statusCode ?? 0, headers: response.headers, body }),
        );
      },
    );
    sent.on('error', reject);
    sent.end(options.body);
  });
}

/** Where the page of the one-time address leads. */
const nextOf = (reply: Reply): string => /content="0;url=([^"]*)"/.exec(reply.body)?.[1] ?? '';

async function logIn(): Promise<{ Cookie: string }> {
  const reply = await ask(serving.newAddress());
  key = nextOf(reply).split('#')[1] ?? '';
  return { Cookie: String(reply.headers['set-cookie']?.[0]).split(';')[0] ?? '' };
}
/** What the last log-in told the page besides the cookie. */
let key = '';

interface Talk {
  readonly socket: WebSocket;
  readonly closed: Promise<number>;
  readonly refused: Promise<number>;
}

function talk(
  headers: object,
  path = BRIDGE_PATH,
  origin: string = serving.origins.bench,
  protocols: readonly string[] = [BRIDGE_PROTOCOL, key],
): Talk {
  const socket = new WebSocket(`${serving.origins.bench.replace('http', 'ws')}${path}`, [...protocols], {
    headers: { Origin: origin, ...headers },
  });
  const refused = new Promise<number>((resolve) => {
    socket.on('unexpected-response', (_request, response) => resolve(response.statusCode ?? 0));
    socket.on('open', () => resolve(101));
  });
  const closed = new Promise<number>((resolve) => socket.on('close', resolve));
  socket.on('error', () => undefined);
  return { socket, closed, refused };
}

describe('the one-time address', () => {
  it('is exchanged for a cookie that scripts cannot read and other sites cannot send', async () => {
    const reply = await ask(serving.newAddress());
    expect(reply.status).toBe(200);
    expect(nextOf(reply)).toMatch(/^\/#[\w-]{43}$/);
    expect(reply.headers['content-security-policy']).toContain("default-src 'none'");
    expect(reply.headers['cache-control']).toBe('no-store');
    const cookie = String(reply.headers['set-cookie']);
    for (const attribute of ['HttpOnly', 'SameSite=Strict', 'Path=/']) expect(cookie).toContain(attribute);
    expect(cookie).not.toContain('Domain');
  });

  it('works once', async () => {
    const address = serving.newAddress();
    expect((await ask(address)).status).toBe(200);
    const again = await ask(address);
    expect(again.status).toBe(403);
    expect(again.headers['set-cookie']).toBeUndefined();
  });

  it('leads a browser that is known already to the page', async () => {
    const address = serving.newAddress();
    const cookie = await logIn();
    expect((await ask(address, { headers: cookie })).status).toBe(200);
    // With the cookie alone, which every program on this machine may come by, no key is given out.
    const again = await ask(address, { headers: cookie });
    expect([again.status, nextOf(again)]).toEqual([200, '/']);
    const nothing = await ask(`${serving.origins.bench}/open/x`, { headers: cookie });
    expect(nextOf(nothing)).toBe('/');
  });

  it('is not used up by looking at its head, nor guessed by a part of it', async () => {
    const address = serving.newAddress();
    expect((await ask(address, { method: 'HEAD' })).status).toBe(405);
    expect((await ask(address.slice(0, -1))).status).toBe(403);
    expect((await ask(`${address}A`)).status).toBe(403);
    expect((await ask(`${serving.origins.bench}/open/`)).status).toBe(403);
    expect((await ask(address)).status).toBe(200);
  });

  it('is not the cookie, and the oldest of too many is dropped', async () => {
    const first = serving.newAddress();
    const token = first.split('/').at(-1);
    expect((await ask(serving.origins.bench, { headers: { Cookie: `stepcaller=${token}` } })).status).toBe(
      403,
    );
    for (let count = 0; count < TOKENS_MAX; count++) serving.newAddress();
    expect((await ask(first)).status).toBe(403);
  });
});

describe('reading', () => {
  it('gives the page to the session, with the ears named at their own port', async () => {
    const cookie = await logIn();
    const page = await ask(serving.origins.bench, { headers: cookie });
    expect(page.status).toBe(200);
    expect(page.body).toContain(serving.origins.ears);
    expect(page.headers['content-security-policy']).toContain(`frame-src ${serving.origins.ears}`);
    expect(page.headers['content-security-policy']).toContain(serving.origins.bench.replace('http', 'ws'));
    expect(serving.origins.ears).not.toBe(serving.origins.bench);
    const ears = await ask(`${serving.origins.ears}/ears/ears.html`, { headers: cookie });
    expect(ears.status).toBe(200);
    expect(ears.headers['content-security-policy']).toContain(`frame-ancestors ${serving.origins.bench}`);
  });

  it('gives nothing without the cookie, with a wrong one, or with two', async () => {
    const { Cookie } = await logIn();
    for (const cookie of [
      '',
      'stepcaller=',
      'stepcaller=x',
      `${Cookie}x`,
      `${Cookie}; stepcaller=x`,
      'other=1',
    ]) {
      for (const origin of [serving.origins.bench, serving.origins.ears]) {
        const reply = await ask(origin, { headers: { Cookie: cookie } });
        expect(reply.status, cookie).toBe(403);
        expect(reply.body).not.toContain('ears-origin');
      }
    }
  });

  it('refuses another host name, which is how a page rebinds its name to this machine', async () => {
    const cookie = await logIn();
    const { host } = new URL(serving.origins.bench);
    const port = host.split(':')[1];
    for (const name of [
      'evil.example',
      `evil.example:${port}`,
      `localhost:${port}`,
      '127.0.0.1',
      '127.0.0.1:1',
      `127.0.0.1.:${port}`,
      `127.1:${port}`,
      `[::1]:${port}`,
      'x y',
    ]) {
      const reply = await ask(serving.origins.bench, { headers: { ...cookie, Host: name } });
      expect([400, 421], name).toContain(reply.status);
      expect(reply.body).not.toContain('ears-origin');
    }
  });

  it('refuses another origin and requests that another site started', async () => {
    const cookie = await logIn();
    const { bench, ears } = serving.origins;
    const status = async (headers: object, at = bench) =>
      (await ask(at, { headers: { ...cookie, ...headers } })).status;
    for (const origin of ['https://evil.example', 'null', ears, `${bench}.evil.example`, `${bench}0`]) {
      expect(await status({ Origin: origin }), origin).toBe(403);
    }
    expect(await status({ Origin: bench })).toBe(200);
    expect(await status({ 'Sec-Fetch-Site': 'cross-site' })).toBe(403);
    expect(await status({ 'Sec-Fetch-Site': 'same-site' })).toBe(403);
    expect(await status({ 'Sec-Fetch-Site': 'same-site', 'Sec-Fetch-Dest': 'iframe' }, ears)).toBe(200);
    expect(await status({ 'Sec-Fetch-Site': 'cross-site', 'Sec-Fetch-Dest': 'iframe' }, ears)).toBe(403);
  });

  it('answers reading only: no method that changes something, no body', async () => {
    const cookie = await logIn();
    for (const method of ['POST', 'PUT', 'DELETE', 'PATCH', 'OPTIONS', 'TRACE', 'PROPFIND']) {
      expect((await ask(serving.origins.bench, { method, headers: cookie })).status, method).toBe(405);
    }
    const withBody = await ask(serving.origins.bench, {
      headers: { ...cookie, 'Content-Length': '4' },
      body: 'abcd',
    });
    expect(withBody.status).toBe(405);
    expect(asked).toEqual([]);
  });

  it('lists no folder, leaves no root and says nothing of the disk', async () => {
    const cookie = await logIn();
    writeFileSync(join(folder, 'secret.json'), 'secret');
    for (const path of [
      '/assets',
      '/assets/',
      '/../secret.json',
      '/%2e%2e/secret.json',
      '/..%2fsecret.json',
      '/assets/..%5c..%5csecret.json',
      '//secret.json',
      'http://evil.example/',
      '/.git/config',
    ]) {
      const reply = await ask(serving.origins.bench, { headers: cookie, path });
      expect([400, 404], path).toContain(reply.status);
      expect(reply.body).not.toContain('secret');
      expect(reply.body).not.toContain(folder);
    }
  });

  it('sets the protecting headers on refusals too', async () => {
    for (const reply of [
      await ask(serving.origins.bench),
      await ask(`${serving.origins.bench}/nothing.js`, { headers: await logIn() }),
    ]) {
      expect(reply.status).toBeGreaterThanOrEqual(400);
      expect(reply.headers['content-security-policy']).toContain("default-src 'none'");
      expect(reply.headers['x-content-type-options']).toBe('nosniff');
      expect(reply.headers['access-control-allow-origin']).toBeUndefined();
    }
  });
});

describe('the bridge', () => {
  it('answers its own page with its cookie', async () => {
    const { socket, refused } = talk(await logIn());
    expect(await refused).toBe(101);
    const reply = new Promise((resolve) =>
      socket.once('message', (data) => resolve(JSON.parse(String(data)))),
    );
    socket.send(JSON.stringify({ id: 1, channel: 'app.info', argument: null }));
    expect(await reply).toEqual({ id: 1, answer: { ok: true, value: 'app.info' } });
  });

  it('is refused without cookie, with another origin, host or path, and on the port of the ears', async () => {
    const cookie = await logIn();
    const { bench, ears } = serving.origins;
    expect(await talk({}).refused).toBe(403);
    expect(await talk({ Cookie: 'stepcaller=x' }).refused).toBe(403);
    for (const origin of ['https://evil.example', 'null', ears, `${bench}/`, '']) {
      expect(await talk(cookie, BRIDGE_PATH, origin).refused, origin).toBe(403);
    }
    expect(await talk({ ...cookie, Host: 'evil.example' }).refused).toBe(403);
    expect(await talk(cookie, '/bridge?x').refused).toBe(403);
    const atEars = new WebSocket(`${ears.replace('http', 'ws')}${BRIDGE_PATH}`, {
      headers: { Origin: bench, ...cookie },
    });
    const failed = await new Promise((resolve) => {
      atEars.on('error', () => resolve('refused'));
      atEars.on('open', () => resolve('open'));
    });
    expect(failed).toBe('refused');
    expect(asked).toEqual([]);
  });

  it('is refused with the cookie alone, which a browser sends to every port of this machine', async () => {
    const cookie = await logIn();
    const wrong: readonly (readonly string[])[] = [
      [],
      [BRIDGE_PROTOCOL],
      [key],
      [key, BRIDGE_PROTOCOL],
      [BRIDGE_PROTOCOL, `${key}x`],
      [BRIDGE_PROTOCOL, key.slice(1)],
      [BRIDGE_PROTOCOL, cookie.Cookie.split('=')[1] ?? ''],
      [BRIDGE_PROTOCOL, 'x', key],
    ];
    for (const protocols of wrong)
      expect(await talk(cookie, BRIDGE_PATH, serving.origins.bench, protocols).refused, `${protocols}`).toBe(
        403,
      );
    const good = talk(cookie);
    expect(await good.refused).toBe(101);
    expect(good.socket.protocol).toBe(BRIDGE_PROTOCOL);
    good.socket.terminate();
  });

  it('belongs to one page: a newer one takes it, the older one is told', async () => {
    const cookie = await logIn();
    const first = talk(cookie);
    await first.refused;
    const second = talk(cookie);
    await second.refused;
    expect(await first.closed).toBe(CLOSE_TAKEN_OVER);
    const pushed = new Promise((resolve) => second.socket.once('message', (data) => resolve(String(data))));
    push({ type: 'products-changed' });
    expect(await pushed).toBe('{"push":{"type":"products-changed"}}');
  });

  for (const [what, message] of [
    ['no JSON', '{'],
    ['no object', '[]'],
    ['no number', '{"id":"1","channel":"app.info"}'],
    ['binary data', Buffer.from('{"id":1,"channel":"app.info","argument":null}')],
  ] as const) {
    it(`ends on ${what} and asks the host nothing`, async () => {
      const { socket, closed, refused } = talk(await logIn());
      await refused;
      socket.send(message);
      expect(await closed).toBe(CLOSE_BAD_MESSAGE);
      expect(asked).toEqual([]);
    });
  }

  it.each([
    ['of any request', MESSAGE_BYTES_MAX + 1, 'products.list', CLOSE_BAD_MESSAGE],
    ['of a spoken note', NOTE_MESSAGE_BYTES_MAX + 1, 'note.keep', 1009],
  ])('ends on a message that is too large: %s', async (_, length, channel, code) => {
    const { socket, closed, refused } = talk(await logIn());
    await refused;
    socket.send(JSON.stringify({ id: 1, channel, argument: 'x'.repeat(length) }));
    expect(await closed).toBe(code);
    expect(asked).toEqual([]);
  });

  it('ends on a flood', async () => {
    const { socket, closed, refused } = talk(await logIn());
    await refused;
    for (let id = 0; id < MESSAGES_PER_S_MAX * 3; id++) {
      socket.send(JSON.stringify({ id, channel: 'app.info', argument: null }));
    }
    expect(await closed).toBe(CLOSE_TOO_FAST);
    expect(asked.length).toBeLessThanOrEqual(MESSAGES_PER_S_MAX + 20);
  });
});

describe('limits', () => {
  /** The same server with little patience, so that the test has not to wait. */
  const impatient = async (): Promise<void> => {
    await serving.close();
    serving = await serve({ ...options, requestTimeoutMs: 400 });
  };

  it('slows a flood of requests down', () => {
    let time = 0;
    const limit = rateLimit(10, () => time);
    const taken = () => Array.from({ length: 20 }, () => limit.take()).filter(Boolean).length;
    expect(taken()).toBe(10);
    time = 500;
    expect(taken()).toBe(5);
    time = 60_000;
    expect(taken()).toBe(10);
    expect(REQUESTS_PER_S_MAX).toBeLessThanOrEqual(1000);
  });

  it('drops a header that is too large and a request that is no HTTP', async () => {
    const port = Number(new URL(serving.origins.bench).port);
    for (const text of ['GARBAGE\r\n\r\n', `GET / HTTP/1.1\r\nHost: x\r\nX: ${'a'.repeat(20_000)}\r\n\r\n`]) {
      const got = await new Promise<string>((resolve) => {
        const socket = connect(port, '127.0.0.1', () => socket.write(text));
        let all = '';
        socket.on('data', (data) => {
          all += String(data);
        });
        socket.on('close', () => resolve(all));
        socket.on('error', () => resolve(all));
      });
      expect(got).not.toContain('200 OK');
    }
  });

  it('cuts off clients that send nothing, or a byte now and then', async () => {
    await impatient();
    const port = Number(new URL(serving.origins.bench).port);
    const cookie = await logIn();
    const slow = (start: string): Promise<void> =>
      new Promise((resolve) => {
        const socket = connect(port, '127.0.0.1', () => socket.write(start));
        const drip = setInterval(() => socket.writable && socket.write('X-a: b\r\n'), 50);
        if (start === '') clearInterval(drip);
        socket.on('data', () => undefined);
        socket.on('error', () => undefined);
        socket.on('close', () => {
          clearInterval(drip);
          resolve();
        });
      });
    // Each ends by itself; a test that waits for ever fails.
    await Promise.all(['', 'G', 'GET / HTTP/1.1\r\nHost: x\r\n'].map(slow));
    expect((await ask(serving.origins.bench, { headers: cookie })).status).toBe(200);
  });

  it('goes on when clients reset a connection whose upgrade it refuses, at whatever moment', async () => {
    const { Cookie } = await logIn();
    // An error that nobody listens for ends the program, and vitest fails the run for it.
    for (const origin of [serving.origins.bench, serving.origins.ears])
      for (let count = 0; count < 60; count += 1) {
        const port = Number(new URL(origin).port);
        const socket = connect({ port, host: '127.0.0.1' });
        socket.on('error', () => undefined);
        const gone = new Promise((resolve) => socket.on('close', resolve));
        socket.write(
          `GET /bridge HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n\r\n`,
        );
        const reset = (): unknown => socket.resetAndDestroy();
        if (count % 3 === 0) socket.once('ready', reset);
        else if (count % 3 === 1) socket.once('ready', () => setImmediate(reset));
        else socket.once('readable', reset);
        await gone;
      }
    expect((await ask(serving.origins.bench, { headers: { Cookie } })).status).toBe(200);
  });

  it('keeps no place for clients that are refused and do not close their end', async () => {
    const cookie = await logIn();
    const port = Number(new URL(serving.origins.bench).port);
    const upgrade = `GET ${BRIDGE_PATH} HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nConnection: Upgrade\r\nUpgrade: websocket\r\n\r\n`;
    const held = Array.from({ length: CONNECTIONS_MAX }, () =>
      connect({ port, host: '127.0.0.1', allowHalfOpen: true }, function (this: Socket) {
        this.write(upgrade);
      }),
    );
    // The server's end comes, ours never goes; what is written after that meets nobody.
    await Promise.all(held.map((socket) => new Promise((resolve) => socket.on('end', resolve).resume())));
    expect((await ask(serving.origins.bench, { headers: cookie })).status).toBe(200);
    for (const socket of held) socket.destroy();
  });

  it('turns away more connections than it holds, and serves again when they are gone', async () => {
    await impatient();
    const port = Number(new URL(serving.origins.bench).port);
    const cookie = await logIn();
    const held = Array.from({ length: CONNECTIONS_MAX * 2 }, () => connect(port, '127.0.0.1'));
    await Promise.all(
      held.map((socket) => {
        socket.on('error', () => undefined);
        return new Promise((resolve) => socket.on('close', resolve));
      }),
    );
    expect((await ask(serving.origins.bench, { headers: cookie })).status).toBe(200);
  });

  it('listens on the loopback address only', async () => {
    const outside = Object.values(networkInterfaces())
      .flat()
      .find((address) => address?.family === 'IPv4' && !address.internal)?.address;
    const port = Number(new URL(serving.origins.bench).port);
    // A machine without a network has no other address to try; the loopback alias is always there on Linux.
    for (const address of [outside, process.platform === 'linux' ? '127.0.0.2' : undefined]) {
      if (address === undefined) continue;
      const result = await new Promise((resolve) => {
        const socket = connect({ port, host: address, timeout: 2000 }, () => resolve('connected'));
        socket.on('error', () => resolve('refused'));
        socket.on('timeout', () => resolve('refused'));
      });
      expect(result, address).toBe('refused');
    }
  });

  it('reads the cookie only where it stands once', () => {
    expect(cookieFrom('a=1; stepcaller=abc; b=2')).toBe('abc');
    expect(cookieFrom('stepcaller=abc; stepcaller=abc')).toBeUndefined();
    expect(cookieFrom('xstepcaller=abc')).toBeUndefined();
    expect(cookieFrom(undefined)).toBeUndefined();
  });
});
