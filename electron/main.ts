/**
 * Start of the Electron program: scheme, session, host, window, in that order. Decisions are elsewhere
 * (`app-protocol.ts`, `permissions.ts`, `ipc/`); here they are only joined.
 */
import { realpathSync } from 'node:fs';
import { join } from 'node:path';
import { app, BrowserWindow, ipcMain, powerSaveBlocker, protocol, session } from 'electron';
import {
  APP_ORIGINS,
  type HostName,
  locate,
  type Roots,
  readLocated,
  responseHeaders,
} from './app-protocol.ts';
import { ASK_CHANNEL, createGate, type Host, PUSH_CHANNEL } from './ipc/bridge.ts';
import { isBenchFrame } from './ipc/sender.ts';
import { keepAwake } from './keep-awake.ts';
import { openShellHost } from './shell-host.ts';
import { userFolders } from './user-folders.ts';
import { denyEverythingElse, guardSession, openBenchWindow, printPdf, setMenu } from './window.ts';

/** The host gets this long to leave the job properly before the window closes anyway. */
const LEAVE_TIMEOUT_MS = 5000;

function report(message: string): void {
  process.stderr.write(`stepcaller: ${message}\n`);
}

/** Folders of the program: beside the sources, or beside the archive of an installed program. */
function programRoot(): string {
  return app.isPackaged && app.getAppPath().endsWith('.asar')
    ? process.resourcesPath
    : realpathSync(app.getAppPath());
}

function serveApp(roots: Roots): void {
  protocol.handle('app', async (request) => {
    const refuse = (status: number): Response =>
      new Response(null, { status, headers: { 'Content-Security-Policy': "default-src 'none'" } });
    let url: URL;
    try {
      url = new URL(request.url);
    } catch {
      return refuse(400);
    }
    if (request.method !== 'GET' && request.method !== 'HEAD') return refuse(405);
    if ((url.host !== 'bench' && url.host !== 'ears') || url.username !== '' || url.password !== '') {
      return refuse(404);
    }
    const host: HostName = url.host;
    const located = locate(host, url.pathname, roots);
    if ('status' in located) return refuse(located.status);
    const body = await readLocated(located);
    if ('status' in body) return refuse(body.status);
    const headers = responseHeaders(host, located, APP_ORIGINS);
    return new Response(request.method === 'HEAD' ? null : new Uint8Array(body), { headers });
  });
}

function joinBridge(host: Host, checks: Parameters<typeof createGate>[1]): void {
  const gate = createGate(host, checks, (channel, fault) =>
    report(`fault in ${channel}: ${fault instanceof Error ? (fault.stack ?? fault.message) : String(fault)}`),
  );
  ipcMain.handle(ASK_CHANNEL, (event, channel: unknown, argument: unknown) => {
    const frame = event.senderFrame;
    const sender = frame === null ? null : { url: frame.url, isTop: frame.parent === null };
    if (!isBenchFrame(sender)) {
      report('a message from a frame that is not ours was dropped');
      return { ok: false, error: { code: 'bridge/not-ours', message: 'Refused.', mend: '' } };
    }
    return gate(channel, argument);
  });
  host.onPush((push) => {
    for (const window of BrowserWindow.getAllWindows()) {
      if (!window.isDestroyed() && originOfTop(window) === 'bench')
        window.webContents.send(PUSH_CHANNEL, push);
    }
  });
}

function originOfTop(window: BrowserWindow): string | undefined {
  const address = window.webContents.getURL();
  return isBenchFrame({ url: address, isTop: true }) ? 'bench' : undefined;
}

async function withTimeout(work: Promise<unknown>, timeoutMs: number): Promise<void> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, timeoutMs);
  });
  await Promise.race([work.then(() => undefined), late]).finally(() => clearTimeout(timer));
}

async function start(): Promise<void> {
  const root = programRoot();
  const { host, checks, roots } = openShellHost({
    root,
    pages: join(app.getAppPath(), 'out/renderer'),
    mode: 'electron',
    printPdf,
  });
  guardSession(session.defaultSession, report);
  serveApp(roots);
  joinBridge(host, checks);
  keepAwake(host, powerSaveBlocker);
  setMenu(process.env.STEPCALLER_DEVELOPER === '1');
  const window = openBenchWindow({
    preload: join(app.getAppPath(), 'out/preload/preload.cjs'),
    stateFile: join(app.getPath('userData'), 'window.json'),
    beforeClose: () =>
      withTimeout(
        host.ask('job.leave', null).then(() => host.close()),
        LEAVE_TIMEOUT_MS,
      ),
    report,
  });
  // What the first screen asks for is read while the page is still being loaded; it is kept until files change.
  void host.ask('products.list', null).then(() => host.ask('jobs.list', null));
  app.on('second-instance', () => {
    if (window.isMinimized()) window.restore();
    window.focus();
  });
}

protocol.registerSchemesAsPrivileged([
  { scheme: 'app', privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true } },
]);
// Every page is sandboxed. Only a start with --no-sandbox (as root, for tests) goes without; both at once
// end every child process.
if (!app.commandLine.hasSwitch('no-sandbox')) app.enableSandbox();
denyEverythingElse(report);

// The window's own data lie with the user's other data; the lock of the single instance goes with them.
app.setPath('userData', join(userFolders().home, 'window'));
if (!app.requestSingleInstanceLock()) {
  report('the program is open already; its window was brought to the front');
  app.quit();
} else {
  app.on('window-all-closed', () => app.quit());
  app
    .whenReady()
    .then(start)
    .catch((fault: unknown) => {
      report(`could not start: ${fault instanceof Error ? (fault.stack ?? fault.message) : String(fault)}`);
      app.exit(1);
    });
}
