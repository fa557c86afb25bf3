/**
 * Browser mode: the same host on 127.0.0.1 for a machine without an Electron runtime.
 *
 * Whoever can open a port of this machine can try to talk to us, and any web page the user has open can make
 * the browser try. So: only the loopback address; a one-time token in the first address that is exchanged for a
 * session cookie (HttpOnly, SameSite=Strict) and a key; `Host` must be ours (a page that rebinds its name to
 * 127.0.0.1 fails here); `Origin` must be ours for the socket; every read is GET or HEAD and changes nothing. A
 * browser sends the cookies of 127.0.0.1 to every port of it, so a program of another user could learn ours: the
 * bridge asks for the key besides, which only a page of our own origin can read. One page at a time holds the
 * bridge, because two ears would answer one step twice.
 * The ears page has a port of its own, hence an origin of its own, and no bridge.
 */
import { randomBytes, timingSafeEqual } from 'node:crypto';
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Duplex } from 'node:stream';
import { type WebSocket, WebSocketServer } from 'ws';
import {
  type HostName,
  locate,
  type Origins,
  type Roots,
  readLocated,
  responseHeaders,
  URL_LENGTH_MAX,
} from './app-protocol.ts';
import { NOTE_PCM_CHARS_MAX } from './disk/spoken-note.ts';
import { type ArgumentChecks, createGate, type Host } from './ipc/bridge.ts';

export const BRIDGE_PATH = '/bridge';
export const OPEN_PATH = '/open/';
export const COOKIE_NAME = 'stepcaller';
/** Subprotocol of the bridge; the key is offered behind it. */
export const BRIDGE_PROTOCOL = 'stepcaller';
/** Limits; a bench has one page, one socket and a dozen files. */
export const CONNECTIONS_MAX = 64;
export const MESSAGE_BYTES_MAX = 64 * 1024;
/** Only a spoken note may be larger than `MESSAGE_BYTES_MAX`. */
export const NOTE_MESSAGE_BYTES_MAX = NOTE_PCM_CHARS_MAX + 1024;
export const MESSAGES_PER_S_MAX = 100;
export const REQUESTS_PER_S_MAX = 200;
export const TOKENS_MAX = 8;
const HEADER_BYTES_MAX = 8 * 1024;
const HEADERS_TIMEOUT_MS = 10_000;
const COOKIE_AGE_S = 12 * 3600;
/** Requests of one page that may be unanswered at a time. */
const UNANSWERED_MAX = 64;

export interface ServeOptions {
  readonly roots: Roots;
  readonly host: Host;
  readonly checks: ArgumentChecks;
  /** Port of the bench; 0 takes a free one. The ears page always takes a free one. */
  readonly port: number;
  readonly report: (message: string) => void;
  /** How long a client may take to send a request; shorter in tests. */
  readonly requestTimeoutMs?: number;
}

export interface Serving {
  readonly origins: Origins;
  /** A new address with a one-time token. At most `TOKENS_MAX` wait; the oldest is dropped. */
  newAddress(): string;
  close(): Promise<void>;
}

/** Counts events a second; `take` says whether one more is allowed. */
export function rateLimit(perSecond: number, now: () => number): { take(): boolean } {
  let left = perSecond;
  let at = now();
  return {
    take() {
      const time = now();
      left = Math.min(perSecond, left + ((time - at) / 1000) * perSecond);
      at = time;
      if (left < 1) return false;
      left -= 1;
      return true;
    },
  };
}

function secret(): string {
  return randomBytes(32).toString('base64url');
}

function same(a: string, b: string): boolean {
  const left = Buffer.from(a);
  const right = Buffer.from(b);
  return left.length === right.length && timingSafeEqual(left, right);
}

/** The value of our cookie in a `Cookie` header; `undefined` where it is missing or there twice. */
export function cookieFrom(header: string | undefined): string | undefined {
  const found = (header ?? '')
    .split(';')
    .map((pair) => pair.trim())
    .filter((pair) => pair.startsWith(`${COOKIE_NAME}=`));
  return found.length === 1 ? found[0]?.slice(COOKIE_NAME.length + 1) : undefined;
}

interface Session {
  readonly cookie: string;
  readonly key: string;
  readonly tokens: string[];
}

/** Starts both ports. Rejects where the port is taken. */
export async function serve(options: ServeOptions): Promise<Serving> {
  const session: Session = { cookie: secret(), key: secret(), tokens: [] };
  const timeoutMs = options.requestTimeoutMs ?? HEADERS_TIMEOUT_MS;
  const servers = { bench: newServer(timeoutMs), ears: newServer(timeoutMs) };
  await listen(servers.bench, options.port);
  await listen(servers.ears, 0);
  const origins: Origins = { bench: originOf(servers.bench), ears: originOf(servers.ears) };
  const limits = rateLimit(REQUESTS_PER_S_MAX, () => performance.now());
  for (const name of ['bench', 'ears'] as const) {
    servers[name].on('request', (request: IncomingMessage, response: ServerResponse) => {
      answer(name, request, response, { ...options, origins, session, limits }).catch((fault: unknown) => {
        options.report(`fault while serving: ${fault instanceof Error ? fault.message : String(fault)}`);
        response.destroy();
      });
    });
    // A connection that cannot be accepted (too many open files) must not end the program.
    servers[name].on('error', (fault: Error) => options.report(`fault while serving: ${fault.message}`));
    servers[name].on('clientError', (_fault: Error, socket: Duplex) => socket.destroy());
  }
  const bridge = serveBridge(servers.bench, { ...options, origins, session });
  servers.ears.on('upgrade', (_request: IncomingMessage, socket: Duplex) => refuseUpgrade(socket));
  return {
    origins,
    newAddress() {
      const token = secret();
      session.tokens.push(token);
      if (session.tokens.length > TOKENS_MAX) session.tokens.shift();
      return `${origins.bench}${OPEN_PATH}${token}`;
    },
    async close() {
      bridge.close();
      await Promise.all([stop(servers.bench), stop(servers.ears)]);
    },
  };
}

/** A client that sends nothing, or a byte now and then, is cut off soon after `timeoutMs`. */
function newServer(timeoutMs: number): Server {
  const server = createServer({
    maxHeaderSize: HEADER_BYTES_MAX,
    headersTimeout: timeoutMs,
    requestTimeout: timeoutMs,
    // Node looks every thirty seconds otherwise, and 64 slow clients would have the place that long.
    connectionsCheckingInterval: Math.min(1000, timeoutMs),
    keepAliveTimeout: 5000,
  });
  server.maxConnections = CONNECTIONS_MAX;
  return server;
}

function listen(server: Server, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen({ port, host: '127.0.0.1', exclusive: true }, () => {
      server.off('error', reject);
      resolve();
    });
  });
}

function originOf(server: Server): string {
  return `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
}

function stop(server: Server): Promise<void> {
  return new Promise((resolve) => {
    server.close(() => resolve());
    server.closeAllConnections();
  });
}

interface Context extends ServeOptions {
  readonly origins: Origins;
  readonly session: Session;
}

const PLAIN_HEADERS = {
  'Content-Type': 'text/plain; charset=utf-8',
  'Content-Security-Policy': "default-src 'none'; frame-ancestors 'none'",
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cache-Control': 'no-store',
};

function refuse(response: ServerResponse, status: number, words: string): void {
  response.writeHead(status, { ...PLAIN_HEADERS, Connection: 'close' });
  response.end(`${words}\n`);
}

/** True where the request names us as the host. A page that rebinds its own name to 127.0.0.1 does not. */
function isOurHost(request: IncomingMessage, origin: string): boolean {
  return request.headers.host === new URL(origin).host;
}

/** True where the request comes from our own page or from the address bar. */
function isOurSite(name: HostName, request: IncomingMessage, origins: Origins): boolean {
  const { origin } = request.headers;
  if (origin !== undefined && origin !== origins[name]) return false;
  const site = request.headers['sec-fetch-site'];
  if (site === undefined) return true; // An old browser; the cookie is still asked for.
  if (site === 'same-origin' || site === 'none') return true;
  // The bench embeds the ears page: another port is another origin of the same site.
  return name === 'ears' && site === 'same-site' && request.headers['sec-fetch-dest'] === 'iframe';
}

function hasSession(request: IncomingMessage, session: Session): boolean {
  const cookie = cookieFrom(request.headers.cookie);
  return cookie !== undefined && same(cookie, session.cookie);
}

/** True where a socket offers our protocol and the key, and nothing else. */
function hasKey(request: IncomingMessage, session: Session): boolean {
  const [protocol, key, ...others] = (request.headers['sec-websocket-protocol'] ?? '')
    .split(',')
    .map((one) => one.trim());
  return protocol === BRIDGE_PROTOCOL && key !== undefined && others.length === 0 && same(key, session.key);
}

/** Why a request is refused before any file is looked for; `undefined` where it may go on. */
function refusalOf(
  name: HostName,
  request: IncomingMessage,
  context: Context & { readonly limits: { take(): boolean } },
): readonly [status: number, words: string] | undefined {
  const { origins } = context;
  const address = request.url ?? '';
  const carriesBody =
    Number(request.headers['content-length'] ?? 0) > 0 || request.headers['transfer-encoding'] !== undefined;
  if (!context.limits.take()) return [429, 'Too many requests.'];
  if (!isOurHost(request, origins[name])) return [421, `Open ${origins[name]} instead.`];
  if ((request.method !== 'GET' && request.method !== 'HEAD') || carriesBody) {
    return [405, 'Only reading is possible here.'];
  }
  if (address.length > URL_LENGTH_MAX) return [414, 'The address is too long.'];
  return undefined;
}

async function answer(
  name: HostName,
  request: IncomingMessage,
  response: ServerResponse,
  context: Context & { readonly limits: { take(): boolean } },
): Promise<void> {
  const { origins, session } = context;
  const refused = refusalOf(name, request, context);
  const path = (request.url ?? '').split('?')[0] ?? '';
  if (refused !== undefined) refuse(response, ...refused);
  else if (name === 'bench' && path.startsWith(OPEN_PATH)) open(path, request, response, context);
  else if (!hasSession(request, session)) {
    refuse(response, 403, 'Open the address that the terminal shows; each address works once.');
  } else if (!isOurSite(name, request, origins)) refuse(response, 403, 'Refused.');
  else {
    const located = locate(name, path, context.roots);
    const body = 'status' in located ? located : await readLocated(located);
    if ('status' in located) refuse(response, located.status, located.why);
    else if ('status' in body) refuse(response, body.status, body.why);
    else {
      const headers = responseHeaders(name, located, origins);
      const sent = located.role === 'page' ? withEarsOrigin(body, origins) : body;
      response.writeHead(200, { ...headers, 'Content-Length': sent.length });
      response.end(request.method === 'HEAD' ? undefined : sent);
    }
  }
}

/** The page names the ears' origin in a meta element; in browser mode it is a port chosen at start. */
function withEarsOrigin(page: Buffer, origins: Origins): Buffer {
  return Buffer.from(page.toString('utf8').replaceAll('app://ears', origins.ears));
}

const USED_ADDRESS =
  'This address was used already, or is not complete. Press Enter in the terminal for a new one.';

/**
 * Exchanges a token for the cookie and the key. A used token is refused, unless the browser holds the session
 * already: then it has the key too and is not told it again.
 */
function open(path: string, request: IncomingMessage, response: ServerResponse, context: Context): void {
  const token = path.slice(OPEN_PATH.length);
  const index = context.session.tokens.findIndex((known) => same(known, token));
  const known = hasSession(request, context.session);
  if (request.method === 'HEAD') refuse(response, 405, 'Open the address with a browser.');
  else if (index < 0 && !known) refuse(response, 403, USED_ADDRESS);
  else {
    if (index >= 0) context.session.tokens.splice(index, 1);
    const attributes = `Path=/; HttpOnly; SameSite=Strict; Max-Age=${COOKIE_AGE_S}`;
    response.writeHead(200, {
      ...PLAIN_HEADERS,
      'Content-Type': 'text/html; charset=utf-8',
      'Set-Cookie': `${COOKIE_NAME}=${context.session.cookie}; ${attributes}`,
    });
    // A page that leads on, not a redirection: the browser comes from elsewhere (a file, a link), and would not send
    // a strict cookie on the same way.
    const next = index >= 0 ? `/#${context.session.key}` : '/';
    response.end(
      `<!doctype html><title>Stepcaller</title><meta http-equiv="refresh" content="0;url=${next}">\n`,
    );
  }
}

/**
 * From the upgrade on nobody else looks after the connection: without a listener a client that resets it would end
 * the program, and left half open one that does not close its end would keep its place for ever.
 */
function refuseUpgrade(socket: Duplex): void {
  socket.on('error', () => socket.destroy());
  socket.end('HTTP/1.1 403 Forbidden\r\nConnection: close\r\nContent-Length: 0\r\n\r\n', () =>
    socket.destroy(),
  );
}

/** Close codes that the page understands (private range). */
export const CLOSE_TAKEN_OVER = 4001;
export const CLOSE_TOO_FAST = 4002;
export const CLOSE_BAD_MESSAGE = 4003;

function serveBridge(server: Server, context: Context): { close(): void } {
  const sockets = new WebSocketServer({
    noServer: true,
    maxPayload: NOTE_MESSAGE_BYTES_MAX,
    perMessageDeflate: false,
    clientTracking: true,
  });
  let current: WebSocket | undefined;
  server.on('upgrade', (request: IncomingMessage, socket: Duplex, head: Buffer) => {
    const ours =
      request.url === BRIDGE_PATH &&
      isOurHost(request, context.origins.bench) &&
      request.headers.origin === context.origins.bench &&
      hasSession(request, context.session) &&
      hasKey(request, context.session);
    if (!ours) {
      refuseUpgrade(socket);
      return;
    }
    sockets.handleUpgrade(request, socket, head, (accepted) => {
      current?.close(CLOSE_TAKEN_OVER, 'opened in another window');
      current = accepted;
      talk(accepted, context);
      accepted.on('close', () => {
        if (current === accepted) current = undefined;
      });
    });
  });
  const forget = context.host.onPush((push) => {
    if (current?.readyState === 1) current.send(JSON.stringify({ push }));
  });
  return {
    close() {
      forget();
      for (const socket of sockets.clients) socket.terminate();
      sockets.close();
    },
  };
}

/** One question of a page: `{id, channel, argument}`. Anything else ends the connection. */
function questionFrom(text: string): { id: number; channel: unknown; argument: unknown } | undefined {
  try {
    const message: unknown = JSON.parse(text);
    if (typeof message !== 'object' || message === null || Array.isArray(message)) return undefined;
    const { id, channel, argument } = message as Record<string, unknown>;
    return Number.isSafeInteger(id) ? { id: id as number, channel, argument } : undefined;
  } catch {
    return undefined;
  }
}

function talk(socket: WebSocket, context: Context): void {
  const gate = createGate(context.host, context.checks, (channel, fault) =>
    context.report(`fault in ${channel}: ${fault instanceof Error ? (fault.stack ?? '') : String(fault)}`),
  );
  const limit = rateLimit(MESSAGES_PER_S_MAX, () => performance.now());
  let unanswered = 0;
  socket.on('error', () => socket.terminate());
  socket.on('message', (data, isBinary) => {
    if (!limit.take() || unanswered >= UNANSWERED_MAX) {
      socket.close(CLOSE_TOO_FAST, 'too fast');
      return;
    }
    const text = isBinary ? '' : String(data);
    const question = questionFrom(text);
    const tooLong = text.length > MESSAGE_BYTES_MAX && question?.channel !== 'note.keep';
    if (question === undefined || tooLong) {
      socket.close(CLOSE_BAD_MESSAGE, 'not a question');
      return;
    }
    unanswered += 1;
    void gate(question.channel, question.argument).then((reply) => {
      unanswered -= 1;
      if (socket.readyState === 1) socket.send(JSON.stringify({ id: question.id, answer: reply }));
    });
  });
}
